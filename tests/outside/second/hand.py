"""Second scorer, the hand: where pads meet objects, what a drawbar's pull presses, all positions.

Written apart from the package, on plain numbers: points and forces in the finger's (y, z) plane, and the
balance of moments of the finger's two bodies.  Lengths mm, forces N, angles rad.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import acos, asin, cos, hypot, inf, sin

from explorer.brief.records import Brief, Crank, Finger, Grip, Post

Vec = tuple[float, float]
STOPS = 1500  # of the scan for the first touch; the root is then halved out
PATTERNS = {
    2: ((0, 1), (1, 0)),
    3: ((0, 1, 0), (1, 0, 1)),
    4: ((0, 1, 0, 1), (1, 0, 1, 0), (1, 1, 0, 0), (0, 0, 1, 1)),
}


def cross(r: Vec, f: Vec) -> float:
    """Moment of the force f at r about the origin."""
    return r[0] * f[1] - r[1] * f[0]


def dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1]


def less(a: Vec, b: Vec) -> Vec:
    return a[0] - b[0], a[1] - b[1]


@dataclass(frozen=True)
class Pose:
    """A finger at q1: middle joint, direction of the distal phalanx, the way its pad pushes."""

    joint: Vec
    along: Vec
    push: Vec


def pose(f: Finger, q1: float) -> Pose:
    """Flexion curls from +y toward -z."""
    a = q1 + f.q2_rest + f.coupling * (q1 - f.q1_rest)
    return Pose((f.L1 * cos(q1), -f.L1 * sin(q1)), (cos(a), -sin(a)), (-sin(a), -cos(a)))


def draw_at(f: Finger, q1: float) -> float:
    """Drawbar draw: a strap on a sector, or how far a crank pin has gone along the pull."""
    if not isinstance(f.drive, Crank):
        return f.drive.radius * (q1 - f.q1_rest)
    r, psi = f.drive.radius, f.drive.psi
    return r * sin(psi + q1 - f.q1_rest) - r * sin(psi)


def arm_at(f: Finger, q1: float) -> float:
    """Arm of the drawbar's pull about the knuckle."""
    if not isinstance(f.drive, Crank):
        return f.drive.radius
    at = f.drive.psi + q1 - f.q1_rest
    pin = (f.drive.radius * cos(at), f.drive.radius * sin(at))
    return cross(pin, (0.0, 1.0))


def angle_at(f: Finger, s: float) -> float:
    if not isinstance(f.drive, Crank):
        return f.q1_rest + s / f.drive.radius
    return f.q1_rest + asin(s / f.drive.radius + sin(f.drive.psi)) - f.drive.psi


@dataclass(frozen=True)
class Grasp:
    """One engaged finger: draw, q1, pad force per pull with and without its efficiency, gamma."""

    draw: float
    q1: float
    d: float
    m: float
    m_ideal: float
    gamma: float


def _first(gap: Callable[[float], float], low: float, high: float) -> float:
    """Smallest root of a gap that starts positive."""
    before = low
    for n in range(1, STOPS + 1):
        q = low + (high - low) * n / STOPS
        if gap(q) <= 0.0:
            return _halved(gap, before, q)
        before = q
    raise ValueError("the pad never meets the object")


def _halved(gap: Callable[[float], float], a: float, b: float) -> float:
    while True:
        mid = (a + b) / 2.0
        if mid in {a, b}:
            return b
        a, b = (a, mid) if gap(mid) <= 0.0 else (mid, b)


def pressed(f: Finger, post: Post, shape: str, width: float) -> Grasp:
    """A finger that presses an object of this width against its post."""
    facing = (post.facing_y, post.facing_z)
    at = (post.y, post.z)
    axis = (at[0] + facing[0] * width / 2.0, at[1] + facing[1] * width / 2.0)

    def pad_point(q1: float, d: float) -> Vec:
        p = pose(f, q1)
        return (
            p.joint[0] + d * p.along[0] + f.pad_thickness * p.push[0],
            p.joint[1] + d * p.along[1] + f.pad_thickness * p.push[1],
        )

    def gap(q1: float) -> float:
        if shape == "flat":
            return dot(less(pad_point(q1, f.pad_distance), at), facing) - width
        return dot(less(axis, pad_point(q1, 0.0)), pose(f, q1).push) - width / 2.0

    q1 = _first(gap, f.q1_rest, f.q1_max)
    p = pose(f, q1)
    d = f.pad_distance if shape == "flat" else dot(less(axis, p.joint), p.along)
    turned = -dot(p.push, facing)
    dev = asin(abs(cross(p.push, facing))) if turned > 0.5 else acos(turned)
    gamma = dev if shape == "flat" else max(0.0, dev - post.cradle) / 2.0
    m = arm_at(f, q1) / _couple(f, p, d)
    return Grasp(draw_at(f, q1), q1, d, m * f.efficiency, m, gamma)


def _couple(f: Finger, p: Pose, d: float) -> float:
    """Closing couple at the knuckle that holds 1 N on the pad at d.

    The object pushes the pad back by 1 N.  The distal phalanx is held at its joint by a couple c from
    the coupling; a coupling that turns it k times as far as the proximal phalanx takes k c at the knuckle.
    """
    foot = (p.joint[0] + d * p.along[0], p.joint[1] + d * p.along[1])
    back = (-p.push[0], -p.push[1])
    about_joint = cross(less(foot, p.joint), back)
    about_knuckle = cross(foot, back)
    return about_knuckle + f.coupling * about_joint


def carried(f: Finger, q1: float, h: float) -> Grasp:
    """A load square to the proximal phalanx at h from the knuckle."""
    at = (h * cos(q1), -h * sin(q1))
    m = arm_at(f, q1) / abs(cross(at, (sin(q1), cos(q1))))
    return Grasp(draw_at(f, q1), q1, h, m * f.efficiency, m, 0.0)


@dataclass(frozen=True)
class Position:
    """What every finger does in one position; forces only where `grip` stands."""

    name: str
    kind: str
    must: bool
    draw: tuple[float, ...]
    does: tuple[str | None, ...]
    grasps: dict[int, Grasp]
    grip: Grip | None = None

    @property
    def forces(self) -> bool:
        return self.grip is not None


def grasps_of(brief: Brief, grip: Grip) -> dict[int, Grasp]:
    out = {}
    for i, (f, does) in enumerate(zip(brief.fingers, grip.does, strict=True)):
        if does != "engaged":
            continue
        if grip.kind == "carry":
            out[i] = carried(f, grip.carry_q1, grip.carry_h)
        else:
            out[i] = pressed(f, brief.posts[str(grip.post)], str(grip.shape), grip.width)
    return out


def positions(brief: Brief) -> list[Position]:
    """Open, grips, squeezes, empty fist, neighbours."""
    full = tuple(draw_at(f, f.q1_max) for f in brief.fingers)
    n = len(full)

    def bare(name: str, kind: str, when: str, pattern: tuple[int, ...]) -> Position:
        draw = tuple(s if on else 0.0 for on, s in zip(pattern, full, strict=True))
        return Position(name, kind, when == "must", draw, (None,) * n, {})

    out = [bare("open", "open", brief.positions.open, (0,) * n)]
    squeezed = []
    for grip in brief.grips:
        if not grip.on:
            continue
        g = grasps_of(brief, grip)
        draw = tuple(
            g[i].draw if i in g else (0.0 if does == "parked_open" else full[i])
            for i, does in enumerate(grip.does)
        )
        kind = "carry" if grip.kind == "carry" else "grip"
        out.append(Position(grip.name, kind, True, draw, grip.does, g, grip))
        if kind == "grip":
            more = tuple(
                min(s + brief.use.squeeze, full[i]) if i in g else s for i, s in enumerate(draw)
            )
            squeezed.append(
                Position(f"{grip.name}, squeezed", "squeeze", True, more, grip.does, {})
            )
    out += squeezed
    if brief.positions.empty_fist != "off":
        out.append(bare("empty fist", "fist", brief.positions.empty_fist, (1,) * n))
    if brief.positions.neighbours != "off":
        for pattern in PATTERNS[n]:
            name = "neighbours " + "".join(map(str, pattern))
            out.append(bare(name, "neighbours", brief.positions.neighbours, pattern))
    return out


def spring(f: Finger, s: float) -> float:
    """Pull of a finger's opening spring at the drawbar."""
    return f.spring_T0 + f.spring_k * s


def pull_at(brief: Brief, which: str) -> float:
    """Pull of the wrist at the input drawbar."""
    return getattr(brief.wrist, f"torque_{which}") / brief.wrist.arm


def torque_share(brief: Brief, X: float) -> float:
    """Share of the stated torque at the wrist angle X/arm, straight between the stated angles."""
    at = X / brief.wrist.arm
    rows = brief.wrist.torque_at
    if not rows:
        return 1.0
    last = (-inf, rows[0].share)
    for r in rows:
        if at <= r.angle:
            low, share = last
            if low == -inf:
                return share
            return share + (r.share - share) * (at - low) / (r.angle - low)
        last = (r.angle, r.share)
    return last[1]


def length(v: Vec) -> float:
    return hypot(v[0], v[1])
