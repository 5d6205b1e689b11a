"""The size of a part in words, as a parts list has it: lengths to 0.01 mm."""

from __future__ import annotations

import math
from collections.abc import Callable

from explorer.brief.stock_records import of_size
from explorer.build.blank import Blank
from explorer.build.cut import at_rest
from explorer.build.round import Round, round_of
from explorer.drives.pieces import Piece
from explorer.drives.shelf import Pins, Shelf


def mm(value: float) -> str:
    """A length to 0.01 mm without idle zeros: 12.5, 3, 0.05.

    >>> mm(12.5), mm(3.0), mm(-0.001)
    ('12.5', '3', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def size_of(shelf: Shelf, p: Piece, blank: Blank | None) -> str:
    """Size of one piece of one drive."""
    if blank is not None and p.what != "wheel":
        return _cut(p, blank)
    if p.sections and p.what != "gear":
        return _turned(round_of(p))
    words = _WORDS.get(p.what)
    return "" if words is None else words(shelf, p)


def _cut(p: Piece, blank: Blank) -> str:
    low, high = blank.bounds()
    t = at_rest(p.thickness) if p.thickness is not None else 0.0
    return f"{mm(high.x - low.x)} x {mm(high.y - low.y)} x {mm(t)}"


def _turned(part: Round) -> str:
    """Rows of teeth, bore/outside and length."""
    rows = dict.fromkeys(f"{q.teeth} t" for q in part.lengths if q.teeth)
    return ", ".join([*rows, f"Ø {mm(part.bores[0].d)}/{mm(2.0 * part.r)} x {mm(part.long)}"])


def rods_of(shelf: Shelf, p: Piece) -> Pins:
    """The list that a pin or shaft was chosen from."""
    return shelf.shafts if p.stock == "shafts" else shelf.pins


def diameter(shelf: Shelf, p: Piece) -> float:
    """Diameter of the pin or shaft of this piece, mm."""
    index = p.stock_index if p.stock_index is not None else p.number[0]
    return float(rods_of(shelf, p).d[int(at_rest(index))])


def _rod(shelf: Shelf, p: Piece) -> str:
    return f"Ø {mm(diameter(shelf, p))} x {mm(at_rest(p.number[1]))} long"


def _ring(shelf: Shelf, p: Piece) -> str:
    del shelf
    return f"for Ø {mm(at_rest(p.number[0]))}"


def _bush(shelf: Shelf, p: Piece) -> str:
    d, length = (at_rest(c) for c in p.number[:2])
    bush = of_size(shelf.stock.bushes, "bore", d)
    outside = d if bush is None else bush.outside
    return f"Ø {mm(d)}/{mm(outside)} x {mm(length)}"


def _spacer(shelf: Shelf, p: Piece) -> str:
    bore = diameter(shelf, p) if p.stock == "pins" else at_rest(p.number[0])
    return f"bore {mm(bore)} x {mm(at_rest(p.number[1]))} long"


def _chain(shelf: Shelf, p: Piece) -> str:
    chain, links = int(at_rest(p.number[0])), round(at_rest(p.number[1]))
    pitch = float(shelf.chains.pitch[chain])
    return f"{links} pitches, {mm(links * pitch)}"


def _gear(shelf: Shelf, p: Piece) -> str:
    module = float(shelf.gears.module[int(at_rest(p.number[0]))])
    teeth, face, bore = (at_rest(c) for c in p.number[1:4])
    return f"{round(teeth)} t, m {mm(module)}, bore {mm(bore)} x {mm(face)}"


def _wheel(shelf: Shelf, p: Piece) -> str:
    """A floating wheel, bought and bored: what its part number holds.  Its chain is its stock."""
    del shelf
    teeth, bore, kept = round(at_rest(p.number[1])), at_rest(p.number[2]), at_rest(p.number[3])
    sector = f", sector {math.degrees(2.0 * kept):.0f}°" if kept < math.pi else ""
    return f"{teeth} t, bore {mm(bore)}{sector}"


def _screw(shelf: Shelf, p: Piece) -> str:
    d, length = (at_rest(c) for c in p.number[:2])
    del shelf
    return f"Ø {mm(d)} x {mm(length)} long"


_WORDS: dict[str, Callable[[Shelf, Piece], str]] = {
    "pin": _rod,
    "shaft": _rod,
    "ring": _ring,
    "washer": _ring,
    "bush": _bush,
    "spacer": _spacer,
    "chain": _chain,
    "gear": _gear,
    "wheel": _wheel,
    "clamp": _screw,
}
