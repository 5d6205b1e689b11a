"""What a part's drawing says, beside its outline: title lines, a letter and a note a hole, the hand's mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from explorer.build.blank import Blank, Bore, Point
from explorer.build.fits import hole_note
from explorer.build.parts import Part
from explorer.build.round import Label, Round, Stroke, views_of
from explorer.build.sizes import mm

BAR = 100.0  # mm, the bar that a print is checked against
MARGIN = 8.0
LINE = 4.2  # mm between lines of words
# general tolerances: common practice, no source
_SIZES = "mm, 1:1. Finished size, no cutting allowance; without limits: ISO 2768-f"
_SAYS = {"left": "L", "right": "R"}


@dataclass(frozen=True)
class Drawing:
    """One part, ready for any writer: the blank, its lower left and upper right, and all the words.

    `letters` stand at the holes, in their order; `mark` is L or R on a handed part, at `mark_at`.
    A turned part has `strokes` beside its end view, and `labels` at its lengths.
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
    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()


def drawing_of(part: Part, drive: str, brief_hash: str, side: str) -> Drawing:
    """The drawing of a part that has one."""
    if part.round is not None:
        return _turned(part, part.round, (drive, brief_hash, side))
    blank = part.blank
    if blank is None:
        raise ValueError(f"{part.number} is not drawn")
    low, high = blank.bounds()
    letters = tuple(_letter(n) for n in range(len(blank.bores)))
    mark = _SAYS[side] if part.handed else ""
    return Drawing(
        part.number, part.file, blank, low, high, _title(part, drive, brief_hash, side, mark), letters,
        (*_hole_notes(blank.bores, letters), _overall(low, high)),
        mark, _mark_at(blank),
    )  # fmt: skip


def _hole_notes(bores: Sequence[Bore], letters: Sequence[str]) -> list[str]:
    """A line a hole: where it is from the first one, and what to do."""
    zero = bores[0].at
    return [
        f"{letter}  x {_place(bore.at.x - zero.x)}, y {_place(bore.at.y - zero.y)}: {hole_note(bore)}"
        for letter, bore in zip(letters, bores, strict=True)
    ]


def _place(value: float) -> str:
    text = f"{value:.3f}"
    return "0.000" if text == "-0.000" else text


def _overall(low: Point, high: Point) -> str:
    return f"Overall {high.x - low.x:.2f} x {high.y - low.y:.2f}; places are from hole A, x to the right"


def _turned(part: Part, made: Round, where: tuple[str, str, str]) -> Drawing:
    """A turned or toothed part: end view, side view, and words for each of its lengths."""
    views = views_of(made)
    blank = Blank(views.outline, made.bores)
    boxes = [
        Blank(s.edges, ()).bounds() for s in (Stroke("OUTLINE", views.outline), *views.strokes)
    ]
    low = Point(min(a.x for a, _ in boxes), min(a.y for a, _ in boxes) - LINE)
    high = Point(max(b.x for _, b in boxes), max(b.y for _, b in boxes))
    letters = tuple(_letter(n) for n in range(len(made.bores)))
    drive, brief_hash, side = where
    metal = part.material or part.stock or "steel"
    title = (
        f"{part.number}  {part.name}",
        f"{drive}, brief {brief_hash}, {side} hand; the same part for both hands",
        f"{metal}, {mm(made.long)} mm long, make {part.count}, {mm(part.mass)} g each",
        f"{_SIZES}. Third angle, first face on the left",
    )
    return Drawing(
        part.number, part.file, blank, low, high, title, letters,
        (*_bore_notes(made, letters), *part.notes), "", Point(0.0, 0.0), views.strokes, views.labels,
    )  # fmt: skip


def _bore_notes(made: Round, letters: Sequence[str]) -> tuple[str, ...]:
    """The bore, and the pin holes in one line."""
    bore, *pins = made.bores
    first = f"{letters[0]}  {hole_note(bore)}".replace("pin fixed", "shaft fixed")
    if not pins:
        return (first,)
    deep = f"{mm(pins[0].depth)} deep from the first face" if pins[0].depth else "through"
    circle = f"{len(pins)} evenly on a circle of Ø {2.0 * pins[0].at.length:.3f}, {deep}"
    return (first, f"{', '.join(letters[1:])}  {hole_note(pins[0])}, {circle}")


def _title(part: Part, drive: str, brief_hash: str, side: str, mark: str) -> tuple[str, ...]:
    metal = part.material or part.stock or "metal of your choice"
    lines = [
        f"{part.number}  {part.name}",
        f"{drive}, brief {brief_hash}, {side} hand",
        f"{metal}, {mm(part.thickness)} mm thick, make {part.count}, {mm(part.mass)} g each",
        _SIZES,
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
