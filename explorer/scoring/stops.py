"""How a drive closes on the way to each grip, and whether its parts clash on that way.

A pull P rises from nothing; the drawbar of finger i draws s_i = (c_i P - T0_i)/k_i, never less than
nothing and never more than its draw at contact.  Derived: each finger's opening spring against its share
of the pull, shares c_i those of the open hand without friction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from explorer.brief.demand import Demand, Position
from explorer.drives import envelope
from explorer.drives.assemble import clear_pairs
from explorer.drives.motion import Motion, move
from explorer.drives.pieces import Pair, Piece
from explorer.drives.shelf import Shelf
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail

STOPS = 11  # from open to contact, both counted
LEAST_STOPS = 9
_FAR = 1e3  # mm, a gap so wide that it stands for "no such piece"
_NO_RATE = 1e-9  # N/mm; a spring softer than this gives way all at once


@dataclass(frozen=True)
class Path:
    """The way from open to one grip: its position's index and name, draw (S,F) mm, pull (S,) N."""

    position: int
    name: str
    draw: Floats
    pull: Floats


@dataclass(frozen=True)
class Clash:
    """Two pieces that come nearer than asked, mm, at one stop of a path (0 open, `stops` - 1 contact)."""

    path: str
    stop: int
    stops: int
    a: str
    b: str
    gap: float
    asked: float


@dataclass(frozen=True)
class Closing:
    """A drive at every stop of every path.

    `motion` and `pieces` hold the brief's own positions first and from `first` on the stops, path by
    path; `gaps` (N, stops) the stops alone.
    """

    first: int
    paths: tuple[Path, ...]
    motion: Motion
    pieces: tuple[Piece, ...]
    gaps: tuple[tuple[Pair, Floats], ...]


def closing_path(
    position: int,
    name: str,
    draw: Floats,
    share: Floats,
    T0: Floats,
    k: Floats,
    stops: int = STOPS,
) -> Path:
    """Draws at `stops` equal steps of the total draw; draw, share, T0, k (F,).

    The pull is no even parameter: a finger with a spring of no rate closes all at once at its pull.  The
    corners of the way are joined by straight pieces, so a jump becomes a piece of its own.  Without any
    springs all fingers draw equal fractions.
    """
    if stops < LEAST_STOPS:
        raise ValueError(f"a path has at least {LEAST_STOPS} stops, not {stops}")
    part = np.linspace(0.0, 1.0, stops)
    if not (np.any(T0 > 0.0) or np.any(k > 0.0)):
        return Path(position, name, part[:, None] * draw, np.zeros(stops))
    corners, pulls = _corners(draw, share, T0, k)
    along = corners.sum(axis=1)
    if along[-1] <= 0.0:
        return Path(position, name, np.zeros((stops, draw.shape[0])), np.zeros(stops))
    at = part * along[-1]
    # where only the pull rises two corners have one place along the way: interp takes the later
    columns = [np.interp(at, along, corners[:, f]) for f in range(draw.shape[0])]
    out = np.ascontiguousarray(np.stack(columns, axis=1))
    out[-1] = draw
    return Path(position, name, out, np.interp(at, along, pulls))


def _corners(draw: Floats, share: Floats, T0: Floats, k: Floats) -> tuple[Floats, Floats]:
    """Draws (C,F) and pulls (C,) where a finger starts or meets its contact, by rising pull."""
    starts = T0 / share
    ends = (T0 + k * draw) / share
    pulls = np.unique(np.concatenate([starts, ends]))
    rows: list[Floats] = [np.zeros(draw.shape[0])]
    out = [0.0]
    for P in pulls:
        stretch = np.maximum(share * P - T0, 0.0)
        soft = k > _NO_RATE
        s = np.where(soft, np.minimum(stretch / np.where(soft, k, 1.0), draw), 0.0)
        s = np.where(ends <= P, draw, s)  # exactly at its contact, not a rounding off it
        before = np.where(~soft & (starts >= P), 0.0, s)
        after = np.where(~soft & (starts <= P), draw, s)
        rows += [before, after]
        out += [float(P), float(P)]
    return np.stack(rows), np.array(out)


def closing_paths(d: Detail, stops: int = STOPS) -> tuple[Path, ...]:
    """The way to every grip and carry of the brief; the detail of one drive."""
    demand = d.space.shelf.demand
    share = np.array([float(d.shares.plain(f)[0, 0]) for f in range(len(demand.fingers))])
    return tuple(
        closing_path(p, demand.positions[p].name, demand.draw[p], share, demand.T0, demand.k, stops)
        for p in (int(i) for i in demand.index("grip", "carry"))
    )


def closing(d: Detail, paths: Sequence[Path]) -> Closing:
    """One drive at all stops: where everything is and how far apart."""
    demand = d.space.shelf.demand
    draw = np.concatenate([demand.draw, *(p.draw for p in paths)])
    longer = replace(d.space, shelf=_shelf_at(d.space.shelf, paths))
    motion = move(d.drive, draw, demand.pin_x)
    pieces = longer.pieces(d.drive, motion)
    gaps = envelope.clearances(pieces, clear_pairs(longer, d.drive))
    first = len(demand.positions)
    wide = [(pair, np.broadcast_to(g, (g.shape[0], draw.shape[0]))[:, first:]) for pair, g in gaps]
    return Closing(first, tuple(paths), motion, pieces, tuple(wide))


def _shelf_at(shelf: Shelf, paths: Sequence[Path]) -> Shelf:
    """The shelf with the stops as further positions that only have a shape.

    They come after the brief's own: sizes that follow from the positions that count stay the same.
    """
    demand = shelf.demand
    count = len(demand.positions)
    rows = list(range(count)) + [p.position for p in paths for _ in range(p.draw.shape[0])]
    names = tuple(
        Position(
            f"{p.name}, stop {n}",
            "squeeze",
            demand.positions[p.position].grip,
            p.position,
            must=False,
        )
        for p in paths
        for n in range(p.draw.shape[0])
    )
    taken = {name: getattr(demand, name)[rows] for name in _BY_POSITION}
    taken["draw"] = np.concatenate([demand.draw, *(p.draw for p in paths)])
    longer: Demand = replace(demand, positions=demand.positions + names, **taken)
    return Shelf(shelf.brief, shelf.stock, longer)


_BY_POSITION = (
    "draw", "engaged", "parked_open", "parked_closed", "free", "spring", "m", "m_ideal", "press", "need",
    "floor", "wished", "carried", "share_of_day", "q1", "must_open", "stopped",
)  # fmt: skip


def clashes(d: Detail, stops: int = STOPS) -> tuple[Clash, ...]:
    """Every pair of pieces that comes nearer than the brief's clearance at a stop, nearest first."""
    paths = closing_paths(d, stops)
    if not paths:
        return ()
    found = closing(d, paths)
    asked = d.space.shelf.brief.cavity.clearance
    words = {p.key: p.words for p in found.pieces}
    out: list[Clash] = []
    edges = np.cumsum([0, *(p.draw.shape[0] for p in paths)])
    for pair, gap in found.gaps:
        for path, (low, high) in zip(paths, pairwise(edges), strict=True):
            there = gap[0, low:high]
            stop = int(there.argmin())
            if there[stop] < asked and there[stop] < _FAR:
                out.append(
                    Clash(path.name, stop, high - low, words[pair.a], words[pair.b],
                          float(there[stop]), asked)
                )  # fmt: skip
    return tuple(sorted(out, key=lambda c: c.gap))
