"""Room over the pieces: overall box, stages' boxes, cavity and keep-outs, and the gap of every pair."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.records import Brief
from explorer.drives.nearest import NEVER, least_to_keepouts
from explorer.drives.pieces import Pair, Piece, present
from explorer.drives.swept import Swept
from explorer.mechanics import distance
from explorer.mechanics.types import Floats, Ints


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


def _join(edges: Sequence[Floats], rows: Ints) -> Span:
    """Box round the boxes of some pieces; low edges (S,N) lead high ones."""
    x0, y0, z0 = (e[rows].min(axis=0) for e in edges[:3])
    x1, y1, z1 = (e[rows].max(axis=0) for e in edges[3:])
    return Span(x0, x1, y0, y1, z0, z1)


@dataclass(frozen=True)
class Envelope:
    """Overall box, the boxes of the stages, and the slack to cavity and keep-outs, mm (N,)."""

    box: Span
    stages: tuple[tuple[str, Span], ...]
    room: Floats  # mm3, sum of the stages' boxes
    cavity: Floats  # least slack to the cavity's sides
    cavity_sides: tuple[Floats, ...]  # x0, x1, y0, y1, z0, z1
    keepout: Floats


def envelope(s: Swept, brief: Brief) -> Envelope:
    """Boxes over the must positions.

    Free strands past the knuckle line are not in it: strands and links end at the cavity's finger end.
    """
    c = brief.cavity.box
    free = np.array([p.what in ("chain", "link") for p in s.pieces])[:, None]
    y1 = np.where(free, np.minimum(s.y1, c.y1), s.y1)
    low = [np.where(s.there, e, np.inf) for e in (s.x0, s.y0, s.z0)]
    high = [np.where(s.there, e, -np.inf) for e in (s.x1, y1, s.z1)]
    stages: dict[str, list[int]] = {}
    for i, p in enumerate(s.pieces):
        stages.setdefault(p.stage, []).append(i)
    boxes = tuple((name, _join((*low, *high), np.array(i))) for name, i in stages.items())
    box = _join((*low, *high), np.arange(len(s.pieces)))
    room = boxes[0][1].volume()
    for _, b in boxes[1:]:
        room = room + b.volume()
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
    keep = least_to_keepouts(s, y1, brief.cavity.keepouts)
    return Envelope(box, boxes, room, worst, sides, keep)


def clearances(pieces: Sequence[Piece], pairs: Sequence[Pair]) -> tuple[tuple[Pair, Floats], ...]:
    """Gap of every declared pair (N,P): the larger of the plan gap and the z gap; absent pieces never meet."""
    by_key = {p.key: p for p in pieces}
    out = []
    for pair in pairs:
        a, b = by_key[pair.a], by_key[pair.b]
        z = np.maximum(a.z0 - b.z1, b.z0 - a.z1)
        plan = distance.gap(a.shape, b.shape)
        out.append((pair, np.where(present(a) & present(b), np.maximum(plan, z), NEVER)))
    return tuple(out)
