"""Room over the pieces: swept boxes, cavity and keep-outs, clearances.

Swept boxes screen: exact plan distances are worked out only for the candidates whose boxes come near.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from explorer.brief.records import Box, Brief
from explorer.drives.pieces import Pair, Piece, present
from explorer.mechanics import distance, outline
from explorer.mechanics.outline import Shape, Stadium
from explorer.mechanics.types import Bools, Floats, Ints

_NEVER = 1e3  # mm, a gap so wide that it cannot matter
_WITHIN = ("ring", "bush", "washer")  # lie inside their pin's own outline, ends and heads included


@dataclass(frozen=True)
class Span:
    """A box in the hand frame, mm (N,) each."""

    x0: Floats
    x1: Floats
    y0: Floats
    y1: Floats
    z0: Floats
    z1: Floats

    def volume(self) -> Floats:
        """Volume, mm3 (N,)."""
        return (self.x1 - self.x0) * (self.y1 - self.y0) * (self.z1 - self.z0)


def _least(a: Floats, must: Bools) -> Floats:
    """Smallest over the must positions, (N,P) or (N,1) -> (N,)."""
    if a.shape[1] == 1:
        return a[:, 0]
    return np.asarray(a.min(axis=1) if must.all() else a[:, must].min(axis=1))


def _most(a: Floats, must: Bools) -> Floats:
    """Largest over the must positions, (N,P) or (N,1) -> (N,)."""
    if a.shape[1] == 1:
        return a[:, 0]
    return np.asarray(a.max(axis=1) if must.all() else a[:, must].max(axis=1))


def _swept(shape: Shape, must: Bools) -> tuple[Floats, Floats, Floats, Floats]:
    """x0, x1, y0, y1 that a shape sweeps over the must positions (N,)."""
    if isinstance(shape, Stadium):  # ends first, the radius once: fewer passes than by bounds
        r = shape.r[:, 0]
        low = [_least(shape.px, must), _least(shape.py, must)]
        high = [_most(shape.px, must), _most(shape.py, must)]
        if not shape.is_disc:
            low = [
                np.minimum(a, _least(q, must))
                for a, q in zip(low, (shape.qx, shape.qy), strict=True)
            ]
            high = [
                np.maximum(a, _most(q, must))
                for a, q in zip(high, (shape.qx, shape.qy), strict=True)
            ]
        return low[0] - r, high[0] + r, low[1] - r, high[1] + r
    b = outline.bounds(shape)
    return _least(b.x0, must), _most(b.x1, must), _least(b.y0, must), _most(b.y1, must)


def spans(pieces: Sequence[Piece], must: Bools) -> dict[str, Span]:
    """Swept box of every piece that is not inside another, by key; each outline is swept once."""
    seen: dict[int, tuple[Floats, Floats, Floats, Floats]] = {}
    out = {}
    for p in pieces:
        if p.what in _WITHIN:
            continue
        swept = seen.get(id(p.shape))
        if swept is None:
            swept = seen[id(p.shape)] = _swept(p.shape, must)
        out[p.key] = Span(*swept, p.z0[:, 0], p.z1[:, 0])
    return out


def _join(rows: Sequence[tuple[Span, Bools]]) -> Span:
    """Box round the boxes of the pieces that are there."""
    low = {n: np.full(rows[0][1].shape, np.inf) for n in ("x0", "y0", "z0")}
    high = {n: np.full(rows[0][1].shape, -np.inf) for n in ("x1", "y1", "z1")}
    for span, there in rows:
        every = bool(there.all())
        for n, kept in low.items():
            v = getattr(span, n)
            np.minimum(kept, v if every else np.where(there, v, np.inf), out=kept)
        for n, kept in high.items():
            v = getattr(span, n)
            np.maximum(kept, v if every else np.where(there, v, -np.inf), out=kept)
    return Span(low["x0"], high["x1"], low["y0"], high["y1"], low["z0"], high["z1"])


@dataclass(frozen=True)
class Envelope:
    """Overall box, the boxes of the stages, and the slack to cavity and keep-outs, mm (N,)."""

    box: Span
    stages: tuple[tuple[str, Span], ...]
    room: Floats  # mm3, sum of the stages' boxes
    cavity: Floats  # least slack to the cavity's sides
    cavity_sides: tuple[Floats, ...]  # x0, x1, y0, y1, z0, z1
    keepout: Floats


def envelope(
    pieces: Sequence[Piece], swept: dict[str, Span], brief: Brief, must: Bools
) -> Envelope:
    """Boxes over the must positions.

    Free strands past the knuckle line are not in it: strands and links end at the cavity's finger end.
    """
    top = brief.cavity.box.y1
    stages: dict[str, list[tuple[Span, Bools]]] = {}
    keep = np.full(pieces[0].count.shape[0], _NEVER)
    for p in pieces:
        s = swept.get(p.key)
        if s is None:
            continue
        there = present(p)[:, 0]
        if p.what in ("chain", "link"):
            s = Span(s.x0, s.x1, s.y0, np.minimum(s.y1, top), s.z0, s.z1)
        stages.setdefault(p.stage, []).append((s, there))
        keep = np.minimum(keep, np.where(there, _keepout(p, s, keep, brief, must), _NEVER))
    boxes = tuple((name, _join(rows)) for name, rows in stages.items())
    every = np.ones(keep.shape, dtype=bool)
    box = _join([(s, every) for _, s in boxes])
    room = boxes[0][1].volume()
    for _, s in boxes[1:]:
        room = room + s.volume()
    c = brief.cavity.box
    sides = (
        box.x0 - c.x0,
        c.x1 - box.x1,
        box.y0 - c.y0,
        c.y1 - box.y1,
        box.z0 - c.z0,
        c.z1 - box.z1,
    )
    worst = sides[0]
    for side in sides[1:]:
        worst = np.minimum(worst, side)
    return Envelope(box, boxes, room, worst, sides, keep)


def _keepout(p: Piece, s: Span, least: Floats, brief: Brief, must: Bools) -> Floats:
    """Least distance of a piece to the keep-outs (N,), negative inside.

    A piece whose swept box is clear of a keep-out counts by that box; the others by their outline, and
    only where that could be the smallest of all so far.
    """
    out = np.full(s.x0.shape, _NEVER)
    for k in brief.cavity.keepouts:
        away_z = np.maximum(s.z0 - k.z1, k.z0 - s.z1)
        away = np.maximum(
            np.maximum(s.x0 - k.x1, k.x0 - s.x1), np.maximum(s.y0 - k.y1, k.y0 - s.y1)
        )
        away = np.maximum(away, away_z)
        out = np.minimum(out, _refine(p, away, away_z, least, k, must))
    return out


def _refine(p: Piece, away: Floats, away_z: Floats, least: Floats, k: Box, must: Bools) -> Floats:
    """Exact plan distance for the candidates whose swept box reaches into the keep-out.

    An outline reaches in no deeper than its box: where that is less than another piece does, it is left.
    """
    rows = np.nonzero(away < np.minimum(least, 0.0))[0]
    if rows.size == 0:
        return away
    box = outline.Box(*(np.full((1, 1), getattr(k, n)) for n in ("x0", "x1", "y0", "y1")))
    out = away.copy()
    gap = _least(distance.keepout_gap(_shape_rows(p.shape, rows, away.size), box), must)
    out[rows] = np.maximum(gap, away_z[rows])
    return out


def _shape_rows(shape: Shape, rows: Ints, n: int) -> Shape:
    """The shape of some candidates, positions side by side as before."""
    if rows.size == n:
        return shape
    if isinstance(shape, Stadium) and shape.is_disc:
        x, y = _rows(shape.px, rows), _rows(shape.py, rows)
        return outline.disc(x, y, _rows(shape.r, rows))
    names = [f.name for f in fields(shape)]
    return type(shape)(*(_rows(getattr(shape, name), rows) for name in names))


def _rows(a: Floats, rows: Ints) -> Floats:
    """Rows of an (N,P) or (N,1) array, candidates side by side; a single row stands for all."""
    return np.asfortranarray(a[rows]) if a.shape[0] > 1 else a


def clearances(pieces: Sequence[Piece], pairs: Sequence[Pair]) -> tuple[tuple[Pair, Floats], ...]:
    """Gap of every declared pair (N,P): the larger of the plan gap and the z gap; absent pieces never meet."""
    by_key = {p.key: p for p in pieces}
    out = []
    for pair in pairs:
        a, b = by_key[pair.a], by_key[pair.b]
        z = np.maximum(a.z0 - b.z1, b.z0 - a.z1)
        plan = distance.gap(a.shape, b.shape)
        out.append((pair, np.where(present(a) & present(b), np.maximum(plan, z), _NEVER)))
    return tuple(out)


def least_clearance(
    pieces: Sequence[Piece],
    swept: dict[str, Span],
    pairs: Sequence[Pair],
    must: Bools,
) -> Floats:
    """Smallest gap of all pairs over the must positions (N,), mm: exactly the least of `clearances`.

    A pair's gap is at least that of its swept boxes and of its z intervals: where that is no less than
    what another pair already leaves, it cannot be the smallest and is not worked out.
    """
    by_key = {p.key: p for p in pieces}
    out = np.full(pieces[0].count.shape[0], _NEVER)
    for pair in pairs:
        a, b = by_key[pair.a], by_key[pair.b]
        s, t = swept[pair.a], swept[pair.b]
        z = np.maximum(s.z0 - t.z1, t.z0 - s.z1)
        apart = np.maximum(
            np.maximum(s.x0 - t.x1, t.x0 - s.x1), np.maximum(s.y0 - t.y1, t.y0 - s.y1)
        )
        bound = np.maximum(apart, z)
        rows = np.nonzero((present(a) & present(b))[:, 0] & (bound < out))[0]
        if rows.size == 0:
            continue
        plan = distance.gap(
            _shape_rows(a.shape, rows, out.size), _shape_rows(b.shape, rows, out.size)
        )
        out[rows] = np.minimum(out[rows], np.maximum(_least(plan, must), z[rows]))
    return out
