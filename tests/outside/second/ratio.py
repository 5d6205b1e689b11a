"""Second scorer, the ratio part cut free: rocker on its pivot, tracks on a shaft in two bushes.

All forces are vectors at points; friction couples turn against the motion.  Lengths mm, forces N.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, sin, sqrt

from tests.outside.second.equal import OutOfReachError, Shape, angle_of, size
from tests.outside.second.hand import Vec, cross, length
from tests.outside.second.plan import Gears, Plan, Rocker, Spool

SHORT_DRAWBAR = 60.0  # mm; the lean of a longer one is left out


@dataclass(frozen=True)
class Reach:
    """The rocker's input pin from its pivot, the pull there per newton along y, and the draw so far."""

    pin: Vec
    pull: Vec
    far_y: float


def input_pin(p: Plan, r: Rocker, theta: float) -> Reach:
    """The drawbar pulls toward the wrist, or, reversing, pushes from there or pulls toward the fingers."""
    w = p.m.brief.wrist
    way = 1.0 if w.reverses else -1.0
    side = -r.side if w.reverses else r.side
    at = theta + r.dogleg
    pin = (side * r.r_in * cos(at), way * r.r_in * sin(at))
    if w.input_length >= SHORT_DRAWBAR:
        return Reach(pin, (0.0, way), pin[1])
    aside = w.input_far_x - (r.x + pin[0])
    angle_of(aside / w.input_length)
    along = sqrt(w.input_length * w.input_length - aside * aside)
    strut = w.reverses and w.input_strut == "strut"
    far = way * (-along if strut else along)  # from the pin, along y
    push = -1.0 if strut else 1.0
    return Reach(pin, (push * aside / along, way), pin[1] + far)


@dataclass(frozen=True)
class Ratio:
    """Draws and arms in one position: X of the input; arms with and without leans."""

    X: float
    a_in: float
    a_out: float
    plain_in: float
    plain_out: float

    @property
    def step(self) -> float:
        """F_in/F_out without friction."""
        return self.a_out / self.a_in


def ratio(p: Plan, s: Shape) -> Ratio:
    r = p.ratio
    if isinstance(r, Rocker):
        now, rest = input_pin(p, r, s.theta), input_pin(p, r, r.rest)
        way = now.pull[1]
        X = way * (now.far_y - rest.far_y)
        a_in = -r.side * cross(now.pin, now.pull)  # turns the rocker against the output's pull
        a_out = r.side * cross(out_pin(r, s.theta), s.leaving[0])
        plain = -r.side * cross(now.pin, (0.0, way))
        return Ratio(X, a_in, a_out, plain, r.r_out * cos(s.theta))
    if isinstance(p.first, Gears):  # both sides take half of the cage's moment
        g = p.first
        per_moment = (1.0 / size(s.leaving[0]) / g.r_a + 1.0 / size(s.leaving[1]) / g.r_b) / 2.0
        return Ratio(r.arm_in * s.theta, r.arm_in, 1.0 / per_moment, r.arm_in, r.arm_out)
    return Ratio(r.arm_in * s.theta, r.arm_in, r.arm_out * size(s.leaving[0]), r.arm_in, r.arm_out)


def out_pin(r: Rocker, theta: float) -> Vec:
    """From the pivot."""
    return r.side * r.r_out * cos(theta), -r.r_out * sin(theta)


@dataclass(frozen=True)
class Held:
    """What rubs at the ratio part under F_in and an output of 1 N: joints' couples and the supports'."""

    joint_in: float  # couple per newton along y
    joint_out: float
    couple: float  # mu d/2 of pivot or bush
    reactions: Callable[[float], tuple[float, ...]]


def outputs(p: Plan, s: Shape) -> tuple[float, ...]:
    """Shares of the output on what leaves the ratio part, no friction in the equalisers."""
    if isinstance(p.first, Gears) and s.first is not None:
        return s.first.share_a, 1.0 - s.first.share_a
    return (1.0,)


def held(p: Plan, s: Shape) -> Held:
    r = p.ratio
    if isinstance(r, Rocker):
        pull = input_pin(p, r, s.theta).pull
        out = s.leaving[0]

        def pivot(F_in: float) -> tuple[float, ...]:
            return (length((F_in * pull[0] + out[0], F_in * pull[1] + out[1])),)

        half = r.mu / 2.0
        return Held(
            half * r.d_drawbar * size(pull), half * r.d_drawbar * size(out), half * r.d_pivot, pivot
        )
    shares = outputs(p, s)
    strands = sum(c * size(link) for c, link in zip(shares, s.leaving, strict=True))
    return Held(
        r.mu_chain / 2.0 * r.d_in, r.mu_chain / 2.0 * r.d_out * strands, r.mu / 2.0 * r.d_shaft,
        lambda F_in: tuple(length(R) for R in bushes(p, r, s, F_in, shares)),
    )  # fmt: skip


def shaft_loads(
    p: Plan, r: Spool, s: Shape, F_in: float, pulls: tuple[float, ...]
) -> list[tuple[float, Vec]]:
    """(place along the shaft, force) of every load; a strand's lean is thrust where the shaft lies along x."""
    way = 1.0 if p.m.brief.wrist.reverses else -1.0
    loads: list[tuple[float, Vec]] = [(r.at_in, (0.0, way * F_in))]
    for at, pull, link in zip(r.at_out, pulls, s.leaving, strict=True):
        loads.append((at, (pull * link[0] if r.along == "z" else 0.0, pull)))
    return loads


def bushes(p: Plan, r: Spool, s: Shape, F_in: float, pulls: tuple[float, ...]) -> tuple[Vec, Vec]:
    """Loads on both bushes: moments about the other one."""
    loads = shaft_loads(p, r, s, F_in, pulls)
    near = [sum(F[i] * (r.span - at) for at, F in loads) / r.span for i in (0, 1)]
    far = [sum(F[i] * at for at, F in loads) / r.span for i in (0, 1)]
    return (near[0], near[1]), (far[0], far[1])


@dataclass(frozen=True)
class Ways:
    """F_in/F_out when pulling and when holding."""

    pull: float
    hold: float


def ways(p: Plan, s: Shape) -> Ways:
    a, h = ratio(p, s), held(p, s)

    def excess(F_in: float, against: float) -> float:
        """Moment of the input over the output's; friction helps the output (+1) or the input (-1)."""
        couples = F_in * h.joint_in + h.joint_out + h.couple * sum(h.reactions(F_in))
        return F_in * a.a_in - a.a_out - against * couples

    pull = _root(lambda F: excess(F, 1.0), a.step)
    hold = _root(lambda F: excess(F, -1.0), a.step)
    return Ways(pull, hold)


def _root(f: Callable[[float], float], guess: float) -> float:
    """Root of a rising function; OutOfReachError where it locks."""
    if guess <= 0.0 or f(0.0) >= 0.0:
        raise OutOfReachError
    low, high = 0.0, guess
    for _ in range(20):
        if f(high) > 0.0:
            break
        low, high = high, 2.0 * high
    else:
        raise OutOfReachError
    while True:
        mid = (low + high) / 2.0
        if mid in {low, high}:
            return high
        low, high = (low, mid) if f(mid) > 0.0 else (mid, high)
