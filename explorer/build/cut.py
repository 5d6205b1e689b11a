"""From pieces to blanks: which pieces are cut, and their outlines in their own planes.

A plate on three pins is two stadiums: its second arm is a piece of its own that only lends its outline.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from explorer.brief.errors import DoesNotFit
from explorer.build.blank import (
    Blank,
    Bore,
    Edge,
    Point,
    bent_plate,
    hull_of_discs,
    round_blank,
    sector_blank,
)
from explorer.drives.pieces import Hole, Piece
from explorer.mechanics.outline import Sector, Stadium
from explorer.mechanics.types import Floats


def is_cut(p: Piece) -> bool:
    """True for what is cut to an outline here: sheet parts, and wheels whose face is known."""
    if p.outline_only or p.thickness is None or not p.holes:
        return False
    return p.stock == "plates" or isinstance(p.face, Sector | Stadium)


def blank_of(p: Piece, pieces: Sequence[Piece]) -> Blank:
    """Outline and holes of one cut piece of one drive, right hand."""
    shape = p.face if p.face is not None else p.shape
    bores = bores_of(p, pieces)
    bent = any(q.outline_only and q.key == f"{p.key} arm" for q in pieces)
    if isinstance(shape, Sector):
        edges = sector_blank(at_rest(shape.r_hub), at_rest(shape.r), at_rest(shape.half_angle))
    elif not isinstance(shape, Stadium):
        raise TypeError(f"{p.key}: a box is no outline to cut")
    elif bent:
        try:
            edges = _three_pins(p, bores, at_rest(shape.r))
        except ValueError as error:
            raise DoesNotFit(f"The {p.words} cannot be drawn: {error}.") from None
    else:
        edges = _stadium(shape, bores)
    return Blank(edges, bores)


def at_rest(a: Floats) -> float:
    """One candidate's value in the first position, where the hand is open."""
    return float(np.asarray(a).reshape(np.shape(a) or (1, 1))[0, 0])


def bores_of(p: Piece, pieces: Sequence[Piece]) -> tuple[Bore, ...]:
    """The holes that are there (a diameter of nothing stands for none), each with its fit."""
    bushes = [
        2.0 * at_rest(q.shape.r)
        for q in pieces
        if q.what == "bush" and at_rest(q.count) > 0.0 and isinstance(q.shape, Stadium)
        if p.body in (q.body, *q.joined)
    ]
    return tuple(_bore(h, bushes) for h in p.holes if at_rest(h.d) > 0.0)


def _bore(h: Hole, bushes: Sequence[float]) -> Bore:
    """A running hole as wide as a bush of the joint is that bush's seat."""
    d = at_rest(h.d)
    seat = h.fit == "running" and any(abs(d - outside) < 1e-6 for outside in bushes)
    return Bore(Point(at_rest(h.x), at_rest(h.y)), d, "bush" if seat else h.fit)


def _stadium(s: Stadium, bores: Sequence[Bore]) -> tuple[Edge, ...]:
    """Round ends about the two end holes.

    The plan shows where the form that scores puts them, up to a lean apart from the part's true length;
    the holes have the length itself.
    """
    near, far = ends_of(s)
    if near == far:
        return round_blank(at_rest(s.r))
    length = bores[1].at.x if len(bores) == 2 else (far - near).length
    return hull_of_discs((Point(0.0, 0.0), Point(length, 0.0)), at_rest(s.r))


def ends_of(s: Stadium) -> tuple[Point, Point]:
    """Both ends in the hand's plan when the hand is open, mm."""
    return Point(at_rest(s.px), at_rest(s.py)), Point(at_rest(s.qx), at_rest(s.qy))


def _three_pins(p: Piece, bores: Sequence[Bore], r: float) -> tuple[Edge, ...]:
    """A plate whose arms meet at its first hole; its web is filled where the piece says so."""
    middle, end, other = (b.at for b in bores)
    if p.filled:
        return hull_of_discs((middle, end, other), r)
    return bent_plate(other, middle, end, r)


def same_blank(a: Blank, b: Blank) -> bool:
    """Whether two blanks are one part to cut, as they lie or turned over.

    Compared by what no move changes: sizes of edges, sizes of holes and distances between them.
    """
    return all(
        len(u) == len(v) and all(abs(x - y) < 1e-6 for x, y in zip(u, v, strict=True))
        for u, v in zip(_signature(a), _signature(b), strict=True)
    )


def _signature(blank: Blank) -> tuple[list[float], list[float], list[float]]:
    bores = blank.bores
    apart = [(p.at - q.at).length + 1e3 * (p.d + q.d) for p in bores for q in bores]
    return (
        sorted(e.length for e in blank.edges),
        sorted(b.d for b in bores),
        sorted(apart),
    )
