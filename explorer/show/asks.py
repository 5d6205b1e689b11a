"""What each grip asks of the hand, as data: effort, truth table, locks, selector, mounts, ring, wrist joint.

What each key means, and its unit: `explorer.show.keys_asks`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explorer.brief.hand_records import Place
from explorer.brief.stock_default import default_bearings
from explorer.drives.exact import Exact
from explorer.mechanics.types import Floats
from explorer.scoring.effort import effort
from explorer.scoring.reactions import Reactions, reactions, worst_gap, wrist_pull
from explorer.scoring.score import Detail
from explorer.scoring.selector import dial, jumps, worst_jump
from explorer.scoring.socket import ring, skin_level
from explorer.scoring.truth import Row, carry_locks, park_loads, table
from explorer.scoring.wrench import Load, size
from explorer.scoring.wrist_joint import (
    JointLoad,
    StackCheck,
    check,
    joint_load,
    usual_stacks,
)
from explorer.show.moves import DOES
from explorer.show.plain import Json, Table, deg, num

_SIDE = {1: "index side", -1: "little side", 0: None}
_NOTHING = 1e-9  # N, N*mm: a mount that carries nothing


def asks(d: Detail, exact: Exact | None) -> Table:
    """Everything of one drive; reactions only where its exact linkage stands."""
    rows = efforts(d)
    return {
        "effort": rows,
        "warnings": warnings(rows),
        "truth": truth(d),
        "locks": locks(d),
        "selector": selector(d),
        **mounts(d, exact),
    }


def efforts(d: Detail) -> list[Table]:
    """Grip by grip, what the wrist has to give."""
    demand, brief, e = d.space.shelf.demand, d.space.shelf.brief, effort(d)
    lock = None if brief.strength.lock == "none" else brief.strength.lock
    out: list[Table] = []
    for p, position in enumerate(demand.positions):
        if position.kind not in ("grip", "carry"):
            continue
        asked = bool(np.isfinite(e.pull[0, p]))
        out.append(
            {
                "name": position.name,
                "kind": position.kind,
                "long_hold": brief.grips[position.grip].long_hold,
                "pull_N": num(e.pull[0, p]),
                "torque_Nm": num(e.torque[0, p] / 1000.0),
                "of_peak_share": num(e.of_peak[0, p]),
                "of_often_share": num(e.of_often[0, p]),
                "above_often": asked and bool(e.above_often[0, p]),
                "hold_Nm": num(e.hold[0, p] * brief.wrist.arm / 1000.0),
                "hold_of_often_share": num(e.hold_of_often[0, p]),
                "hold_above_often": asked and bool(e.hold_above_often[0, p]),
                "lock": lock,
                "hold_locked_Nm": num(e.hold_locked[0, p] * brief.wrist.arm / 1000.0),
                "travel_share": num(e.travel[0, p]),
                "travel_squeezed_share": num(e.travel_squeezed[0, p]),
            }
        )
    return out


def warnings(rows: list[Table]) -> list[Json]:
    """Grips that ask for more than the everyday limit, in words."""
    out: list[Json] = []
    for r in rows:
        of_often, of_peak = r["of_often_share"], r["of_peak_share"]
        if r["above_often"] and isinstance(of_often, float) and isinstance(of_peak, float):
            verb = "lifting it" if r["kind"] == "carry" else "reaching the needed grip"
            more = ", which is more than there is" if of_peak > 1.0 else ""
            out.append(
                f"{r['name']}: {verb} takes {of_often:.1f} x the torque for every day "
                f"({100.0 * of_peak:.0f} % of the peak{more})."
            )
        if r["hold_above_often"] and not r["lock"]:
            long = (
                "It is held long: it tires the wrist" if r["long_hold"] else "Held long, it tires"
            )
            out.append(f"{r['name']}: holding it takes more than the torque for every day. {long}.")
    return out


def truth(d: Detail) -> list[Table]:
    """Every grip under every direction of friction."""
    demand = d.space.shelf.demand
    out: list[Table] = []
    every = table(d)
    for p, position in enumerate(demand.positions):
        rows = [r for r in every if r.p == p]
        if rows:
            out.append({"name": position.name, "ways": [_way(d, r) for r in rows]})
    return out


def _way(d: Detail, r: Row) -> Table:
    demand = d.space.shelf.demand
    return {
        "first_favours": _SIDE[r.first],
        "pairs_favour": _SIDE[r.second],
        "pull_N": num(r.pull[0].sum()),
        "force_N": num(r.force[0].sum()),
        "swallowed_N": num(r.swallowed[0].sum()),
        "swallowed_share": num(r.share[0][~demand.engaged[r.p]].sum()),
        "fingers": [
            {
                "name": name,
                "does": _does(d, r.p, f),
                "share_share": num(r.share[0, f]),
                "pull_N": num(r.pull[0, f]),
                "force_N": num(r.force[0, f]),
                "swallowed_N": num(r.swallowed[0, f]),
            }
            for f, name in enumerate(demand.fingers)
        ],
    }


def _does(d: Detail, p: int, f: int) -> str:
    demand = d.space.shelf.demand
    return next((k for k in DOES if getattr(demand, k)[p, f]), "at rest").replace("_", " ")


def locks(d: Detail) -> list[Table]:
    """What locks and stops carry at peak, most first."""
    rows = [*_park_locks(d), *_carry_locks(d)]
    return sorted(rows, key=lambda row: -float(str(row["load_N"])))


def _park_locks(d: Detail) -> list[Table]:
    demand, strength = d.space.shelf.demand, d.space.shelf.brief.strength
    return [
        {
            "grip": demand.positions[x.p].name,
            "holds": f"{demand.fingers[x.finger]} finger",
            "place": "park lock" if x.place == "lock" else "closed stop",
            "share_share": num(x.share[0]),
            "pull_N": num(x.pull[0]),
            "factor_ratio": strength.overload,
            "load_N": num(x.load[0]),
        }
        for x in park_loads(d)
    ]


def _carry_locks(d: Detail) -> list[Table]:
    demand, strength = d.space.shelf.demand, d.space.shelf.brief.strength
    return [
        {
            "grip": demand.positions[x.p].name,
            "holds": "the load carried",
            "place": f"lock on the {x.place}",
            "share_share": None,
            "pull_N": num(x.load[0] / strength.overload),
            "factor_ratio": strength.overload,
            "load_N": num(x.load[0]),
        }
        for x in carry_locks(d)
    ]


def selector(d: Detail) -> Table:
    """Detents in order, steps between any two, the worst jump."""
    brief = d.space.shelf.brief
    found = dial(brief)
    worst = worst_jump(found)
    return {
        "cycles": found.cycles,
        "detents": [
            {
                "number_count": t.number,
                "grip": t.grip,
                "fingers": [
                    {"name": f.name, "does": does.replace("_", " ")}
                    for f, does in zip(brief.fingers, t.does, strict=True)
                ],
            }
            for t in found.detents
        ],
        "jumps": [{"start": j.start, "end": j.end, "steps_count": j.steps} for j in jumps(found)],
        "worst_steps_count": None if worst is None else worst.steps,
        "left_out": list(found.left_out),
    }


def mounts(d: Detail, exact: Exact | None) -> Table:
    """Reactions at the mounts, socket ring and wrist joint, at comfortable torque and at peak."""
    if exact is None:
        return {
            "mounts": {"grips": []},
            "ring": _ring(d, None, None),
            "joint": _joint(d, None, None),
        }
    daily, peak = (
        reactions(d, exact, wrist_pull(d, exact, level)) for level in ("comfortable", "peak")
    )
    gap = worst_gap(daily)
    grips: list[Json] = [
        {
            "name": _name(d, p),
            "pull_N": num(daily.F_in[i]),
            "open_by_ratio": num(gap[i]),
            "parts": [_load(m, i) for m in daily.mounts if _carries(m, i)],
        }
        for i, p in enumerate(daily.at)
    ]
    return {
        "mounts": {"grips": grips},
        "ring": _ring(d, daily, peak),
        "joint": _joint(d, daily, peak),
    }


def _name(d: Detail, p: int) -> str:
    return d.space.shelf.demand.positions[p].name


def _carries(m: Load, i: int) -> bool:
    return bool(size(m.force)[i] > _NOTHING or size(m.couple)[i] > _NOTHING)


def _load(m: Load, i: int) -> Table:
    return {
        "name": m.name,
        "kind": m.kind,
        **_vector("at", m.at[i], "mm", 1.0),
        **_vector("force", m.force[i], "N", 1.0),
        **_vector("couple", m.couple[i], "Nm", 1e-3),
        "force_N": num(size(m.force)[i]),
        "couple_Nm": num(size(m.couple)[i] / 1000.0),
    }


def _vector(word: str, v: Floats, unit: str, scale: float) -> Table:
    return {f"{word}_{n}_{unit}": num(v[k] * scale) for k, n in enumerate("xyz")}


def _place(c: Place) -> Table:
    return {"at_x_mm": c.x, "at_y_mm": c.y, "at_z_mm": c.z}


def _ring(d: Detail, daily: Reactions | None, peak: Reactions | None) -> Table:
    brief = d.space.shelf.brief
    m = brief.mounts
    table: Table = {
        "assumed": m.ring_centre is None,
        "radius_mm": m.ring_radius,
        "strip_width_mm": m.strip_width,
        "strip_length_mm": m.strip_length,
        "grips": [],
    }
    if daily is None or peak is None:
        return table
    a, b = ring(brief, daily), ring(brief, peak)
    rows: list[Json] = []
    for i, p in enumerate(daily.at):
        level = skin_level(float(a.pressure[i]))
        rows.append(
            {
                "name": _name(d, p),
                "turning_Nm": num(a.turning[i] / 1000.0),
                "moment_Nm": num(size(a.wrench.moment)[i] / 1000.0),
                "across_N": num(a.across[i]),
                "along_N": num(a.along[i]),
                "strip_N": num(a.strip[i]),
                "pressure": num(a.pressure[i]),
                "pressure_unit": "N/cm2",
                "pressure_at_peak": num(b.pressure[i]),
                "pressure_at_peak_unit": "N/cm2",
                "more_than": None if level is None else level.words,
                "more_than_pressure": None if level is None else level.pressure,
                "more_than_pressure_unit": "N/cm2",
                "more_than_source": None if level is None else f"{level.known}: {level.source}",
            }
        )
    return {**table, **_place(a.centre), "grips": rows}


def _joint(d: Detail, daily: Reactions | None, peak: Reactions | None) -> Table:
    brief, stock, demand = d.space.shelf.brief, d.space.shelf.stock, d.space.shelf.demand
    table: Table = {"axis": brief.joint.axis, "asked_grips_count": brief.joint.grips, "grips": []}
    if daily is None or peak is None or not daily.at:
        return {**table, "stacks": []}
    a, b, at = joint_load(brief, daily), joint_load(brief, peak), list(daily.at)
    grips: list[Json] = [
        {
            "name": _name(d, p),
            "radial_N": num(a.radial[i]),
            "axial_N": num(a.axial[i]),
            "tilt_Nm": num(a.tilt[i] / 1000.0),
            "turn_Nm": num(a.turn[i] / 1000.0),
        }
        for i, p in enumerate(at)
    ]
    factor = brief.strength.overload
    worst = JointLoad(
        b.centre, b.assumed, b.radial * factor, b.axial * factor, b.tilt * factor, b.turn * factor
    )
    turns = 2.0 * d.motion.X[0, at] / brief.wrist.arm / (2.0 * np.pi)
    own = bool(stock.bearings)
    stock = stock if own else replace(stock, bearings=default_bearings())
    stacks = brief.joint.stacks or usual_stacks(stock)
    return {
        **table,
        **_place(a.centre),
        "assumed": a.assumed,
        "bearings_assumed": not own,
        "grips": grips,
        "stacks": [
            _stack(check(s, stock, worst, a, demand.share_of_day[at], turns)) for s in stacks
        ],
    }


def _stack(s: StackCheck) -> Table:
    return {
        "name": s.name,
        "play_assumed": s.assumed,
        "tilt_play_deg": deg(s.tilt_play),
        "static_safety_ratio": num(s.s0),
        "life_grips_count": num(s.life_grips),
        "bearings": [
            {
                "line": b.fitted.line.name,
                "at_mm": b.fitted.at,
                "play_mm": b.fitted.play,
                "radial_N": num(b.radial),
                "axial_N": num(b.axial),
                "tilt_Nm": num(b.tilt / 1000.0),
                "equivalent_N": num(b.equivalent),
                "static_safety_ratio": num(b.s0),
                "life_grips_count": num(b.life_grips),
            }
            for b in s.bearings
        ],
    }
