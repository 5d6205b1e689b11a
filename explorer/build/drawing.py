"""What a part's drawing says, beside its outline: title lines, a letter and a note a hole, the hand's mark."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

from explorer.build.blank import Blank, Bore, Point
from explorer.build.fits import hole_note
from explorer.build.parts import Part
from explorer.build.sizes import mm

BAR = 100.0  # mm, the bar that a print is checked against
MARGIN = 8.0
LINE = 4.2  # mm between lines of words
_SAYS = {"left": "L", "right": "R"}


@dataclass(frozen=True)
class Drawing:
    """One part, ready for any writer: the blank, its lower left and upper right, and all the words.

    `letters` stand at the holes, in their order; `mark` is L or R on a handed part, at `mark_at`.
    """

    number: str
    file: str
    blank: Blank
    low: Point
    high: Point
    title: tuple[str, ...]
    letters: tuple[str, ...]
    notes: tuple[str, ...]
    mark: str
    mark_at: Point


def drawing_of(part: Part, drive: str, brief_hash: str, side: str) -> Drawing:
    """The drawing of a part that has a blank."""
    blank = part.blank
    if blank is None:
        raise ValueError(f"{part.number} is not cut")
    low, high = blank.bounds()
    letters = tuple(_letter(n) for n in range(len(blank.bores)))
    mark = _SAYS[side] if part.handed else ""
    return Drawing(
        part.number, part.file, blank, low, high, _title(part, drive, brief_hash, side, mark), letters,
        tuple(f"{letter}  {hole_note(bore)}" for letter, bore in zip(letters, blank.bores, strict=True)),
        mark, _mark_at(blank),
    )  # fmt: skip


def _title(part: Part, drive: str, brief_hash: str, side: str, mark: str) -> tuple[str, ...]:
    metal = part.material or part.stock or "metal of your choice"
    lines = [
        f"{part.number}  {part.name}",
        f"{drive}, brief {brief_hash}, {side} hand",
        f"{metal}, {mm(part.thickness)} mm thick, make {part.count}, {mm(part.mass)} g each",
        "Finished size; no cutting allowance. mm, 1:1",
    ]
    if mark:
        lines.append(f"Handed: mark {mark} on this face; it looks to the back of the hand")
    if part.what == "wheel":
        lines.append("Circle of the tooth tips; teeth as bought, cut only the sector and the bore")
    return tuple(lines)


def _letter(n: int) -> str:
    """A, B, ... Z, A2, B2 ..."""
    turn, place = divmod(n, len(ascii_uppercase))
    return ascii_uppercase[place] + (str(turn + 1) if turn else "")


def _mark_at(blank: Blank) -> Point:
    """On the metal: half way between the first two holes."""
    bores: tuple[Bore, ...] = blank.bores
    if len(bores) < 2:
        return bores[0].at if bores else Point(0.0, 0.0)
    a, b = bores[0].at, bores[1].at
    return Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
