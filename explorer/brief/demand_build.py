"""From the brief to the demand: what every finger does in every position, computed once a study."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from explorer.brief.demand import Demand, Position, PositionKind
from explorer.brief.errors import BadInput, Problem
from explorer.brief.grasp import Grasp, angle_at, draw_at, drive_problems, tried
from explorer.brief.records import Brief, Finger, FingerDoes, Grip
from explorer.mechanics.types import Floats

# 1 = flexion stop, 0 = rest, by number of fingers
NEIGHBOURS: Mapping[int, tuple[tuple[int, ...], ...]] = {
    2: ((0, 1), (1, 0)),
    3: ((0, 1, 0), (1, 0, 1)),
    4: ((0, 1, 0, 1), (1, 0, 1, 0), (1, 1, 0, 0), (0, 0, 1, 1)),
}


@dataclass(frozen=True)
class _Row:
    """One position before it becomes a row of the arrays; per finger tuples in the fingers' order.

    `grip` stands only where forces count; `grasps` holds the engaged fingers by index.
    """

    position: Position
    does: tuple[FingerDoes | None, ...]
    draw: tuple[float, ...]
    stopped: tuple[bool, ...]
    grip: Grip | None
    grasps: Mapping[int, Grasp]


def build_demand(brief: Brief) -> Demand:
    """The demand of a brief; raises `BadInput` with every finger and grip that cannot work."""
    problems: list[Problem] = [p for f in brief.fingers for p in drive_problems(f)]
    grasps: dict[int, dict[int, Grasp]] = {}
    for g, grip in enumerate(brief.grips):
        if grip.on:
            grasps[g], found = _grasps(brief, grip)
            problems += found
    if problems:
        raise BadInput(problems)
    return _arrays(brief, _rows(brief, grasps))


def _grasps(brief: Brief, grip: Grip) -> tuple[dict[int, Grasp], list[Problem]]:
    """The engaged fingers' grasps by index, and what hinders them."""
    grasps: dict[int, Grasp] = {}
    problems: list[Problem] = []
    for i, (finger, does) in enumerate(zip(brief.fingers, grip.does, strict=True)):
        if does != "engaged":
            continue
        result = tried(brief, grip, finger)
        problems += result.problems
        if result.grasp is not None:
            grasps[i] = result.grasp
    return grasps, problems


def _rows(brief: Brief, grasps: Mapping[int, Mapping[int, Grasp]]) -> list[_Row]:
    """Every position in order: open, grips, squeezes, fist, neighbours."""
    full = tuple(draw_at(f, f.q1_max) for f in brief.fingers)
    n = len(full)
    rest = (0,) * n
    # Open stays even when switched off: drives are drawn from it and reopening is judged there.
    rows = [_standing("open", "open", rest, full, must=brief.positions.open == "must")]
    rows += [_contact(brief.grips[g], g, grasps[g], full) for g in sorted(grasps)]
    rows += [
        _squeezed(row, i, full, brief.use.squeeze)
        for i, row in enumerate(rows)
        if row.position.kind == "grip"
    ]
    if brief.positions.empty_fist != "off":
        must = brief.positions.empty_fist == "must"
        rows.append(_standing("empty fist", "fist", (1,) * n, full, must=must))
    if brief.positions.neighbours != "off":
        must = brief.positions.neighbours == "must"
        for pattern in NEIGHBOURS[n]:
            name = "neighbours " + "".join(map(str, pattern))
            rows.append(_standing(name, "neighbours", pattern, full, must=must, idle="parked_open"))
    return rows


def _standing(
    name: str,
    kind: PositionKind,
    pattern: tuple[int, ...],
    full: tuple[float, ...],
    *,
    must: bool,
    idle: FingerDoes | None = None,
) -> _Row:
    """A position without an object: 1 stands on the flexion stop, 0 at rest."""
    return _Row(
        position=Position(name, kind, -1, -1, must),
        does=tuple("free" if on else idle for on in pattern),
        draw=tuple(s if on else 0.0 for on, s in zip(pattern, full, strict=True)),
        stopped=(False,) * len(full),
        grip=None,
        grasps={},
    )


def _contact(grip: Grip, g: int, grasps: Mapping[int, Grasp], full: tuple[float, ...]) -> _Row:
    draw = tuple(
        grasps[i].draw if i in grasps else (0.0 if does == "parked_open" else full[i])
        for i, does in enumerate(grip.does)
    )
    kind: PositionKind = "carry" if grip.kind == "carry" else "grip"
    position = Position(grip.name, kind, g, -1, must=True)
    return _Row(position, grip.does, draw, (False,) * len(full), grip, grasps)


def _squeezed(row: _Row, of: int, full: tuple[float, ...], squeeze: float) -> _Row:
    """The same grip with every engaged drawbar drawn on by the reserve, or to its stop."""
    engaged = tuple(does == "engaged" for does in row.does)
    wanted = tuple(s + squeeze if e else s for s, e in zip(row.draw, engaged, strict=True))
    return _Row(
        position=Position(
            f"{row.position.name}, squeezed", "squeeze", row.position.grip, of, must=True
        ),
        does=row.does,
        draw=tuple(min(s, most) for s, most in zip(wanted, full, strict=True)),
        stopped=tuple(s > most for s, most in zip(wanted, full, strict=True)),
        grip=None,
        grasps={},
    )


def _arrays(brief: Brief, rows: list[_Row]) -> Demand:
    fingers = brief.fingers
    draw = np.array([r.draw for r in rows], dtype=np.float64)
    T0 = np.array([f.spring_T0 for f in fingers], dtype=np.float64)
    k = np.array([f.spring_k for f in fingers], dtype=np.float64)
    flags = {
        does: np.array([[d == does for d in r.does] for r in rows], dtype=np.bool_)
        for does in ("engaged", "parked_open", "parked_closed", "free")
    }
    must = np.array([r.position.must or r.position.kind == "open" for r in rows], dtype=np.bool_)
    wrist = brief.wrist
    return Demand(
        fingers=tuple(f.name for f in fingers),
        positions=tuple(r.position for r in rows),
        draw=draw,
        **flags,
        spring=T0 + k * draw,
        m=_of_grasps(rows, "m"),
        m_ideal=_of_grasps(rows, "m_ideal"),
        press=_of_grasps(rows, "press"),
        need=np.array([r.grip.need if r.grip else 0.0 for r in rows], dtype=np.float64),
        floor=_per_engaged(rows, [r.grip.floor if r.grip else None for r in rows], 0.0),
        wished=_per_engaged(rows, [_wished(r) for r in rows], np.nan),
        carried=np.array([r.grip.carry_load if r.grip else 0.0 for r in rows], dtype=np.float64),
        share_of_day=np.array([r.grip.share_of_day if r.grip else 0.0 for r in rows], np.float64),
        q1=_angles(fingers, draw),
        must_open=must[:, None] & ~flags["parked_closed"],
        stopped=np.array([r.stopped for r in rows], dtype=np.bool_),
        full_draw=np.array([draw_at(f, f.q1_max) for f in fingers], dtype=np.float64),
        T0=T0,
        k=k,
        pin_x=np.array([f.pin_x for f in fingers], dtype=np.float64),
        pin_y=np.array([f.pin_y for f in fingers], dtype=np.float64),
        pin_z=np.array([f.pin_z for f in fingers], dtype=np.float64),
        pull_often=wrist.torque_often / wrist.arm,
        pull_comfortable=wrist.torque_comfortable / wrist.arm,
        pull_peak=wrist.torque_peak / wrist.arm,
        stroke=wrist.arm * wrist.travel - wrist.lost_motion,
        torque_angle=np.array([t.angle for t in wrist.torque_at], dtype=np.float64),
        torque_share=np.array([t.share for t in wrist.torque_at], dtype=np.float64),
    )


def _of_grasps(rows: list[_Row], field: str) -> Floats:
    """One field of the grasps, (P,F); 0 where a finger is not engaged or forces do not count."""
    table = [
        [getattr(r.grasps[i], field) if i in r.grasps else 0.0 for i in range(len(r.does))]
        for r in rows
    ]
    return np.array(table, dtype=np.float64)


def _per_engaged(
    rows: list[_Row], values: list[tuple[float, ...] | None], default: float
) -> Floats:
    """Per-finger values of the brief where the finger is engaged and forces count, else the default."""
    table = [
        [v[i] if v is not None and i in r.grasps else default for i in range(len(r.does))]
        for r, v in zip(rows, values, strict=True)
    ]
    return np.array(table, dtype=np.float64)


def _wished(row: _Row) -> tuple[float, ...] | None:
    """Wished shares of the whole pull, by finger, from one a finger or one an engaged finger.

    `equal` means one part in as many as there are fingers: a parked or free finger keeps its part,
    which its lock or stop carries.
    """
    wished = row.grip.wished if row.grip else None
    n = len(row.does)
    if wished == "equal":
        return (1.0 / n,) * n
    if wished is None or len(wished) == n:
        return wished
    by_finger = dict(zip(sorted(row.grasps), wished, strict=True))
    return tuple(by_finger.get(i, 0.0) for i in range(n))


def _angles(fingers: tuple[Finger, ...], draw: Floats) -> Floats:
    table = [[angle_at(f, float(s)) for f, s in zip(fingers, row, strict=True)] for row in draw]
    return np.array(table, dtype=np.float64)
