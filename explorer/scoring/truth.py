"""The truth table of a grip: what each finger gets under each direction of friction, and what is swallowed.

Every equaliser can rub either way.  Four ways at most: the first equaliser gives its index side more or
less, and all second equalisers do; each finger's least and largest share is among them.  A parked or
free finger's share goes into its lock or stop: swallowed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.pulls import Shares, carried_pull, loaded
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail


@dataclass(frozen=True)
class Way:
    """One choice of friction signs: +1 gives the index side of an equaliser more, -1 less; 0: there is none.

    `share` one array a finger (N,P), shares of F_out; they sum to one.
    """

    first: int
    second: int
    share: tuple[Floats, ...]


def ways_of(s: Shares) -> tuple[Way, ...]:
    """Every way, each once."""
    firsts = (1, -1) if len(s.carrier) > 1 else (0,)
    paired = len(set(s.carrier_of)) < len(s.carrier_of)
    seconds = (1, -1) if paired else (0,)
    return tuple(Way(a, b, _shares(s, a, b)) for a in firsts for b in seconds)


def _shares(s: Shares, first: int, second: int) -> tuple[Floats, ...]:
    side = (float(first), -float(first))
    return tuple(
        (s.carrier[s.carrier_of[f]] + side[s.carrier_of[f]] * s.skew_first)
        * (s.finger[f] + float(second) * s.sign_of[f] * s.skew_second[f])
        for f in range(len(s.finger))
    )


@dataclass(frozen=True)
class Row:
    """One grip under one way, one value a finger (N,F); `p` its position.

    pull N of the drawbar; force N on the object, (pull - spring) m cos(gamma), negative where the spring
    wins; swallowed N of pull in locks and stops.
    """

    p: int
    first: int
    second: int
    share: Floats
    pull: Floats
    force: Floats
    swallowed: Floats


def table(d: Detail) -> tuple[Row, ...]:
    """All grips and loads carried under all ways, at comfortable torque or at what holds the load."""
    demand = d.space.shelf.demand
    load = carried_pull(demand, d.shares, demand.m_ideal)
    F_out = np.where(demand.carried > 0.0, load, d.delivered.F_out)
    rows = []
    for p, position in enumerate(demand.positions):
        if position.kind not in ("grip", "carry"):
            continue
        engaged = demand.engaged[p]
        weight = np.where(engaged, demand.m[p] * demand.press[p], 0.0)
        for way in ways_of(d.shares):
            share = np.stack([c[:, p] for c in way.share], axis=-1)
            pull = share * F_out[:, p, None]
            force = np.where(engaged, (pull - demand.spring[p]) * weight, 0.0)
            swallowed = np.where(engaged, 0.0, pull)
            rows.append(Row(p, way.first, way.second, share, pull, force, swallowed))
    return tuple(rows)


@dataclass(frozen=True)
class ParkLoad:
    """What one lock or stop carries in one position at peak, N (N,): share x pull x factor.

    `place`: "lock" holds a finger open, "stop" is its closed stop; `finger` its index.
    """

    p: int
    finger: int
    place: str
    share: Floats
    pull: Floats
    load: Floats


def park_loads(d: Detail) -> tuple[ParkLoad, ...]:
    """Locks and stops of parked fingers in every position that loads parts.

    The high share of the largest output pull (peak torque without friction in the ratio part, or the
    load carried), times the overload of the brief.
    """
    demand, strength = d.space.shelf.demand, d.space.shelf.brief.strength
    heavy = loaded(demand)
    largest = np.maximum(d.strength.F_out, carried_pull(demand, d.shares, demand.m_ideal))
    out = []
    for p, position in enumerate(demand.positions):
        if not heavy[p] or position.kind not in ("grip", "carry"):
            continue
        for f in range(len(demand.fingers)):
            if demand.engaged[p, f]:
                continue
            finger = d.strength.finger[f][:, p]
            F_out = largest[:, p]
            share = np.where(F_out > 0.0, finger / np.where(F_out > 0.0, F_out, 1.0), 0.0)
            place = "lock" if demand.parked_open[p, f] else "stop"
            out.append(ParkLoad(p, f, place, share, F_out, finger * strength.overload))
    return tuple(out)


@dataclass(frozen=True)
class CarryLock:
    """What the brief's lock carries in one carry position, N (N,), overload included; `place` where it is."""

    p: int
    place: str
    load: Floats


def carry_locks(d: Detail) -> tuple[CarryLock, ...]:
    """The lock that holds a carried load: F_out dY/dX on the input drawbar, the larger carrier's pull else.

    At the carriers either one may take `carrier_share` of the load (assumed), as in the strength loads.
    """
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    place = brief.strength.lock
    if place == "none":
        return ()
    carried = carried_pull(demand, d.shares, demand.m_ideal)
    out = []
    for p in (int(i) for i in np.flatnonzero(demand.carried > 0.0)):
        F_out = carried[:, p]
        if place == "input drawbar":
            load = F_out * d.motion.step[:, p]
        elif len(d.shares.carrier) == 1:
            load = F_out
        else:
            c = d.shares.carrier
            most = np.maximum(c[0][:, p], c[1][:, p])
            load = F_out * np.maximum(most, brief.strength.carrier_share)
        out.append(CarryLock(p, place, load * brief.strength.overload))
    return tuple(out)
