"""The build book and drive files: drives that were made, each described whole by its values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from explorer.brief.errors import BadInput, Problem
from explorer.brief.explain import table_or_raise
from explorer.brief.schema_base import Name, Note, Table, quantity
from explorer.brief.tell import Teller, repeated

if TYPE_CHECKING:
    from explorer.brief.parse import Parsed

Value = float | str | bool | int
Architecture = Literal[
    "linked_lever+chain",
    "linked_lever+bar",
    "chain_winder+chain",
    "chain_winder+bar",
    "chain_differential+chain",
    "chain_differential+bar",
]


@dataclass(frozen=True)
class Broke:
    """The part that broke, and how, as the maker puts it; `metal` where it was another than the stock's.

    `metal` is a line of the stock's metals, "unknown", or empty: what the drive's values say.
    """

    part: str
    how: str
    metal: str = ""


@dataclass(frozen=True)
class Build:
    """One drive.  `values` are as typed, by the keys of its architecture; `lines` are theirs.

    `guessed` names the values that nobody measured; `line` is where the entry begins.
    """

    name: str
    architecture: Architecture
    values: Mapping[str, Value]
    lines: Mapping[str, int]
    note: str = ""
    broke: Broke | None = None
    kept_years: float | None = None
    study: str | None = None
    brief_hash: str | None = None
    file: str = "builds.toml"
    guessed: tuple[str, ...] = field(default=())
    line: int | None = None


class BrokeTable(Table):
    """broke = { part = "cage pins", how = "sheared" }."""

    part: Name
    how: Note = ""
    metal: str = Field(
        "",
        max_length=200,
        description='its metal, if not that of the values: a metal of the stock, or "unknown"',
    )


class BuildTable(Table):
    """[[build]]: the same block in builds.toml and in a drive file."""

    name: Name
    architecture: Architecture
    note: Note = ""
    kept_years: float | None = quantity("years", 0, 100, "that it was in use", default=None)
    broke: BrokeTable | None = None
    study: Name | None = Field(None, description="study that it was made for")
    brief_hash: Annotated[str, Field(pattern="^[0-9a-f]{6}$")] | None = None
    guessed: Annotated[list[Name], Field(max_length=200)] = Field(
        default_factory=list, description="values that are assumed, not measured"
    )
    values: dict[str, Value] = Field(description="sizes, by the keys of the architecture")


class BuildsTable(Table):
    """builds.toml, or one drive file."""

    schema_: Literal[1] = Field(alias="schema", description="version of this format")
    note: Note = ""
    build: Annotated[list[BuildTable], Field(max_length=200)] = Field(default_factory=list)


def builds_of(parsed: Parsed) -> tuple[Build, ...]:
    """All builds of a parsed file; raises `BadInput`."""
    table = table_or_raise(BuildsTable, parsed.raw, parsed)
    tell = Teller(parsed)
    problems = [*repeated([b.name for b in table.build], ("build",), tell)]
    for n, build in enumerate(table.build):
        problems += _guessed_problems(n, build, tell)
    if problems:
        raise BadInput(problems)
    return tuple(_build(n, b, parsed) for n, b in enumerate(table.build))


def one_drive(parsed: Parsed) -> Build:
    """The single drive of a drive file; raises `BadInput`."""
    found = builds_of(parsed)
    if len(found) != 1:
        raise BadInput(
            [
                Teller(parsed).wrong(
                    ("build",),
                    None,
                    f"a drive file holds one drive; here are {len(found)}.",
                    allowed="one [[build]]",
                    mend="Take the others out.",
                )
            ]
        )
    return found[0]


def _guessed_problems(n: int, build: BuildTable, tell: Teller) -> list[Problem]:
    return [
        tell.wrong(
            ("build", n, "guessed", i), key, "is no value of this build.", mend="Take it out."
        )
        for i, key in enumerate(build.guessed)
        if key not in build.values
    ]


def _build(n: int, b: BuildTable, parsed: Parsed) -> Build:
    lines = {key: parsed.line(("build", n, "values", key)) or 0 for key in b.values}
    values: dict[str, Any] = dict(b.values)
    return Build(
        name=b.name,
        architecture=b.architecture,
        values=MappingProxyType(values),
        lines=MappingProxyType(lines),
        note=b.note,
        broke=None if b.broke is None else Broke(b.broke.part, b.broke.how, b.broke.metal),
        kept_years=b.kept_years,
        study=b.study,
        brief_hash=b.brief_hash,
        file=parsed.file,
        guessed=tuple(b.guessed),
        line=parsed.line(("build", n)),
    )
