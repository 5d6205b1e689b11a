"""How long until something wants looking at: weeks of every joint until its play limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.records import Brief
from explorer.drives.joints import Loads
from explorer.mechanics import wear
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class WearPart:
    """One wear part: weeks (N,) until its limit, and what is measured then."""

    key: str
    part: str
    weeks: Floats
    limit: float
    measure: str


def wear_parts(loads: Loads, demand: Demand, brief: Brief) -> tuple[WearPart, ...]:
    """Weeks of every pin joint (until the play limit) and chain (until it is 2 % longer).

    `loads` under everyday pulls.  Depth per grip = k Q (out and back) x loaded share of the swing / t.
    """
    use = brief.use
    per_week = use.grips_per_day * use.days_per_week * demand.share_of_day
    there = np.flatnonzero(per_week > 0.0)
    at = slice(there[0], there[-1] + 1) if there.size else slice(0, 0)
    names = [p.name for p in demand.positions[at]]
    by_name = sorted(range(len(names)), key=names.__getitem__)  # a sum in any order of the grips
    out: list[WearPart] = []

    def weekly(k: Floats | float, load: Floats, swing: Floats, t: Floats) -> Floats:
        arc = 2.0 * np.abs(swing[:, at]) * use.loaded_share
        depth = wear.depth_per_grip(np.broadcast_to(k, t.shape), np.abs(load[:, at]), arc, t)
        depth = depth * per_week[at]
        total = np.zeros(load.shape[0])
        for p in by_name:
            total = total + depth[:, p]
        return total

    for j in loads.pins:
        rate = weekly(j.wear_k, j.load, j.swing, j.wear_t)
        out.append(
            WearPart(
                j.key, j.part, wear.weeks_until(use.play_limit, rate), use.play_limit, "play, mm"
            )
        )
    for c in loads.chains:
        rate = weekly(brief.wear.chain_joint, c.load, c.swing, c.bearing_t)
        longer = wear.lengthening(rate, c.pitch[:, 0])
        out.append(
            WearPart(
                c.key,
                c.part,
                wear.weeks_until(use.chain_lengthening, longer),
                use.chain_lengthening,
                "length over ten links, share longer",
            )
        )
    return tuple(out)


def least_weeks(parts: tuple[WearPart, ...], n: int) -> Floats:
    """Weeks until the first of them (N,)."""
    least = np.full(n, np.inf)
    for p in parts:
        least = np.minimum(least, p.weeks)
    return least
