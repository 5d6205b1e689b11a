"""The brief as arrays: positions x fingers.  Independent of any drive, computed once a study.

P positions, F fingers.  Everything here is plain numbers; the drives never look at a grip again.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Literal

import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints

PositionKind = Literal["open", "grip", "squeeze", "carry", "fist", "neighbours"]


@dataclass(frozen=True)
class Position:
    """One position.  `grip` is the grip's index in the brief or -1; `of` a squeeze's contact position.

    `must`: its limits count; otherwise it is only reported.
    """

    name: str
    kind: PositionKind
    grip: int
    of: int
    must: bool


@dataclass(frozen=True)
class Demand:
    """What the fingers do in every position; mm, N.  Squeeze positions carry geometry only.

    draw (P,F) drawbar draws s_i; engaged, parked_open, parked_closed, free (P,F); spring (P,F) T0 + k s;
    m (P,F) pad force per drawbar newton, finger efficiency included, 0 where not engaged; m_ideal (P,F)
    the same without the finger efficiency; press (P,F) cos(gamma) of what presses on the object
    (1 in carries); need (P,) N in all; floor (P,F) N per engaged finger; wished (P,F) wished shares,
    nan where the default (what this drive gives with no tilt, lean or friction) applies; carried (P,) N;
    share_of_day (P,); q1 (P,F) rad; must_open (P,F) fingers that have to reopen by their springs;
    stopped (P,F) squeeze fingers that met their stop before the reserve was drawn.
    Per finger (F,): full_draw, T0, k, pin_x, pin_y, pin_z.  wrist pull N: often, comfortable, peak.
    """

    fingers: tuple[str, ...]
    positions: tuple[Position, ...]
    draw: Floats
    engaged: Bools
    parked_open: Bools
    parked_closed: Bools
    free: Bools
    spring: Floats
    m: Floats
    m_ideal: Floats
    press: Floats
    need: Floats
    floor: Floats
    wished: Floats
    carried: Floats
    share_of_day: Floats
    q1: Floats
    must_open: Bools
    stopped: Bools
    full_draw: Floats
    T0: Floats
    k: Floats
    pin_x: Floats
    pin_y: Floats
    pin_z: Floats
    pull_often: float
    pull_comfortable: float
    pull_peak: float
    stroke: float  # arm x travel - lost motion of the brief
    torque_angle: Floats  # (K,) rad, rising; empty: constant
    torque_share: Floats  # (K,)

    def index(self, *kinds: PositionKind) -> Ints:
        """Indices (int array) of the positions of these kinds, in order."""
        return np.array([i for i, p in enumerate(self.positions) if p.kind in kinds], dtype=np.intp)

    def only_must(self) -> Demand:
        """The positions that score, alone: what is only reported costs the search nothing.

        Open stays, whatever its limits count: joints swing from there and springs open the hand there.
        Squeezes come last, so that forces can leave them out.  Where that is all there is, itself.
        """
        must = [i for i, p in enumerate(self.positions) if p.must or p.kind == "open"]
        kept = sorted(must, key=lambda i: self.positions[i].kind == "squeeze")
        return self if kept == list(range(len(self.positions))) else self.only(kept)

    @cached_property
    def forced(self) -> Demand:
        """Without the squeezes, which carry geometry only, where these come last; else all."""
        squeezes = [p.kind == "squeeze" for p in self.positions]
        count = len(squeezes) - sum(squeezes)
        return self if any(squeezes[:count]) or all(squeezes) else self.only(list(range(count)))

    def only(self, kept: list[int]) -> Demand:
        """Some positions, in this order."""
        new = {old: k for k, old in enumerate(kept)}
        rows = {
            f.name: getattr(self, f.name)[kept]
            for f in fields(self)
            if isinstance(getattr(self, f.name), np.ndarray)
            and getattr(self, f.name).shape[:1] == (len(self.positions),)
            and f.name not in _OF_ALL_POSITIONS
        }
        positions = tuple(
            replace(p, of=new.get(p.of, -1)) for p in (self.positions[i] for i in kept)
        )
        return replace(self, positions=positions, **rows)


_PER_FINGER = ("full_draw", "T0", "k", "pin_x", "pin_y", "pin_z", "torque_angle", "torque_share")
_OF_ALL_POSITIONS = (*_PER_FINGER, "pull_often", "pull_comfortable", "pull_peak")
