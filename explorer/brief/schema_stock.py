"""The stock as it is written: key names, units and ranges of `stock.toml`.

Every size in mm (`d_mm`) may be given in inches instead (`d_in = "1/8"` or `d_in = 0.125`).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from explorer.brief.schema_base import Have, Name, Note, Table, length, quantity


class LineTable(Table):
    """What every line of the stock may say."""

    name: Name | None = Field(None, description="unwritten: made from the size")
    have: Have = Field("buy", description="own, make or buy")
    price: float = quantity("price", 0, 1e6, "of one", default=0.0)
    minutes: float = quantity("min", 0, 10_000, "to make one", default=0.0)
    source: Note = ""


class EnduringTable(LineTable):
    """What may be known of how metal tires."""

    endurance_MPa: float | None = quantity(
        "MPa",
        5,
        2000,
        "reversed stress that a polished bar stands; unwritten: by kind",
        default=None,
    )


class PartTable(EnduringTable):
    """Metal bought as parts: its tensile strength is not always told."""

    ultimate_MPa: float | None = quantity(
        "MPa", 30, 4000, "tensile strength; unwritten: as the yield strength", default=None
    )


class MetalTable(EnduringTable):
    """[[metal]]."""

    name: Name
    yield_MPa: float = quantity("MPa", 20, 3000, "yield strength")
    ultimate_MPa: float = quantity("MPa", 30, 4000, "tensile strength")
    g_per_mm3: float = quantity("g/mm³", 0.0009, 0.025, "density")
    modulus_MPa: float = quantity("MPa", 500, 500_000, "Young's modulus")
    price_per_cm3: float = quantity("price", 0, 1e4, "of the metal", default=0.0)
    minutes_per_mm_outline_and_mm_thickness: float = quantity("min", 0, 10, "cutting", default=0.1)
    minutes_per_hole: float = quantity("min", 0, 200, "drilled and reamed", default=5.0)


class PlateTable(LineTable):
    """[[plate]]: a sheet; `price` buys the smallest sheet."""

    metal: Name
    thickness_mm: float = length("", 0.1, 20)
    sheet_mm: Annotated[
        list[Annotated[float, Field(ge=10, le=5000, json_schema_extra={"unit": "mm"})]],
        Field(min_length=2, max_length=2),
    ] = Field(description="length and width of the smallest sheet sold, mm")


class PinTable(PartTable):
    """[[pin]] and [[shaft]]: rod."""

    d_mm: float = length("diameter", 0.5, 25)
    yield_MPa: float = quantity("MPa", 20, 3000, "yield strength", default=1200.0)
    g_per_mm3: float = quantity("g/mm³", 0.0009, 0.025, "density", default=0.00785)
    fit: Name = "m6"
    hardened: bool = False


class BushTable(LineTable):
    """[[bush]]."""

    bore_mm: float = length("", 0.5, 25)
    outside_mm: float = length("", 0.8, 40)


class WasherTable(LineTable):
    """[[washer]]."""

    bore_mm: float = length("", 0.5, 25)
    outside_mm: float = length("", 0.8, 60)
    thickness_mm: float = length("", 0.02, 5)


class RingTable(LineTable):
    """[[ring]]: retaining ring."""

    shaft_mm: float = length("pin that it goes on", 0.5, 25)
    groove_mm: float = length("diameter in the groove", 0.3, 25)
    thickness_mm: float = length("", 0.05, 3)
    outside_mm: float = length("fitted", 1, 50)
    past_groove_mm: float = length("pin left past the groove", 0.1, 10)


class SpacerTable(LineTable):
    """[[spacer]]: tube."""

    bore_mm: float = length("", 0.5, 25)
    outside_mm: float = length("", 0.8, 40)


class ChainTable(LineTable):
    """[[chain]]."""

    name: Name
    pitch_mm: float = length("", 1, 16)
    plate_height_mm: float = length("", 0.8, 20)
    overall_width_mm: float = length("across the pins", 1, 30)
    inner_width_mm: float = length("between the inner plates", 0.3, 15)
    pin_mm: float = length("pin diameter", 0.2, 8)
    min_tensile_N: float = quantity("N", 50, 50_000, "least tensile strength")
    g_per_mm: float = quantity("g/mm", 0.001, 3, "mass")
    price_per_pitch: float = quantity("price", 0, 1000, "", default=0.0)
    connector_mm: float = length("last pin to the drawbar pin", 0.5, 40, default=5.0)
    offset_factor: float = quantity(
        "-", 0, 1, "strength of an offset link as a share; 0: none to be had", default=0.0
    )
    wheel_price: float = quantity("price", 0, 1e4, "chain wheel", default=0.0)
    idler_price: float = quantity("price", 0, 1e4, "floating wheel", default=0.0)
    bend_radius_mm: float = length("least radius on a plain groove", 0.5, 60, default=6.0)


class GearTable(PartTable):
    """[[gear]]: a module that can be had."""

    module_mm: float = length("", 0.1, 4)
    yield_MPa: float = quantity("MPa", 20, 3000, "yield strength")
    g_per_mm3: float = quantity("g/mm³", 0.0009, 0.025, "density", default=0.00785)
    min_teeth: int = quantity("teeth", 6, 200, "", default=12)
    max_teeth: int = quantity("teeth", 6, 400, "", default=60)
    side_price: float = quantity("price", 0, 1e4, "side gear", default=0.0)
    planet_price: float = quantity("price", 0, 1e4, "planet", default=0.0)


class ToolTable(LineTable):
    """[[tool]]: drill or reamer."""

    d_mm: float = length("", 0.2, 30)
    kind: Literal["drill", "reamer"]
    fit: str = ""


class CordTable(LineTable):
    """[[cord]]."""

    d_mm: float = length("", 0.1, 10)
    tensile_N: float = quantity("N", 5, 50_000, "breaking strength")
    bend_radius_mm: float = length("least", 0.5, 100)


class BearingTable(LineTable):
    """[[bearing]] of the wrist joint."""

    kind: Literal["thrust", "deep groove"]
    bore_mm: float = length("", 1, 100)
    outside_mm: float = length("", 2, 150)
    width_mm: float = length("", 0.5, 50)
    static_N: float = quantity("N", 1, 1e6, "static rating")
    dynamic_N: float = quantity("N", 1, 1e6, "dynamic rating")


class StockTable(Table):
    """stock.toml."""

    schema_: Literal[1] = Field(alias="schema", description="version of this format")
    invented: bool = False
    note: Note = ""
    currency: Name = "credits"
    metal: list[MetalTable] = Field(min_length=1, max_length=200)
    plate: list[PlateTable] = Field(min_length=1, max_length=200)
    pin: list[PinTable] = Field(min_length=1, max_length=200)
    shaft: list[PinTable] = Field(default_factory=list, max_length=200)
    bush: list[BushTable] = Field(default_factory=list, max_length=200)
    washer: list[WasherTable] = Field(default_factory=list, max_length=200)
    ring: list[RingTable] = Field(default_factory=list, max_length=200)
    spacer: list[SpacerTable] = Field(default_factory=list, max_length=200)
    chain: list[ChainTable] = Field(default_factory=list, max_length=200)
    gear: list[GearTable] = Field(default_factory=list, max_length=200)
    tool: list[ToolTable] = Field(default_factory=list, max_length=200)
    cord: list[CordTable] = Field(default_factory=list, max_length=200)
    bearing: list[BearingTable] = Field(default_factory=list, max_length=200)
