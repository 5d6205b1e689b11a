"""The nearest of many: exact least distances of pairs of pieces, and of pieces to keep-outs.

Swept boxes, then boxes in each position, tell what cannot be the nearest; exact distances are worked
out only for what is left, so that the result is the exact least whatever was left out.  What meets in
the same way, wheel and link say, is worked out together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.records import Box as Solid
from explorer.drives.pieces import Pair
from explorer.drives.swept import Outline, Swept, joined
from explorer.mechanics import distance
from explorer.mechanics.outline import Box
from explorer.mechanics.types import Bools, Floats, Ints

NEVER = 1e3  # mm, a gap so wide that it cannot matter
_ROUNDING = (
    1e-9  # mm; what comes this near to the least so far is worked out, so that order is no matter
)
_BLOCK = 8000  # entries worked out at a time, so that they stay in cache
_FIRST, _REST = slice(0, 1), slice(1, None)


@dataclass(frozen=True)
class _Meetings:
    """What meets: outlines (Q), a lower bound of every gap and the gap along z, mm (Q,N)."""

    lines: Sequence[tuple[Outline, Outline]]
    bound: Floats
    z: Floats


@dataclass(frozen=True)
class _Met:
    """Two outlines and the candidates in which they may be the nearest; z their gap along z (R,), mm."""

    a: Outline
    b: Outline
    rows: Ints
    z: Floats


def _apart(a: Box, b: Box) -> Floats:
    """Least distance that two boxes can have, mm."""
    across = np.maximum(a.x0 - b.x1, b.x0 - a.x1)
    return np.maximum(across, np.maximum(a.y0 - b.y1, b.y0 - a.y1))


def _plan(a: Outline, b: Outline, below: Floats) -> Floats:
    """Least gap in plan over the positions (R,), inf where no box comes under `below` (R,)."""
    mask = _apart(a.box(), b.box()) < below
    at = np.flatnonzero(mask)
    r = at % below.size
    full = np.full(mask.size, np.inf)
    for i in range(0, at.size, _BLOCK):
        cut = slice(i, i + _BLOCK)
        one = (at[cut], r[cut])
        full[at[cut]] = distance.gap(a.entries(*one), b.entries(*one))
    return np.asarray(full.reshape(mask.shape).min(axis=0))


def _alike(m: _Meetings, asked: Bools) -> list[list[_Met]]:
    """What is asked for (Q,N), in lists of outlines of the same two kinds."""
    found: dict[tuple[str, str], list[_Met]] = {}
    for q in np.flatnonzero(asked.any(axis=1)):
        first, second = m.lines[int(q)]
        for a, some in first.plainer(np.flatnonzero(asked[q])):
            for b, rows in second.plainer(some):
                met = _Met(a, b, rows, m.z[q].take(rows))
                found.setdefault((a.kind, b.kind), []).append(met)
    return list(found.values())


def _lower(out: Floats, m: _Meetings, asked: Bools, positions: slice) -> None:
    """Lower `out` (N,) to the gaps asked for (Q,N), in some positions."""
    for group in _alike(m, asked):
        found = group
        if positions == _REST:
            found = [g for g in group if max(g.a.positions, g.b.positions) > 1]
            if not found:
                continue
        sizes = [g.rows.size for g in found]
        a = joined([g.a.some(g.rows, positions) for g in found], sizes)
        b = joined([g.b.some(g.rows, positions) for g in found], sizes)
        rows = np.concatenate([g.rows for g in found])
        if positions == _FIRST:
            plan = distance.gap(a.shape, b.shape)[0]
        else:
            plan = _plan(a, b, out[rows] + _ROUNDING)
        np.minimum.at(out, rows, np.maximum(plan, np.concatenate([g.z for g in found])))


def _least(m: _Meetings, most: Floats) -> Floats:
    """Least gap of all meetings and of `most` (N,), mm.

    First the meeting with the lowest bound, in the first position: what it leaves is seldom far from
    the least.  Then the others in that position; then the other positions.
    """
    out = most.copy()
    if len(m.lines) == 0:
        return out
    lowest = np.arange(len(m.lines))[:, None] == m.bound.argmin(axis=0)
    _lower(out, m, lowest & (m.bound < out + _ROUNDING), _FIRST)
    _lower(out, m, ~lowest & (m.bound < out + _ROUNDING), _FIRST)
    _lower(out, m, m.bound < out + _ROUNDING, _REST)
    return out


def least_clearance(s: Swept, pairs: Sequence[Pair]) -> Floats:
    """Smallest gap of all pairs over the must positions (N,), mm.

    A gap is the larger of the gap in plan and the gap along z; pieces that are not there never meet.
    """
    i, j = s.rows([p.a for p in pairs]), s.rows([p.b for p in pairs])
    z = np.maximum(s.z0[i] - s.z1[j], s.z0[j] - s.z1[i])
    a = Box(s.x0[i], s.x1[i], s.y0[i], s.y1[i])
    bound = np.maximum(_apart(a, Box(s.x0[j], s.x1[j], s.y0[j], s.y1[j])), z)
    bound = np.where(s.there[i] & s.there[j], bound, np.inf)
    lines = [(s.outlines[a], s.outlines[b]) for a, b in zip(i, j, strict=True)]
    return _least(_Meetings(lines, bound, z), np.full(bound.shape[1], NEVER))


def least_to_keepouts(s: Swept, y1: Floats, keepouts: Sequence[Solid]) -> Floats:
    """Least distance of all pieces to the keep-outs (N,), mm, negative inside; `y1` (S,N) cut off.

    A piece whose swept box is clear of a keep-out counts by that box, the others by their outlines.
    """
    out = np.full(s.x0.shape[1], NEVER)
    lines: list[tuple[Outline, Outline]] = []
    bound, along = [], []
    for k in keepouts:
        solid = Box(*(np.full((1, 1), getattr(k, n)) for n in ("x0", "x1", "y0", "y1")))
        other = Outline(solid, lone=True)
        z = np.maximum(s.z0 - k.z1, k.z0 - s.z1)
        away = np.maximum(_apart(Box(s.x0, s.x1, s.y0, y1), solid), z)
        away = np.where(s.there, away, NEVER)
        inside = away < 0.0
        out = np.minimum(out, np.where(inside, NEVER, away).min(axis=0))
        for i in np.flatnonzero(inside.any(axis=1)):
            lines.append((s.outlines[i], other))
            bound.append(np.where(inside[i], away[i], np.inf))
            along.append(z[i])
    return _least(_Meetings(lines, np.array(bound), np.array(along)), out)
