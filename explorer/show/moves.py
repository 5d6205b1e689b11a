"""How one drive moves and pulls: every position, every powered grip, every load carried."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.motion import StageMotion
from explorer.drives.pulls import Shares, carried_pull, loaded, torque_share
from explorer.scoring.grip import GRAVITY
from explorer.scoring.score import Detail
from explorer.show.plain import Table, deg, deg_of_sine, num

DOES = ("engaged", "parked_open", "parked_closed", "free")


def stage_names(d: Detail) -> tuple[str, ...]:
    """Words for the equalisers, in the order first, then one a carrier ("" for a finger alone)."""
    kinds = {"Bar": "lever", "Wheel": "wheel", "GearSplit": "gears"}
    first = "" if d.drive.first is None else f"first {kinds[type(d.drive.first).__name__]}"
    fingers = d.space.shelf.demand.fingers
    names = [first]
    for c in d.drive.carriers:
        pair = "-".join(fingers[i] for i in c.fingers)
        kind = {"Bar": "bar", "Wheel": "wheel"}.get(type(c.body).__name__, "")
        names.append(f"{kind} {pair}" if kind else "")
    return tuple(names)


def positions(d: Detail) -> list[Table]:
    """Every position: draws, shares, pulls, tilts and leans; forces where there are any."""
    return [_position(d, p) for p in range(len(d.space.shelf.demand.positions))]


def _position(d: Detail, p: int) -> Table:
    demand, m, w = d.space.shelf.demand, d.motion, d.ways
    position = demand.positions[p]
    daily = position.kind in ("grip", "carry")
    heavy = bool(loaded(demand)[p])
    return {
        "name": position.name,
        "kind": position.kind,
        "must": position.must,
        "F_in_N": num(d.everyday.F_in[0, p]) if daily else None,
        "F_out_N": num(d.everyday.F_out[0, p]) if daily else None,
        "F_in_strength_N": num(d.strength.F_in[0, p]) if heavy else None,
        "F_out_strength_N": num(d.strength.F_out[0, p]) if heavy else None,
        "X_mm": num(m.X[0, p]),
        "Y_mm": num(m.Y[0, p]),
        "theta_deg": deg(m.theta[0, p]),
        "a1_mm": num(m.a1[0, p]),
        "a2_mm": num(m.a2[0, p]),
        "efficiency_share": num(w.eta[0, p]),
        "efficiency_hold_share": num(w.eta_hold[0, p]),
        "lean_worst_deg": deg_of_sine(m.lean_worst[0, p]),
        "lean_exit_deg": [deg_of_sine(q[0, p]) for q in m.exit_sine],
        "reopen_spare_N": num(d.reopen[0, p]),
        "stages": [
            _stage(name, s, p)
            for name, s in zip(stage_names(d), (m.first, *m.second), strict=True)
            if s is not None
        ],
        "fingers": [_finger(d, p, f, daily=daily) for f in range(len(demand.fingers))],
    }


def _stage(name: str, s: StageMotion, p: int) -> Table:
    return {
        "name": name,
        "tilt_deg": deg(s.tilt[0, p]),
        "draw_mm": num(s.y[0, p]),
        "x_mm": num(s.x[0, p]),
        "lean_in_deg": deg_of_sine(s.sine_in[0, p]),
        "lean_a_deg": deg_of_sine(s.sine_a[0, p]),
        "lean_b_deg": deg_of_sine(s.sine_b[0, p]),
        "share_a_share": num(s.share_a[0, p]),
        "skew_share": num((s.skew + 0.0 * s.y)[0, p]),
    }


def _finger(d: Detail, p: int, f: int, *, daily: bool) -> Table:
    demand, s = d.space.shelf.demand, d.shares
    F_out = d.everyday.F_out[0, p]
    does = next((k for k in DOES if getattr(demand, k)[p, f]), "at rest")
    shares = {"low": s.low(f)[0, p], "plain": s.plain(f)[0, p], "high": s.high(f)[0, p]}
    table: Table = {
        "name": demand.fingers[f],
        "does": does.replace("_", " "),
        "draw_mm": num(demand.draw[p, f]),
        "q1_deg": deg(demand.q1[p, f]),
        "spring_N": num(demand.spring[p, f]),
        "stopped": bool(demand.stopped[p, f]),
    }
    for word, share in shares.items():
        table[f"share_{word}_share"] = num(share)
        table[f"pull_{word}_N"] = num(share * F_out) if daily else None
    return table


@dataclass(frozen=True)
class _Signs:
    """Shares of F_out (F,) under the one choice of friction signs that delivers least."""

    share: tuple[float, ...]


def _worst_signs(s: Shares, weight: np.ndarray, p: int) -> _Signs:
    """The signs behind `pulls.worst_sum` at position p; weight (F,)."""
    fingers = range(len(s.finger))
    own = [float(s.finger[f][0, p]) for f in fingers]
    inner = [0.0] * len(s.carrier)
    for k in range(len(s.carrier)):
        swing = sum(
            s.sign_of[f] * float(s.skew_second[f][0, p]) * float(weight[f])
            for f in fingers
            if s.carrier_of[f] == k
        )
        for f in fingers:
            if s.carrier_of[f] == k:
                own[f] -= float(np.sign(swing)) * s.sign_of[f] * float(s.skew_second[f][0, p])
                inner[k] += own[f] * float(weight[f])
    carrier = [float(c[0, p]) for c in s.carrier]
    if len(carrier) > 1:
        shift = float(np.sign(inner[0] - inner[1])) * float(s.skew_first[0, p])
        carrier = [carrier[0] - shift, carrier[1] + shift]
    return _Signs(tuple(carrier[s.carrier_of[f]] * own[f] for f in fingers))


def grips(d: Detail) -> list[Table]:
    """Powered grips: delivered and needed force, each finger's part under the worst signs together."""
    return [_grip(d, g, p) for g, p in enumerate(d.delivered.at)]


def _grip(d: Detail, g: int, p: int) -> Table:
    demand = d.space.shelf.demand
    given = d.delivered
    weight = np.where(demand.engaged[p], demand.m[p] * demand.press[p], 0.0)
    signs = _worst_signs(d.shares, weight, p)
    F_out = float(given.F_out[0, p])
    need = float(demand.need[p])
    fingers: list[Table] = []
    for f, name in enumerate(demand.fingers):
        if not demand.engaged[p, f]:
            continue
        spring = float(demand.spring[p, f])
        fingers.append(
            {
                "name": name,
                "force_N": num((F_out * signs.share[f] - spring) * float(weight[f])),
                "force_least_N": num(
                    (F_out * float(d.shares.low(f)[0, p]) - spring) * float(weight[f])
                ),
            }
        )
    return {
        "name": demand.positions[p].name,
        "delivered_N": num(given.force[0, g]),
        "need_N": need if need > 0.0 else None,
        "of_need_ratio": num(given.ratio[0, g]),
        "finger_spare_N": num(given.finger[0, g]),
        "efficiency_share": num(d.ways.eta[0, p]),
        "efficiency_hold_share": num(d.ways.eta_hold[0, p]),
        "fingers": fingers,
    }


def carries(d: Detail) -> list[Table]:
    """Loads carried: what the wrist gives to lift and to hold, and what holds them."""
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    F_out = carried_pull(demand, d.shares, demand.m)
    held = d.everyday.F_out * d.ways.hold
    peak = demand.pull_peak * torque_share(demand, d.motion, brief)
    out: list[Table] = []
    for p, position in enumerate(demand.positions):
        if position.kind != "carry":
            continue
        lift = float(d.lift[0, p])
        by_wrist = lift <= float(peak[0, p])
        lock = brief.strength.lock
        out.append(
            {
                "name": position.name,
                "load_N": num(demand.carried[p]),
                "load_kg": num(demand.carried[p] / GRAVITY),
                "F_out_N": num(F_out[0, p]),
                "lift_N": num(lift),
                "hold_N": num(held[0, p]),
                "lifted_by_wrist": by_wrist,
                "lock": None if lock == "none" else lock,
            }
        )
    return out
