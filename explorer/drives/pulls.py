"""Pulls through a drive: shares with skew, delivered grip, what parts must carry, what wears them.

An equaliser's two shares sum to one; friction shifts them by +-skew.  Scores take the worst signs of all
equalisers together; parts are loaded with the high sides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.records import Brief
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.mechanics import friction, settle
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Shares:
    """Shares of F_out, (N,P): carriers (K), fingers within their carrier (F); `skew_*` half differences."""

    carrier: tuple[Floats, ...]
    skew_first: Floats
    finger: tuple[Floats, ...]  # of its carrier
    skew_second: tuple[Floats, ...]  # one a finger (0 for a finger alone)
    carrier_of: tuple[int, ...]
    sign_of: tuple[float, ...]  # +1 for side a, -1 for side b, of its own equaliser

    def low(self, f: int) -> Floats:
        """Least share of F_out that finger f can get (N,P)."""
        return (self.carrier[self.carrier_of[f]] - self.skew_first) * (
            self.finger[f] - self.skew_second[f]
        )

    def high(self, f: int) -> Floats:
        """Largest share of F_out that finger f can get (N,P)."""
        return (self.carrier[self.carrier_of[f]] + self.skew_first) * (
            self.finger[f] + self.skew_second[f]
        )

    def plain(self, f: int) -> Floats:
        """Share of F_out without friction (N,P)."""
        return self.carrier[self.carrier_of[f]] * self.finger[f]


def shares(drive: Drive, motion: Motion) -> Shares:
    """Shares and skews of every equaliser (N,P)."""
    one = np.ones_like(motion.Y)
    zero = np.zeros_like(motion.Y)
    if motion.first is None:
        carrier: tuple[Floats, ...] = (one,)
        skew_first = zero
    else:
        carrier = (motion.first.share_a, motion.first.share_b)
        skew_first = motion.first.skew + zero
    finger: dict[int, tuple[Floats, Floats, int, float]] = {}
    for k, (c, m) in enumerate(zip(drive.carriers, motion.second, strict=True)):
        if m is None:
            finger[c.fingers[0]] = (one, zero, k, 1.0)
        else:
            finger[c.fingers[0]] = (m.share_a, m.skew + zero, k, 1.0)
            finger[c.fingers[1]] = (m.share_b, m.skew + zero, k, -1.0)
    order = sorted(finger)
    return Shares(
        carrier,
        skew_first,
        tuple(finger[f][0] for f in order),
        tuple(finger[f][1] for f in order),
        tuple(finger[f][2] for f in order),
        tuple(finger[f][3] for f in order),
    )


def over_fingers(s: Shares, rows: Floats) -> Floats:
    """Sum over the fingers of rows (P,F), carrier by carrier: the same bits when two change places."""
    parts = [0.0 * rows[:, 0] for _ in s.carrier]
    for f, k in enumerate(s.carrier_of):
        parts[k] = parts[k] + rows[:, f]
    return parts[0] if len(parts) == 1 else parts[0] + parts[1]


def worst_sum(s: Shares, weights: tuple[Floats, ...]) -> Floats:
    """min over all friction signs of sum_f weights_f x share_f (N,P); weights >= 0, (P,) or (N,P).

    Within a carrier the second equaliser's sign is free, then the first equaliser's: 8 combinations.
    """
    inner = []
    for k in range(len(s.carrier)):
        members = [f for f in range(len(s.finger)) if s.carrier_of[f] == k]
        plain = sum(s.finger[f] * weights[f] for f in members)
        swing = sum(s.sign_of[f] * s.skew_second[f] * weights[f] for f in members)
        inner.append(plain - np.abs(swing))
    if len(inner) == 1:
        return np.asarray(s.carrier[0] * inner[0])
    low = s.carrier[0] * inner[0] + s.carrier[1] * inner[1]
    return np.asarray(low - s.skew_first * np.abs(inner[0] - inner[1]))


@dataclass(frozen=True)
class Ways:
    """F_in/F_out when pulling and when holding, and efficiencies (N,P)."""

    pull: Floats
    hold: Floats
    locks: Floats  # mm of input arm left after friction
    eta: Floats
    eta_hold: Floats


def ways(drive: Drive, motion: Motion, s: Shares) -> Ways:
    """Friction of the ratio part in every position."""
    r, theta = drive.ratio, motion.theta
    tan_out = tuple(settle.lean_tan(q) for q in motion.exit_sine)
    loads = s.carrier if len(motion.exit_sine) > 1 else (np.ones_like(theta),)
    sup = r.supports(theta, tan_out, loads)
    rub = r.couples(theta, _rubbing_cos(motion, loads))
    pull = friction.pulling(motion.a1, motion.a2, rub.at_in, rub.at_out, sup)
    hold = friction.holding(motion.a1, motion.a2, rub.at_in, rub.at_out, sup)
    step = motion.step
    return Ways(pull.f, hold.f, pull.locks, step / pull.f, hold.f / step)


def _rubbing_cos(motion: Motion, loads: tuple[Floats, ...]) -> Floats:
    """cos of the lean that one output would need to rub like all: each chain rubs by its own force."""
    cos = tuple(settle.lean_cos(q) for q in motion.exit_sine)
    if len(cos) == 1:
        return cos[0]
    return np.asarray(1.0 / (loads[0] / cos[0] + loads[1] / cos[1]))


def torque_share(demand: Demand, motion: Motion, brief: Brief) -> Floats:
    """Share of the stated wrist torque at each position's wrist angle X/arm (N,P)."""
    if demand.torque_angle.size == 0:
        return np.ones_like(motion.X)
    angle = motion.X / brief.wrist.arm
    return np.interp(angle, demand.torque_angle, demand.torque_share).reshape(motion.X.shape)


@dataclass(frozen=True)
class Pulls:
    """Pulls along y in every position, high sides, N: input, output, carriers (K), fingers (F); (N,P)."""

    F_in: Floats
    F_out: Floats
    carrier: tuple[Floats, ...]
    finger: tuple[Floats, ...]


def spread_out(s: Shares, F_in: Floats, F_out: Floats, carriers: tuple[Floats, ...]) -> Pulls:
    """Fingers from carrier pulls with their own high sides."""
    return Pulls(
        F_in,
        F_out,
        carriers,
        tuple(
            carriers[s.carrier_of[f]] * (s.finger[f] + s.skew_second[f])
            for f in range(len(s.finger))
        ),
    )


def carried_pull(demand: Demand, s: Shares, m: Floats) -> Floats:
    """F_out that carries the load in each carry position, worst signs; 0 elsewhere (N,P).

    F_out = (W + sum m (T0 + k s))/min sum m c; `m` (P,F) with or without the finger efficiency.
    """
    lifts = demand.carried > 0.0
    spring = over_fingers(s, np.where(demand.engaged, m * demand.spring, 0.0))
    weights = tuple(np.where(demand.engaged[:, f], m[:, f], 0.0) for f in range(m.shape[1]))
    reach = worst_sum(s, weights)
    reach = np.where(lifts & (reach > 0.0), reach, 1.0)
    return np.where(lifts, (demand.carried + spring) / reach, 0.0)


def loaded(demand: Demand) -> Floats:
    """1 for positions that load parts: must, but neither open nor a squeeze; (P,)."""
    return np.array([float(p.must and p.kind not in ("open", "squeeze")) for p in demand.positions])


def strength_pulls(
    motion: Motion,
    s: Shares,
    demand: Demand,
    brief: Brief,
    *,
    wrist: bool = True,
    hook: bool = True,
) -> Pulls:
    """What parts must carry without the overload: peak torque through the frictionless ratio, and loads.

    `wrist`, `hook` choose the source, for the two ladders.
    """
    mask = loaded(demand)
    zero = np.zeros_like(motion.Y)
    peak = demand.pull_peak * torque_share(demand, motion, brief) * mask if wrist else zero
    out_peak = peak / motion.step
    load = carried_pull(demand, s, demand.m_ideal) * mask if hook else zero
    at_carriers = brief.strength.lock == "carriers"
    F_out = out_peak if at_carriers else np.maximum(out_peak, load)
    if at_carriers and len(s.carrier) > 1:
        share = brief.strength.carrier_share
        carriers = tuple(
            np.maximum(out_peak * (c + s.skew_first), load * np.maximum(share, c))
            for c in s.carrier
        )
    elif at_carriers:
        carriers = (np.maximum(out_peak, load),)
    else:
        carriers = tuple(F_out * (c + s.skew_first) for c in s.carrier)
    return spread_out(s, F_out * motion.step, F_out, carriers)


def everyday_pulls(
    drive: Drive, motion: Motion, s: Shares, w: Ways, demand: Demand, brief: Brief
) -> Pulls:
    """What wears parts: comfortable torque through the real ratio in powered grips, the load in carries."""
    powered = np.array([float(p.kind == "grip") for p in demand.positions])
    F_in = demand.pull_comfortable * torque_share(demand, motion, brief) * powered
    load = carried_pull(demand, s, demand.m_ideal)
    F_out = F_in * drive.ratio.ripple_by / w.pull + load
    carriers = tuple(F_out * (c + s.skew_first) for c in s.carrier)
    at_carriers = brief.strength.lock == "carriers"
    out = np.where(load > 0.0, 0.0, F_out) if at_carriers else F_out
    return spread_out(s, F_in + np.where(load > 0.0, out * w.hold, 0.0), out, carriers)
