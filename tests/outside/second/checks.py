"""Second scorer, strength and wear of one joint, eye, lever, chain, circle, shaft or tooth at a time.

A record says what one part carries in one position; `Way` what it comes to: a stress and what is allowed.
Forces N, lengths mm, stresses MPa, moments N mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi, sqrt

SHEAR = 0.577  # yield in shear over yield in tension
KT_HOLE = 2.0
# Shigley, Mechanical Engineering Design, table 14-2, from memory: teeth, form factor
LEWIS = (
    (12, 0.245), (13, 0.261), (14, 0.277), (15, 0.290), (16, 0.296), (17, 0.303), (18, 0.309),
    (19, 0.314), (20, 0.322), (21, 0.328), (22, 0.331), (24, 0.337), (26, 0.346), (28, 0.353),
    (30, 0.359), (34, 0.371), (38, 0.384), (43, 0.397), (50, 0.409),
)  # fmt: skip


@dataclass(frozen=True)
class Way:
    """One way of failing: stress over what is allowed, in pins or not, by the chain factor or not."""

    name: str
    use: float
    pin: bool = False
    chain: bool = False


def round_bending(M: float, d: float) -> float:
    """Largest fibre of a round bar: M c/I."""
    return M * (d / 2.0) / (pi * d * d * d * d / 64.0)


def area(d: float) -> float:
    return pi * d * d / 4.0


def both(sigma: float, tau: float) -> float:
    return sqrt(sigma * sigma + 3.0 * tau * tau)


@dataclass(frozen=True)
class Pin:
    """Double shear: fork plates of t_fork, a gap, a middle of t_mid; `angle` between what turns."""

    key: str
    load: float
    angle: float
    d: float
    t_fork: float
    gap: float
    t_mid: float
    sy: float
    sy_fork: float
    sy_mid: float
    hole: float
    wear: float
    wear_t: float
    fork_hole: float = 0.0  # where the fork is bored wider than the pin, for a bush of its own

    def ways(self) -> list[Way]:
        half = self.load / 2.0
        # cut at mid-pin: half the load at the middle of one fork plate, half of it spread over t_mid/2
        M = half * (self.t_mid / 2.0 + self.gap + self.t_fork / 2.0) - half * (self.t_mid / 4.0)
        tau = half / area(self.d)
        bored = self.fork_hole or self.d
        inner, outer = self.load / (self.d * self.t_mid), half / (self.d * self.t_fork)
        return [
            Way("pin shears", tau / (SHEAR * self.sy), pin=True),
            Way("pin bends", both(round_bending(M, self.d), tau) / self.sy, pin=True),
            Way(
                "middle plate's hole", self.load / (self.hole * self.t_mid) / self.sy_mid, pin=True
            ),
            Way("fork's hole", half / (bored * self.t_fork) / self.sy_fork, pin=True),
            Way("pin's own surface", max(inner, outer) / self.sy, pin=True),
        ]


@dataclass(frozen=True)
class Eye:
    """A round end of width w about a hole d; t of all its plates."""

    key: str
    load: float
    w: float
    d: float
    t: float
    sy: float

    def ways(self) -> list[Way]:
        ahead = self.w / 2.0 - self.d / 2.0
        return [
            Way("pulls apart at the hole", self.load / ((self.w - self.d) * self.t) / self.sy),
            Way("tears out at the end", self.load / (2.0 * self.t * ahead) / (SHEAR * self.sy)),
        ]


@dataclass(frozen=True)
class Lever:
    """A plate bent in its plane at a hole."""

    key: str
    moment: float
    w: float
    d: float
    t: float
    sy: float

    def ways(self) -> list[Way]:
        net = self.t * (self.w * self.w * self.w - self.d * self.d * self.d) / 12.0
        at_hole = self.d / self.w >= 0.5
        fibre = KT_HOLE * self.d / 2.0 if at_hole else self.w / 2.0
        return [Way("bends at the hole", self.moment * fibre / net / self.sy)]


@dataclass(frozen=True)
class Run:
    """A chain: its joints bend by the wheel's turn, at most by one tooth (`most`)."""

    key: str
    load: float
    angle: float
    tensile: float
    most: float
    pitch: float
    wear_t: float

    def ways(self) -> list[Way]:
        return [Way("chain parts", self.load / self.tensile, chain=True)]


@dataclass(frozen=True)
class Circle:
    """Drive pins on a circle, each a cantilever (loose) or held at both ends (clamped)."""

    key: str
    torque: float
    carrying: float
    r: float
    d: float
    t1: float
    t2: float
    clamped: bool
    sy: float
    sy_1: float
    sy_2: float

    def ways(self) -> list[Way]:
        F = self.torque / (max(1.0, self.carrying) * self.r)
        M = F * (self.t1 + self.t2) / 2.0 / (2.0 if self.clamped else 1.0)
        tau = F / area(self.d)
        holes = max(F / (self.d * self.t1) / self.sy_1, F / (self.d * self.t2) / self.sy_2)
        return [
            Way("drive pins shear", tau / (SHEAR * self.sy), pin=True),
            Way("drive pins bend", both(round_bending(M, self.d), tau) / self.sy, pin=True),
            Way("drive pins' holes", holes, pin=True),
        ]


@dataclass(frozen=True)
class Shaft:
    key: str
    moment: float
    torque: float
    d: float
    sy: float

    def ways(self) -> list[Way]:
        tau = self.torque * (self.d / 2.0) / (pi * self.d * self.d * self.d * self.d / 32.0)
        return [Way("shaft bends", both(round_bending(self.moment, self.d), tau) / self.sy)]


@dataclass(frozen=True)
class Tooth:
    key: str
    force: float
    face: float
    module: float
    teeth: float
    sy: float

    def ways(self) -> list[Way]:
        low, high = next((a, b) for a, b in pairwise(LEWIS) if self.teeth <= b[0])
        part = (self.teeth - low[0]) / (high[0] - low[0])
        Y = low[1] + part * (high[1] - low[1])
        return [Way("tooth breaks", self.force / (self.face * self.module * Y) / self.sy)]


@dataclass(frozen=True)
class Bore:
    """A body in torsion round its bore."""

    key: str
    torque: float
    outside: float
    d: float
    sy: float

    def ways(self) -> list[Way]:
        D, d = self.outside, self.d
        polar = pi * (D * D * D * D - d * d * d * d) / 32.0
        return [
            Way("body shears round the bore", self.torque * D / 2.0 / polar / (SHEAR * self.sy))
        ]


@dataclass(frozen=True)
class Strut:
    """A pushed rod on hinged ends: Euler where slender, Johnson's parabola where short."""

    key: str
    load: float
    length: float
    d: float
    E: float
    sy: float

    def ways(self) -> list[Way]:
        second = pi * self.d * self.d * self.d * self.d / 64.0
        euler = pi * pi * self.E * second / (self.length * self.length)
        squash = self.sy * area(self.d)
        able = squash * (1.0 - squash / (4.0 * euler)) if euler > squash / 2.0 else euler
        return [Way("strut buckles", self.load / able)]


Record = Pin | Eye | Lever | Run | Circle | Shaft | Tooth | Bore | Strut
