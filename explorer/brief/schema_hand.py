"""Parts of the brief that no score depends on: the selector and the wrist joint.  Both may stay unwritten."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from explorer.brief.schema_base import Name, Table, quantity

Place = Annotated[
    list[Annotated[float, Field(ge=-300.0, le=300.0, json_schema_extra={"unit": "mm"})]],
    Field(min_length=3, max_length=3),
]
Along = Annotated[
    list[Annotated[float, Field(ge=-100.0, le=100.0, json_schema_extra={"unit": "mm"})]],
    Field(min_length=1, max_length=8),
]
Plays = Annotated[
    list[Annotated[float, Field(ge=0.0, le=1.0, json_schema_extra={"unit": "mm"})]],
    Field(min_length=1, max_length=8),
]


class SelectorTable(Table):
    """[selector]: the knob that chooses the grip."""

    order: Annotated[list[Name], Field(max_length=24)] = Field(
        default_factory=list, description="grips by name, detent by detent; empty: the grips' own"
    )
    cycles: bool = Field(default=True, description="true: the last detent leads on to the first")


class StackTable(Table):
    """[[wrist_joint.stack]]: bearings along the joint's axis."""

    name: Name
    bearings: Annotated[list[Name], Field(min_length=1, max_length=8)] = Field(
        description="lines of the stock's bearings, in their order along the axis"
    )
    at_mm: Along = Field(description="their middles along the axis, from the joint's middle (mm)")
    play_mm: Plays | None = Field(
        default=None,
        description="clearance of each as fitted: radial of a deep groove, axial of a thrust one",
    )


class WristJointTable(Table):
    """[wrist_joint]: where the joint between forearm and hand stands, and what may carry it."""

    at_mm: Place = Field(description="x, y, z of its middle (mm)")
    axis: Literal["x", "y", "z"] = Field(default="x", description="direction that it turns about")
    grips_between_changes: float = quantity(
        "grips", 1, 1e9, "that the bearings should last", default=1e6
    )
    stack: Annotated[list[StackTable], Field(max_length=6)] = Field(
        default_factory=list, description="none: two thrust + one deep groove, and four radial"
    )
