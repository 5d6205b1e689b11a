"""One mechanical finger: draw and arm of its drive, where its pad meets an object, pad force per pull.

Plane of the finger: y toward the fingertip, z toward the back of the hand, knuckle at the origin;
flexion curls toward -z.  q1 turns the proximal phalanx, q2 = q2_rest + k (q1 - q1_rest) the distal one
on it (joints beyond are fused), so the distal phalanx stands at a = q1 + q2.  Along it runs
u = (cos a, -sin a); its palm side faces n = (-sin a, -cos a), which is also the way the pad pushes.
Formulas follow from virtual work and plane geometry.  Lengths mm, angles rad, forces N.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import brentq

from explorer.mechanics.types import Floats

Outcome = Literal["touches", "cannot close", "does not fit", "wrong phalanx"]
Phalanx = Literal["proximal phalanx", "distal phalanx", "fingertip"]
SCAN = 4001  # stops over the flexion range; about 0.02 degree each
Q_TOLERANCE = 1e-13  # rad
_NEVER = 1e-12  # 1 - facing.n below this: the pad pushes the object straight off its post


@dataclass(frozen=True)
class Digit:
    """Geometry of a finger; `d` pad point along the distal phalanx, `t` pad thickness on its palm side."""

    L1: float
    L2: float
    k: float
    q1_rest: float
    q2_rest: float
    q1_max: float
    d: float
    d_min: float
    d_max: float
    t: float


@dataclass(frozen=True)
class Seat:
    """The post at (y, z) and the unit vector (fy, fz) from it to the object's centre."""

    y: float
    z: float
    fy: float
    fz: float


@dataclass(frozen=True)
class Contact:
    """Where the pad meets the object.

    q1 and d (foot of the perpendicular, or the pad point) at contact, dev the angle between the pad
    force and -facing; `first` what touches first; `limit_width` the nearest width that the pad reaches
    ("cannot close") or the widest that fits in ("does not fit"), nan where none is known.
    """

    outcome: Outcome
    q1: float
    d: float
    dev: float
    first: Phalanx
    limit_width: float


def sector_draw(r: Floats, turn: Floats) -> Floats:
    """Draw s = r (q1 - q1_rest), mm; turn = q1 - q1_rest."""
    return r * turn


def sector_turn(r: Floats, s: Floats) -> Floats:
    """Turn q1 - q1_rest at the draw s: s/r, rad."""
    return s / r


def crank_draw(r: Floats, psi: Floats, turn: Floats) -> Floats:
    """Draw s = r (sin(psi + turn) - sin psi), mm; psi from the normal to the pull at rest."""
    rise: Floats = np.sin(psi + turn) - np.sin(psi)
    return r * rise


def crank_arm(r: Floats, psi: Floats, turn: Floats) -> Floats:
    """Arm ds/dq1 = r cos(psi + turn), mm."""
    return r * np.cos(psi + turn)


def crank_turn(r: Floats, psi: Floats, s: Floats) -> Floats:
    """Turn q1 - q1_rest at the draw s, rad; between the dead points."""
    turned: Floats = np.arcsin(s / r + np.sin(psi))
    return turned - psi


def has_dead_point(psi: float, travel: float) -> bool:
    """Whether a crank meets a dead point (arm 0) from rest to rest + travel, ends included."""
    return bool(psi <= -np.pi / 2 or psi + travel >= np.pi / 2)


def distal_angle(g: Digit, q1: Floats) -> Floats:
    """a = q1 + q2 of the distal phalanx below +y, rad, the shape of q1."""
    return q1 + distal_flexion(g, q1)


def distal_flexion(g: Digit, q1: Floats) -> Floats:
    """q2 = q2_rest + k (q1 - q1_rest), rad, the shape of q1."""
    return g.q2_rest + g.k * (q1 - g.q1_rest)


def axis_y(g: Digit, q1: Floats, d: Floats) -> Floats:
    """y = L1 cos q1 + d cos a of the point at d on the distal axis, mm."""
    return g.L1 * np.cos(q1) + d * np.cos(distal_angle(g, q1))


def axis_z(g: Digit, q1: Floats, d: Floats) -> Floats:
    """z = -L1 sin q1 - d sin a of the point at d on the distal axis, mm."""
    return -g.L1 * np.sin(q1) - d * np.sin(distal_angle(g, q1))


def pad_y(g: Digit, q1: Floats, d: Floats) -> Floats:
    """y of the pad's surface at d: the axis point moved by t along n, mm."""
    return axis_y(g, q1, d) - g.t * np.sin(distal_angle(g, q1))


def pad_z(g: Digit, q1: Floats, d: Floats) -> Floats:
    """z of the pad's surface at d, mm."""
    return axis_z(g, q1, d) - g.t * np.cos(distal_angle(g, q1))


def pad_facing(g: Digit, seat: Seat, q1: Floats) -> Floats:
    """facing . n, -: -1 where the pad pushes straight at the post."""
    a = distal_angle(g, q1)
    return -seat.fy * np.sin(a) - seat.fz * np.cos(a)


def deviation(g: Digit, seat: Seat, q1: Floats) -> Floats:
    """Angle between the pad force n and -facing, rad in [0, pi]."""
    a = distal_angle(g, q1)
    across = seat.fz * np.sin(a) - seat.fy * np.cos(a)
    return np.arctan2(np.abs(across), -pad_facing(g, seat, q1))


def slip_angle(dev: Floats, cradle: Floats, shape: Literal["round", "flat"]) -> Floats:
    """gamma between pad force and what presses on the object, rad: a cradle takes its share of dev."""
    if shape == "flat":
        return dev
    return np.maximum(dev - cradle, 0.0) / 2


def closing_arm(g: Digit, q1: Floats, d: Floats) -> Floats:
    """Speed of the pad along n per dq1: L1 cos q2 + d (1 + k), mm; pad thickness drops out (dn is along u)."""
    return g.L1 * np.cos(distal_flexion(g, q1)) + d * (1.0 + g.k)


def force_ratio(arm: Floats, closing: Floats, efficiency: Floats) -> Floats:
    """m = pad force per newton of drawbar pull, -, by virtual work: N closing dq1 = T arm dq1."""
    return arm / closing * efficiency


def carry_ratio(arm: Floats, h: Floats, efficiency: Floats) -> Floats:
    """m = (ds/dq1)/h of a load hung on the proximal phalanx at h, square to it, -."""
    return arm / h * efficiency


def foot_on_pad(g: Digit, q1: Floats, y: Floats, z: Floats) -> Floats:
    """d of the foot of the perpendicular from (y, z) to the pad line, mm."""
    a = distal_angle(g, q1)
    return (y - axis_y(g, q1, _one(0.0))) * np.cos(a) - (z - axis_z(g, q1, _one(0.0))) * np.sin(a)


def height_over_pad(g: Digit, q1: Floats, y: Floats, z: Floats) -> Floats:
    """Signed distance of (y, z) from the pad line, positive on the palm side, mm."""
    a = distal_angle(g, q1)
    dy, dz = y - axis_y(g, q1, _one(0.0)), z - axis_z(g, q1, _one(0.0))
    return -dy * np.sin(a) - dz * np.cos(a) - g.t


def round_gap(g: Digit, seat: Seat, w: float, q1: Floats) -> Floats:
    """Gap between the pad line and a round object of width w whose axis is at post + facing w/2, mm."""
    return height_over_pad(g, q1, *round_axis(seat, w)) - w / 2


def flat_gap(g: Digit, seat: Seat, w: float, q1: Floats) -> Floats:
    """Distance of the pad point from the face of a flat object, the plane at w from the post, mm."""
    return _along(seat, pad_y(g, q1, _one(g.d)), pad_z(g, q1, _one(g.d))) - w


def round_axis(seat: Seat, w: Floats | float) -> tuple[Floats, Floats]:
    """(y, z) of the axis of a round object of width w, mm."""
    half = np.asarray(w, dtype=np.float64) / 2
    return seat.y + seat.fy * half, seat.z + seat.fz * half


def round_width(g: Digit, seat: Seat, q1: Floats) -> Floats:
    """Width of the round object that the pad line touches at q1, mm; inf where no width does.

    From height(post) + (w/2) facing.n - w/2 = 0.
    """
    height = height_over_pad(g, q1, _one(seat.y), _one(seat.z))
    spread = 1.0 - pad_facing(g, seat, q1)
    safe = np.where(spread > _NEVER, spread, 1.0)
    return np.where(spread > _NEVER, 2.0 * height / safe, np.inf)


def round_contact(g: Digit, seat: Seat, w: float) -> Contact:
    """First touch of the pad line and a round object of width w as the finger closes from rest."""
    q = _scan(g)
    if _overlaps_open(g, seat, w):
        return _refused("does not fit", float(round_width(g, seat, q)[0]))
    q1 = _first_touch(lambda x: round_gap(g, seat, w, x), q)
    if q1 is None:
        return _refused("cannot close", _nearest_round(g, seat, q))
    d = float(foot_on_pad(g, _one(q1), *round_axis(seat, w)))
    return _judged(g, seat, q1, d)


def flat_contact(g: Digit, seat: Seat, w: float) -> Contact:
    """First touch of the pad point and the face of a flat object of width w."""
    q = _scan(g)
    width = flat_gap(g, seat, 0.0, q)
    if width[0] < w:
        return _refused("does not fit", float(width[0]))
    q1 = _first_touch(lambda x: flat_gap(g, seat, w, x), q)
    if q1 is None:
        return _refused("cannot close", float(np.min(width)))
    return _judged(g, seat, q1, g.d)


def _one(x: float) -> Floats:
    """A single number as an array without axes, which every formula takes."""
    return np.array(x, dtype=np.float64)


def _along(seat: Seat, y: Floats, z: Floats) -> Floats:
    return (y - seat.y) * seat.fy + (z - seat.z) * seat.fz


def _scan(g: Digit) -> Floats:
    return np.linspace(g.q1_rest, g.q1_max, SCAN)


def _first_touch(gap: Callable[[Floats], Floats], q: Floats) -> float | None:
    """Smallest q1 at which the gap is gone; None if it never is."""
    closed = np.flatnonzero(gap(q) <= 0.0)
    if closed.size == 0:
        return None
    i = int(closed[0])
    if i == 0:
        return float(q[0])
    root = brentq(lambda x: float(gap(_one(x))), q[i - 1], q[i], xtol=Q_TOLERANCE)
    return float(root)


def _judged(g: Digit, seat: Seat, q1: float, d: float) -> Contact:
    first: Phalanx = "distal phalanx"
    if d < g.d_min:
        first = "proximal phalanx"
    elif d > g.d_max:
        first = "fingertip"
    outcome: Outcome = "touches" if first == "distal phalanx" else "wrong phalanx"
    return Contact(outcome, q1, d, float(deviation(g, seat, _one(q1))), first, np.nan)


def _refused(outcome: Outcome, limit_width: float) -> Contact:
    known = limit_width if np.isfinite(limit_width) and limit_width > 0.0 else np.nan
    return Contact(outcome, np.nan, np.nan, np.nan, "distal phalanx", known)


def _nearest_round(g: Digit, seat: Seat, q: Floats) -> float:
    """Least width that the pad itself touches first; without a place on the pad, the least of all."""
    width = round_width(g, seat, q)
    d = foot_on_pad(g, q, *round_axis(seat, np.where(np.isfinite(width), width, 0.0)))
    newly = width <= np.minimum.accumulate(width)
    on_pad = newly & (d >= g.d_min) & (d <= g.d_max)
    return float(np.min(width[on_pad])) if np.any(on_pad) else float(np.min(width))


def _overlaps_open(g: Digit, seat: Seat, w: float) -> bool:
    """Whether the round object reaches into either phalanx (or the pad) of the finger at rest."""
    y, z = round_axis(seat, w)
    q = _one(g.q1_rest)
    joint_y, joint_z = axis_y(g, q, _one(0.0)), axis_z(g, q, _one(0.0))
    along = np.clip((y * joint_y + z * joint_z) / (g.L1 * g.L1), 0.0, 1.0)
    to_proximal = np.hypot(y - along * joint_y, z - along * joint_z)
    foot = foot_on_pad(g, q, y, z)
    d = np.clip(foot, 0.0, g.L2)
    to_pad = np.hypot(y - pad_y(g, q, d), z - pad_z(g, q, d))
    behind = height_over_pad(g, q, y, z) < 0.0 and d == foot
    return bool(behind or to_proximal < w / 2 or to_pad < w / 2)
