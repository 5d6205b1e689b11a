"""Swept boxes of all pieces side by side, and their outlines laid out so that single entries can be taken.

Here the positions lead and the candidates lie side by side: (P,N), and pieces lead over both: (S,N).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from explorer.drives.pieces import Piece, present
from explorer.mechanics import outline
from explorer.mechanics.outline import Box, Sector, Shape, Stadium
from explorer.mechanics.types import Bools, Floats, Ints

_Take = Callable[[Floats], Floats]
_NAMES: dict[type, tuple[str, ...]] = {
    kind: tuple(f.name for f in fields(kind)) for kind in (Stadium, Sector, Box)
}
_WITHIN = ("ring", "bush", "washer")  # lie inside their pin's own outline, ends and heads included


@dataclass(frozen=True)
class Outline:
    """A shape over the must positions: its fields are (P,N), or (1,N) where they stay the same.

    `lone`: one shape (1,1) for all candidates.
    """

    shape: Shape
    lone: bool = False

    @cached_property
    def positions(self) -> int:
        """How many positions it takes, 1 when it stays where it is."""
        return max(int(getattr(self.shape, n).shape[0]) for n in _NAMES[type(self.shape)])

    @cached_property
    def disc(self) -> Outline:
        """The disc that a sector is part of; any other shape is itself."""
        s = self.shape
        if not isinstance(s, Sector):
            return self
        return Outline(outline.disc(s.cx, s.cy, np.maximum(s.r_hub, s.r)))

    def plainer(self, rows: Ints) -> tuple[tuple[Outline, Ints], ...]:
        """The candidates by what they are: a sector of more than half a turn to each side is a disc."""
        s = self.shape
        if not isinstance(s, Sector) or self.lone:
            return ((self, rows),)
        whole = s.half_angle.min(axis=0)[rows] >= np.pi
        parts = ((self.disc, rows[whole]), (self, rows[~whole]))
        return tuple((o, r) for o, r in parts if r.size)

    def box(self) -> Box:
        """A box round it in every position (P,N); for a sector that of its whole disc."""
        s = self.disc.shape if isinstance(self.shape, Sector) else self.shape
        if isinstance(s, Stadium) and s.is_disc:
            return Box(s.px - s.r, s.px + s.r, s.py - s.r, s.py + s.r)
        return outline.bounds(s)

    @cached_property
    def kind(self) -> str:
        """Outlines of one kind can be joined: discs, stadiums, sectors, boxes, lone boxes."""
        s = self.shape
        name = "Disc" if isinstance(s, Stadium) and s.is_disc else type(s).__name__
        return f"lone {name}" if self.lone else name

    def some(self, n: Ints, positions: slice) -> Outline:
        """Some positions of some candidates (P,R)."""
        if self.lone:
            return self

        def take(a: Floats) -> Floats:
            return (a if a.shape[0] == 1 else a[positions]).take(n, axis=1)

        return Outline(_mapped(self.shape, take))

    def entries(self, at: Ints, n: Ints) -> Shape:
        """Single entries (M,): one of candidate n each, `at` in the flattened (P,N)."""
        if self.lone:
            return self.shape

        def take(a: Floats) -> Floats:
            return a[0].take(n) if a.shape[0] == 1 else a.ravel().take(at)

        return _mapped(self.shape, take)

    def swept(self, n: int) -> Floats:
        """x0, x1, y0, y1 over the positions, of n candidates (4,N)."""
        edges = np.empty((4, n))
        for o, rows in self.plainer(np.arange(n)):
            if rows.size == n:
                edges[:] = o.extent()
            else:
                edges[:, rows] = o.some(rows, slice(None)).extent()
        return edges

    def extent(self) -> tuple[Floats, Floats, Floats, Floats]:
        """x0, x1, y0, y1 over the positions (N,)."""
        s = self.shape
        if not isinstance(s, Stadium):
            b = outline.bounds(s)
            return b.x0.min(axis=0), b.x1.max(axis=0), b.y0.min(axis=0), b.y1.max(axis=0)
        r = s.r[0]  # ends first, the radius once: fewer passes than by the boxes
        low, high = [a.min(axis=0) for a in (s.px, s.py)], [a.max(axis=0) for a in (s.px, s.py)]
        if not s.is_disc:
            low = [np.minimum(a, q.min(axis=0)) for a, q in zip(low, (s.qx, s.qy), strict=True)]
            high = [np.maximum(a, q.max(axis=0)) for a, q in zip(high, (s.qx, s.qy), strict=True)]
        return low[0] - r, high[0] + r, low[1] - r, high[1] + r


def _mapped(shape: Shape, take: _Take) -> Shape:
    """The same kind of shape with every field taken; discs stay discs."""
    if isinstance(shape, Stadium) and shape.is_disc:
        return outline.disc(take(shape.px), take(shape.py), take(shape.r))
    return type(shape)(*(take(getattr(shape, name)) for name in _NAMES[type(shape)]))


def joined(outlines: Sequence[Outline], sizes: Sequence[int]) -> Outline:
    """Outlines of one kind with all their candidates (P,R1), (P,R2) ... side by side."""
    if len(outlines) == 1:
        return outlines[0]
    first = outlines[0].shape
    parts = {n: [getattr(o.shape, n) for o in outlines] for n in _NAMES[type(first)]}
    if outlines[0].lone:
        each = (np.repeat(np.concatenate(p), sizes, axis=0).T for p in parts.values())
        return Outline(type(first)(*each))
    if isinstance(first, Stadium) and first.is_disc:
        return Outline(outline.disc(*(_side_by_side(parts[n]) for n in ("px", "py", "r"))))
    return Outline(type(first)(*(_side_by_side(p) for p in parts.values())))


def _side_by_side(parts: Sequence[Floats]) -> Floats:
    most = max(a.shape[0] for a in parts)
    level = [a if a.shape[0] == most else np.broadcast_to(a, (most, a.shape[1])) for a in parts]
    return np.concatenate(level, axis=1)


def outline_of(shape: Shape, must: Bools, n: int) -> Outline:
    """The shape of n candidates over the must positions, positions leading."""
    every = bool(must.all())

    def lay(a: Floats) -> Floats:
        kept = a.T if every or a.shape[1] == 1 else a[:, must].T
        return kept if kept.shape[1] == n else np.broadcast_to(kept, (kept.shape[0], n))

    return Outline(_mapped(shape, lay))


@dataclass(frozen=True)
class Swept:
    """What pieces sweep over the must positions: boxes and where they are there (S,N), outlines (S).

    Pieces that lie inside another are left out.
    """

    pieces: tuple[Piece, ...]
    outlines: tuple[Outline, ...]
    there: Bools
    x0: Floats
    x1: Floats
    y0: Floats
    y1: Floats
    z0: Floats
    z1: Floats

    def rows(self, keys: Sequence[str]) -> Ints:
        """Rows of some pieces by their keys."""
        at = {p.key: i for i, p in enumerate(self.pieces)}
        return np.array([at[k] for k in keys], dtype=np.intp)


def swept(pieces: Sequence[Piece], must: Bools) -> Swept:
    """Sweep every piece; an outline that several pieces share is swept once."""
    kept = tuple(p for p in pieces if p.what not in _WITHIN)
    n = pieces[0].count.shape[0]
    edges = np.empty((6, len(kept), n))
    there = np.empty((len(kept), n), dtype=bool)
    seen: dict[int, tuple[Outline, int]] = {}
    outlines: list[Outline] = []
    for i, p in enumerate(kept):
        o, first = seen.get(id(p.shape), (None, i))
        if o is not None:
            edges[:4, i] = edges[:4, first]
        else:
            o = outline_of(p.shape, must, n)
            seen[id(p.shape)] = o, i
            edges[:4, i] = o.swept(n)
        edges[4, i], edges[5, i] = p.z0[:, 0], p.z1[:, 0]
        there[i] = present(p)[:, 0]
        outlines.append(o)
    return Swept(kept, tuple(outlines), there, *edges)
