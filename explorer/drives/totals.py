"""Totals over the pieces: counts, mass and its centre, boxes, room, clearances, hours and cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from explorer.brief.records import Brief
from explorer.drives.pieces import Pair, Piece, present
from explorer.drives.shelf import Shelf
from explorer.mechanics import distance, outline
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
        """mm3 (N,)."""
        return (self.x1 - self.x0) * (self.y1 - self.y0) * (self.z1 - self.z0)


def _least(a: Floats, must: Bools) -> Floats:
    """Smallest over the must positions, (N,P) or (N,1) -> (N,)."""
    if a.shape[1] == 1:
        return a[:, 0]
    return np.asarray(a.min(axis=1) if must.all() else a[:, must].min(axis=1))


def _span(piece: Piece, must: Bools) -> Span:
    """Box that a piece sweeps over the must positions; (N,) each."""
    b = outline.bounds(piece.shape)
    return Span(
        _least(b.x0, must), -_least(-b.x1, must), _least(b.y0, must), -_least(-b.y1, must),
        piece.z0[:, 0], piece.z1[:, 0],
    )


def _join(spans: Sequence[tuple[Span, Bools]]) -> Span:
    first, there = spans[0]
    out = [
        np.where(there, getattr(first, n), np.inf if n[1] == "0" else -np.inf)
        for n in ("x0", "x1", "y0", "y1", "z0", "z1")
    ]
    for s, present in spans[1:]:
        for i, n in enumerate(("x0", "x1", "y0", "y1", "z0", "z1")):
            v = getattr(s, n)
            if n[1] == "0":
                out[i] = np.minimum(out[i], np.where(present, v, np.inf))
            else:
                out[i] = np.maximum(out[i], np.where(present, v, -np.inf))
    return Span(*out)


@dataclass(frozen=True)
class Envelope:
    """Overall box, the boxes of the stages, and the slack to cavity and keep-outs, mm (N,)."""

    box: Span
    stages: tuple[tuple[str, Span], ...]
    room: Floats  # mm3, sum of the stages' boxes
    cavity: Floats  # least slack to the cavity's sides
    cavity_sides: tuple[Floats, ...]  # x0, x1, y0, y1, z0, z1
    keepout: Floats


def envelope(pieces: Sequence[Piece], brief: Brief, must: Bools) -> Envelope:
    """Boxes swept over the must positions.  Free strands past the knuckle line are cut off at the cavity's top."""
    top = brief.cavity.box.y1
    spans: dict[str, list[tuple[Span, Bools]]] = {}
    keep = np.full(pieces[0].count.shape[0], _NEVER)
    for p in pieces:
        if p.what in _WITHIN:
            continue
        there = present(p)[:, 0]
        s = _span(p, must)
        if p.what in ("chain", "link"):
            s = Span(s.x0, s.x1, s.y0, np.minimum(s.y1, top), s.z0, s.z1)
        spans.setdefault(p.stage, []).append((s, there))
        keep = np.minimum(keep, np.where(there, _keepout(p, s, brief, must), _NEVER))
    stages = tuple((name, _join(rows)) for name, rows in spans.items())
    every = np.ones(keep.shape, dtype=bool)
    box = _join([(s, every) for _, s in stages])
    room = stages[0][1].volume()
    for _, s in stages[1:]:
        room = room + s.volume()
    c = brief.cavity.box
    sides = (box.x0 - c.x0, c.x1 - box.x1, box.y0 - c.y0, c.y1 - box.y1, box.z0 - c.z0, c.z1 - box.z1)
    worst = sides[0]
    for side in sides[1:]:
        worst = np.minimum(worst, side)
    return Envelope(box, stages, room, worst, sides, keep)


def _keepout(p: Piece, s: Span, brief: Brief, must: Bools) -> Floats:
    """Least distance of a piece to the keep-outs (N,), negative inside; the sweep's box screens first."""
    out = np.full(s.x0.shape, _NEVER)
    for k in brief.cavity.keepouts:
        away_z = np.maximum(s.z0 - k.z1, k.z0 - s.z1)
        away = np.maximum.reduce([s.x0 - k.x1, k.x0 - s.x1, s.y0 - k.y1, k.y0 - s.y1, away_z])
        out = np.minimum(out, _refine(p, away, away_z, k, must))
    return out


def _refine(p: Piece, away: Floats, away_z: Floats, k: object, must: Bools) -> Floats:
    """Exact plan distance only for candidates whose swept box touches the keep-out."""
    rows = np.nonzero(away < 0.0)[0]
    if rows.size == 0:
        return away
    box = outline.Box(*(np.full((1, 1), getattr(k, n)) for n in ("x0", "x1", "y0", "y1")))
    shape = type(p.shape)(*(_rows(getattr(p.shape, f.name), rows) for f in fields(p.shape)))
    out = away.copy()
    out[rows] = np.maximum(_least(distance.keepout_gap(shape, box), must), away_z[rows])
    return out


def _rows(a: Floats, rows: Ints) -> Floats:
    """Rows of an (N,P) or (N,1) array; a single row stands for all."""
    return a[rows] if a.shape[0] > 1 else a


def clearances(pieces: Sequence[Piece], pairs: Sequence[Pair], must: Bools) -> tuple[tuple[Pair, Floats], ...]:
    """Gap of every declared pair (N,P): the larger of the plan gap and the z gap; absent pieces never meet."""
    by_key = {p.key: p for p in pieces}
    out = []
    for pair in pairs:
        a, b = by_key[pair.a], by_key[pair.b]
        z = np.maximum(a.z0 - b.z1, b.z0 - a.z1)
        plan = distance.gap(a.shape, b.shape)
        there = present(a) & present(b)
        out.append((pair, np.where(there, np.maximum(plan, z), _NEVER)))
    return tuple(out)


def least_clearance(gaps: Sequence[tuple[Pair, Floats]], must: Bools, n: int) -> Floats:
    """Smallest gap of all pairs over the must positions (N,), mm."""
    out = np.full(n, _NEVER)
    for _, g in gaps:
        out = np.minimum(out, _least(g, must))
    return out


@dataclass(frozen=True)
class Tally:
    """Counts, mass and what it takes; (N,) each."""

    pieces: Floats
    numbers: Floats
    mass: Floats  # g
    mass_y: Floats  # mm of the centre from the cavity's wrist end
    hours: Floats
    cost: Floats


def _numbers(pieces: Sequence[Piece]) -> Floats:
    """How many different part numbers (N,): pieces of one sort with equal columns are one number."""
    total = np.zeros(pieces[0].count.shape[0])
    seen: dict[str, list[Piece]] = {}
    for p in pieces:
        new = p.count[:, 0] > 0.0
        for q in seen.get(p.what, []):
            if len(q.number) != len(p.number):
                continue
            same = q.count[:, 0] > 0.0
            for a, b in zip(q.number, p.number, strict=True):
                same = same & (np.abs(a[:, 0] - b[:, 0]) < 1e-9)
            new = new & ~same
        total = total + new
        seen.setdefault(p.what, []).append(p)
    return total


def tally(pieces: Sequence[Piece], shelf: Shelf) -> Tally:
    """Pieces, part numbers, mass, hours and cost.  Metal costs one smallest sheet a sheet size used."""
    shop = shelf.brief.shop
    n = pieces[0].count.shape[0]
    count, mass, moment = np.zeros(n), np.zeros(n), np.zeros(n)
    minutes, cost = np.zeros(n), np.zeros(n)
    used = np.zeros((n, len(shelf.plates.names)))
    y_wrist = shelf.brief.cavity.box.y0
    for p in pieces:
        c = p.count[:, 0]
        count = count + c
        m = c * p.mass[:, 0]
        b = outline.bounds(p.shape)
        mass, moment = mass + m, moment + m * ((b.y0[:, 0] + b.y1[:, 0]) / 2.0 - y_wrist)
        minutes = minutes + c * p.minutes[:, 0]
        cost = cost + c * p.price[:, 0]
        if p.stock == "plates" and p.stock_index is not None:
            used[np.arange(n), p.stock_index[:, 0].astype(np.intp)] += c
    for k in range(used.shape[1]):
        cost = cost + np.where(used[:, k] > 0.0, shelf.plates.sheet_price[k], 0.0)
    minutes = minutes + count * shop.minutes["assembly_per_piece"]
    hours = minutes / 60.0
    return Tally(
        count, _numbers(pieces), mass, moment / np.maximum(mass, 1e-9), hours,
        cost + hours * shop.rate_per_hour,
    )
