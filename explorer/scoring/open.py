"""From a read study to what is scored: its shelf, the space of an architecture, a described drive."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from explorer.brief.builds import Build
from explorer.brief.demand_build import build_demand
from explorer.brief.errors import RANK_KEY, RANK_VALUE, BadInput, Problem, short
from explorer.brief.read import Study
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf
from explorer.drives.values import vector_of
from explorer.mechanics.types import Floats

SINGLE = "single"  # key of a three-finger drive: which finger stands alone
SIDES = ("index side", "little side")


@dataclass(frozen=True)
class Opened:
    """One described drive: its space and its vector X (1,V)."""

    space: Space
    X: Floats


def shelf_for(study: Study) -> Shelf:
    """Brief, stock and demand of a study; BadInput, with lines, where fingers cannot do what is asked."""
    try:
        demand = build_demand(study.brief)
    except BadInput as error:
        raise BadInput([*study.placed(error.problems), *study.warnings]) from None
    return Shelf(study.brief, study.stock, demand)


def space_for(shelf: Shelf, architecture: str, single: str = "") -> Space:
    """The space of an architecture; `single` of a three-finger hand, else what the brief says."""
    asked = shelf.brief.single
    return Space(shelf, architecture, single or (SIDES[0] if asked == "search" else asked))


def open_drive(shelf: Shelf, build: Build) -> Opened:
    """A described drive, ready to score; BadInput names every value that is off."""
    single, problems = _single(shelf, build)
    values = {k: v for k, v in build.values.items() if k != SINGLE or not _three(shelf)}
    space = space_for(shelf, build.architecture, single)
    try:
        X = vector_of(space, dataclasses.replace(build, values=values))
    except BadInput as error:
        raise BadInput([*problems, *error.problems]) from None
    if problems:
        raise BadInput(problems)
    return Opened(space, X)


def _three(shelf: Shelf) -> bool:
    return len(shelf.demand.fingers) == 3


def _single(shelf: Shelf, build: Build) -> tuple[str, list[Problem]]:
    """The finger that stands alone ("" where the brief decides), or what is wrong with the value."""
    if not _three(shelf):
        return "", []
    value = build.values.get(SINGLE)
    if value in SIDES:
        return str(value), []
    if value is None and shelf.brief.single != "search":
        return "", []
    said = "is missing" if value is None else "is not usable"
    typed = "" if value is None else short(value)
    rank = RANK_KEY if value is None else RANK_VALUE
    return "", [
        Problem(
            build.file,
            build.lines.get(SINGLE, build.line),
            f"values.{SINGLE}",
            typed,
            f'"{SIDES[0]}" or "{SIDES[1]}"',
            f'add {SINGLE} = "{SIDES[0]}": the side whose finger stands alone',
            f'drive "{build.name}": {SINGLE} {said}',
            cause_rank=rank,
        )
    ]
