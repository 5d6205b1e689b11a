"""What the fingers get: delivered force, share error, reopening, carried loads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.records import Brief
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import (
    Shares,
    Ways,
    carried_pull,
    over_fingers,
    torque_share,
    worst_sum,
)
from explorer.mechanics.types import Floats

GRAVITY = 9.80665  # m/s2, standard


@dataclass(frozen=True)
class Delivered:
    """Per powered grip G (positions `at`): delivered N (N,G) worst signs, ratio to need, least finger slack N."""

    at: tuple[int, ...]
    force: Floats
    ratio: Floats
    finger: Floats
    F_out: Floats  # (N,P) at comfortable torque


def delivered(
    drive: Drive, motion: Motion, s: Shares, w: Ways, demand: Demand, brief: Brief
) -> Delivered:
    """Delivered grip at comfortable torque, minimised over the friction signs of all equalisers together."""
    torque = demand.pull_comfortable * torque_share(demand, motion, brief)
    F_out = torque * drive.ratio.ripple_by / w.pull
    n_f = len(demand.fingers)
    weight = np.where(demand.engaged, demand.m * demand.press, 0.0)
    spring = over_fingers(s, weight * demand.spring)
    total = F_out * worst_sum(s, tuple(weight[:, f] for f in range(n_f))) - spring
    at = tuple(i for i, p in enumerate(demand.positions) if p.kind == "grip" and p.must)
    index = list(at)
    finger = np.full((drive.n, len(demand.positions)), np.inf)
    floor = demand.floor + brief.limits.finger_floor
    for f in range(n_f):
        press = (F_out * s.low(f) - demand.spring[:, f]) * weight[:, f]
        finger = np.where(demand.engaged[:, f], np.minimum(finger, press - floor[:, f]), finger)
    need = np.where(demand.need > 0.0, demand.need, np.nan)[index]
    force = np.ascontiguousarray(total[:, index])
    ratio = np.where(np.isnan(need), np.inf, force / np.where(np.isnan(need), 1.0, need))
    return Delivered(at, force, ratio, np.ascontiguousarray(finger[:, index]), F_out)


def plain_targets(drive: Drive, demand: Demand) -> tuple[Floats, ...]:
    """Share of each finger with no tilt, lean or friction (N,1)."""
    flat = np.zeros((drive.n, 1))
    out: dict[int, Floats] = {}
    top = [np.ones((drive.n, 1))]
    if drive.first is not None:
        c = drive.first.plain_share(flat)
        top = [c, 1.0 - c]
    for k, carrier in enumerate(drive.carriers):
        if carrier.body is None:
            out[carrier.fingers[0]] = top[k]
        else:
            c = carrier.body.plain_share(flat)
            out[carrier.fingers[0]] = top[k] * c
            out[carrier.fingers[1]] = top[k] * (1.0 - c)
    return tuple(out[f] for f in range(len(demand.fingers)))


def share_error(drive: Drive, s: Shares, demand: Demand) -> Floats:
    """max over powered must grips, engaged fingers and signs of |T_i/(t_i F_out) - 1| (N,)."""
    targets = plain_targets(drive, demand)
    powered = np.array([p.kind == "grip" and p.must for p in demand.positions])
    worst = np.zeros((drive.n, len(demand.positions)))
    for f, plain in enumerate(targets):
        wished = demand.wished[:, f]
        t = np.where(np.isnan(wished), plain, np.where(np.isnan(wished), 1.0, wished))
        off = np.maximum(np.abs(s.high(f) / t - 1.0), np.abs(s.low(f) / t - 1.0))
        worst = np.where(demand.engaged[:, f] & powered, np.maximum(worst, off), worst)
    return np.asarray(worst.max(axis=1))


def reopening(s: Shares, w: Ways, demand: Demand, brief: Brief) -> Floats:
    """Pull that the springs leave at the input with the wrist relaxed, less the drag, N (N,P).

    P_s = min over fingers that must open of spring/share; times F_in/F_out when holding.
    """
    pull = np.full_like(w.hold, np.inf)
    for f in range(len(demand.fingers)):
        share = np.maximum(s.plain(f), 1e-6)
        pull = np.where(demand.must_open[:, f], np.minimum(pull, demand.spring[:, f] / share), pull)
    return np.where(np.isinf(pull), 0.0, np.where(np.isinf(pull), 1.0, pull) * w.hold) - np.where(
        np.isinf(pull), 0.0, brief.limits.input_drag
    )


def lifting(s: Shares, w: Ways, demand: Demand) -> Floats:
    """F_in that lifts the carried load by the wrist, N (N,P); 0 where nothing is carried."""
    return carried_pull(demand, s, demand.m) * w.pull


def hook_kg(F_out: Floats, demand: Demand, s: Shares, m: Floats) -> Floats:
    """Load on the hook that a pull F_out (N,P) holds, kg: the inverse of `carried_pull`, worst signs."""
    spring = over_fingers(s, np.where(demand.engaged, m * demand.spring, 0.0))
    reach = worst_sum(
        s, tuple(np.where(demand.engaged[:, f], m[:, f], 0.0) for f in range(m.shape[1]))
    )
    return (F_out * reach - spring) / GRAVITY
