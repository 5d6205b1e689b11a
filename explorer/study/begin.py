"""`start.toml`: a search that begins with a chosen drive, near it, with some of its parts frozen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from explorer.brief.builds import Architecture, Build
from explorer.brief.errors import BadInput, Problem, short
from explorer.brief.explain import table_or_raise
from explorer.brief.parse import Parsed, parse_file
from explorer.brief.read import Study
from explorer.brief.schema_base import Name, Note, Table
from explorer.brief.tell import Teller
from explorer.drives.assemble import Space
from explorer.drives.variables import Variable
from explorer.mechanics.types import Floats
from explorer.scoring.open import open_drive

START = "start.toml"


@dataclass(frozen=True)
class Beginning:
    """Of one space: narrowed bounds, or none, and vectors (K,V) to begin with, or None."""

    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    start: Floats | None = None


class StartTable(Table):
    """start.toml."""

    schema_: Literal[1] = Field(alias="schema", description="version of this format")
    note: Note = ""
    drive: Name = Field(description="the build of builds.toml that the search begins with")
    architecture: Architecture
    frozen: Annotated[list[Name], Field(max_length=200)] = Field(
        default_factory=list, description="keys that keep the drive's values"
    )
    bounds: dict[str, Annotated[list[float], Field(min_length=2, max_length=2)]] = Field(
        default_factory=dict, description="lowest and highest value to try, by key"
    )


def beginning_of(study: Study, spaces: Sequence[Space]) -> tuple[Beginning, ...]:
    """One beginning a space; BadInput where start.toml asks for what is not there."""
    path = study.folder / START
    if not (path.is_file() or path.is_symlink()):
        return (Beginning(),) * len(spaces)
    parsed = parse_file(path)
    table = table_or_raise(StartTable, parsed.raw, parsed)
    build = _drive(study, table, parsed)
    opened = open_drive(spaces[0].shelf, build)
    found = _narrowed(table, parsed, opened.space, opened.X)
    return tuple(
        found if (s.architecture, s.single) == (opened.space.architecture, opened.space.single)
        else Beginning()
        for s in spaces
    )  # fmt: skip


def _drive(study: Study, table: StartTable, parsed: Parsed) -> Build:
    for build in study.builds:
        if build.name == table.drive and build.architecture == table.architecture:
            return build
    names = ", ".join(short(b.name) for b in study.builds[:8]) or "none"
    raise BadInput([Teller(parsed).wrong(
        ("drive",), table.drive, f"builds.toml has no such drive of {table.architecture}.",
        allowed=f"one of its drives: {names}", mend="Name one of them, with its architecture.",
    )])  # fmt: skip


def _narrowed(table: StartTable, parsed: Parsed, space: Space, X: Floats) -> Beginning:
    tell, problems = Teller(parsed), list[Problem]()
    known = {v.key: j for j, v in enumerate(space.variables)}
    low, high = [v.low for v in space.variables], [v.high for v in space.variables]
    for key, (a, b) in table.bounds.items():
        if key in known:
            wrong = _bound(space.variables[known[key]], a, b)
            low[known[key]], high[known[key]] = a, b
        else:
            wrong = f"{table.architecture} has no such key."
        if wrong:
            problems.append(
                tell.wrong(("bounds", key), None, wrong, mend="Mend it, or take the line out.")
            )
    for i, key in enumerate(table.frozen):
        if key in known:
            low[known[key]] = high[known[key]] = float(X[0, known[key]])
        else:
            problems.append(tell.wrong(
                ("frozen", i), key, f"{table.architecture} has no such key.", mend="Take it out."
            ))  # fmt: skip
    if problems:
        raise BadInput(problems)
    return Beginning(tuple(low), tuple(high), X)


def _bound(v: Variable, low: float, high: float) -> str:
    """What is wrong with bounds, or nothing."""
    if v.kind == "choice":
        return "is a choice, which has no bounds: freeze it, or leave it free."
    if not (math.isfinite(low) and math.isfinite(high)):
        return "must be finite."
    if low > high:
        return "its lower bound is above the upper."
    if v.kind == "whole" and (low % 1.0 or high % 1.0):
        return "its bounds must be whole."
    span = v.high - v.low
    if low < v.low - 3.0 * span or high > v.high + 3.0 * span or (v.low > 0.0 >= low):
        return f"is usually between {v.low:g} and {v.high:g}: check its unit."
    return ""
