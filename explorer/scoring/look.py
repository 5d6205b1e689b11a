"""First looks at a chunk of vectors: what sizes and motion tell, a tenth of the work of a whole score, and what room.

Each look bounds the violation of the whole score from below, so a search may leave out what is lost already.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from explorer.drives import envelope, totals
from explorer.drives.assemble import Space, clear_pairs, plays
from explorer.drives.envelope import Envelope
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, worst_overshoot
from explorer.drives.nearest import least_clearance
from explorer.drives.picked import picked
from explorer.drives.pieces import Piece
from explorer.drives.swept import swept
from explorer.drives.totals import Tally
from explorer.mechanics.types import Bools, Floats, Ints
from explorer.scoring.limits import missed


def worst(values: Floats, must: Bools) -> Floats:
    """Smallest over the must positions (N,); where forces count, the squeezes at the end are left out."""
    kept = must[: values.shape[1]]
    return np.asarray(values.min(axis=1) if kept.all() else values[:, kept].min(axis=1))


@dataclass(frozen=True)
class FirstLook:
    """Drives laid out and moved; lost motion at the input `play` (N,) and the slacks known so far (N,) by limit."""

    drive: Drive
    motion: Motion
    play: Floats
    slacks: Mapping[str, Floats]

    @cached_property
    def violation(self) -> Floats:
        """By how much a drive misses at least (N,): a bound under the violation of its whole score."""
        return missed(self.slacks)

    def only(self, rows: Ints) -> FirstLook:
        """Some of the drives."""
        n = self.drive.n
        if len(rows) == n:
            return self
        return FirstLook(
            picked(self.drive, n, rows),
            picked(self.motion, n, rows),
            self.play[rows],
            {k: v[rows] for k, v in self.slacks.items()},
        )


@dataclass(frozen=True)
class Room:
    """All pieces of drives laid out, what they take, and the slacks (N,) of room by limit."""

    pieces: tuple[Piece, ...]
    clear: Floats  # least clearance of all pairs (N,)
    envelope: Envelope
    tally: Tally
    slacks: Mapping[str, Floats]

    def only(self, rows: Ints) -> Room:
        """Some of the drives; their pieces are left out where some are not all."""
        n = len(self.clear)
        if len(rows) == n:
            return self
        return Room(
            (),
            self.clear[rows],
            picked(self.envelope, n, rows),
            picked(self.tally, n, rows),
            {k: v[rows] for k, v in self.slacks.items()},
        )


def first_look(space: Space, X: Floats) -> FirstLook:
    """Lays out and moves the drives of X (N,V)."""
    brief, demand = space.shelf.brief, space.shelf.demand
    must = np.array([p.must for p in demand.positions])
    drive = space.build(X)
    motion = space.move(drive)
    play = np.zeros(drive.n)
    for p in plays(space, drive, motion):
        play = play + p.at_input[:, 0]
    lean = np.degrees(np.arcsin(np.minimum(motion.lean_worst, 1.0)))
    lean = lean + 90.0 * np.maximum(motion.lean_worst - 1.0, 0.0)
    slacks = {
        "stroke": demand.stroke - play + worst(-motion.X, must),
        "reach": worst(-worst_overshoot(motion), must),
        "lean": np.degrees(brief.limits.lean) + worst(-lean, must),
    }
    for limit in space.limits(drive, motion):
        kept = slacks.get(limit.id)
        slacks[limit.id] = limit.slack if kept is None else np.minimum(kept, limit.slack)
    return FirstLook(drive, motion, play, slacks)


def room_look(space: Space, look: FirstLook, *, tallied: bool = True) -> Room:
    """Lists and sweeps the pieces of these drives; not `tallied`: of the tally only the count of pieces."""
    brief = space.shelf.brief
    pieces = space.pieces(look.drive, look.motion)
    room = swept(pieces, np.array([p.must for p in space.shelf.demand.positions]))
    clear = least_clearance(room, clear_pairs(space, look.drive))
    e = envelope.envelope(room, brief)
    slacks = {"clearance": clear - brief.cavity.clearance, "cavity": e.cavity, "keepout": e.keepout}
    if "clearance" in look.slacks:
        slacks["clearance"] = np.minimum(slacks["clearance"], look.slacks["clearance"])
    made = totals.tally if tallied else totals.count_alone
    return Room(pieces, clear, e, made(pieces, space.shelf), slacks)
