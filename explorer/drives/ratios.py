"""Ratio parts as bodies: rocker, winder (shaft along z), cage (shaft along x).

Columns (N,1).  `side` is +1 when the output leaves on the little-finger side of the pivot, else -1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.mechanics import ratio, settle
from explorer.mechanics.friction import Supports
from explorer.mechanics.guard import overshoot
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Input:
    """How the wrist's pull reaches the ratio part.

    `sign` +1: the drawbar pulls or pushes toward the fingers (reversing), -1 toward the wrist;
    `strut`: it pushes; `far_x`, `length` of the drawbar, mm; `leans`: short enough to count.
    """

    reverses: bool
    strut: bool
    far_x: float
    length: float
    leans: bool

    @property
    def sign(self) -> float:
        """Direction of the input force along y."""
        return 1.0 if self.reverses else -1.0


@dataclass(frozen=True)
class Turn:
    """Turn from the normal to the pull, rad, and how far the draw overshoots what there is (>= 0); (N,P)."""

    theta: Floats
    over: Floats


@dataclass(frozen=True)
class Point:
    """A pin: x in the hand frame, y above the pivot, mm (N,P)."""

    x: Floats
    y: Floats


@dataclass(frozen=True)
class Arms:
    """Arms of input and output pulls along y about the pivot or shaft, mm (N,P)."""

    at_in: Floats
    at_out: Floats


@dataclass(frozen=True)
class Couples:
    """Friction couples of the input and output joints per unit of pull along y: mu/2 d/cos(lean), mm (N,P)."""

    at_in: Floats
    at_out: Floats


@dataclass(frozen=True)
class Rocker:
    """A rocker on a fixed pivot at (x_p, .); r1 input, r2 output, rest angle, dogleg beta (rad)."""

    r1: Floats
    r2: Floats
    theta_s: Floats
    beta: Floats
    x_p: Floats
    side: Floats
    d_in: Floats
    d_out: Floats
    d_pivot: Floats
    mu: Floats
    source: Input
    ripple_by: float = 1.0  # a lever has none

    spools = False

    def turn(self, Y: Floats) -> Turn:
        """theta by the draw; at rest the rest angle itself, so that no draw takes no stroke at all."""
        sine = ratio.rocker_sine(Y, self.r2, self.theta_s)
        rest = ratio.rocker_angle(ratio.rocker_sine(0.0 * self.r2, self.r2, self.theta_s))
        return Turn(self.theta_s + (ratio.rocker_angle(sine) - rest), overshoot(sine))

    def stroke(self, theta: Floats, *, skeleton: bool = False) -> Floats:
        """X (N,P), mm; a short input drawbar's lean gives or takes a little, but on the skeleton."""
        X = ratio.rocker_stroke(theta, self.r1, self.theta_s, self.beta)
        if skeleton or not self.source.leans:
            return X
        rise = self._reach(theta) - self._reach(self.theta_s)
        return X - rise if self.source.strut else X + rise

    def _reach(self, theta: Floats) -> Floats:
        """Length along y of a short input drawbar (N,P), mm."""
        t = self.input_tan(theta)
        return self.source.length / np.sqrt(1.0 + t * t)

    @property
    def input_side(self) -> Floats:
        """Side of the input arm (N,1)."""
        return -self.side if self.source.reverses else self.side

    def exit_x(self, theta: Floats) -> Floats:
        """x of the out pin (N,P), mm."""
        return self.x_p + self.side * self.r2 * np.cos(theta)

    def out_pin(self, theta: Floats) -> Point:
        """The out pin."""
        return Point(self.exit_x(theta), -self.r2 * np.sin(theta))

    def in_pin(self, theta: Floats) -> Point:
        """The in pin."""
        at = theta + self.beta
        x = self.x_p + self.input_side * self.r1 * np.cos(at)
        return Point(x, self.source.sign * self.r1 * np.sin(at))

    def input_tan(self, theta: Floats) -> Floats:
        """tan of the input drawbar's lean, + away from the pivot (N,P); 0 for a long drawbar."""
        return settle.lean_tan(input_sine(self, theta))

    def arms(self, theta: Floats, tan_out: Floats) -> Arms:
        """Arms with leans, the out link's + away from the pivot.

        A strut's lean turns its arm the other way than a pulled drawbar's.
        """
        tan = self.input_tan(theta)
        return Arms(
            ratio.rocker_arm(self.r1, theta + self.beta, tan if self.source.strut else -tan),
            ratio.rocker_arm(self.r2, theta, tan_out),
        )

    def couples(self, theta: Floats, cos_out: Floats) -> Couples:
        """Both drawbar pins rub by their own link forces."""
        t = self.input_tan(theta)
        half = self.mu / 2.0
        return Couples(
            half * self.d_in * np.sqrt(1.0 + t * t), half * self.d_out / cos_out + 0.0 * theta
        )

    def supports(
        self,
        theta: Floats,
        tan_out: tuple[Floats, ...],
        shares: tuple[Floats, ...],  # noqa: ARG002 - asked of every ratio part; a rocker has one link
    ) -> Supports:
        """The pivot carries both drawbar forces as vectors; `tan_out` + toward +x, one link."""
        one = np.ones_like(theta)
        push = 1.0 if self.source.strut else -1.0
        t_in = self.input_side * self.input_tan(theta)
        return Supports(
            px=(-push * t_in,),
            py=(self.source.sign * one,),
            qx=(tan_out[0] + 0.0 * theta,),
            qy=(one,),
            c=self.mu / 2.0 * self.d_pivot,
        )


@dataclass(frozen=True)
class Spool:
    """Tracks on one shaft: input arm a1, one or two output wheels; mean arms, mm (N,1).

    A winder has its shaft along z and one output at x = x_p + side a2; a cage has its shaft along x and
    outputs at `exits`.  `at_in`, `at_out` are the loads' places along the shaft from the first bush.
    """

    a1: Floats
    a2: Floats
    x_p: Floats
    side: Floats
    ripple_by: Floats
    d_chain_in: Floats
    d_chain_out: Floats
    mu_chain: Floats
    d_shaft: Floats
    mu_shaft: Floats
    span: Floats
    at_in: Floats
    at_out: tuple[Floats, ...]
    exits: tuple[Floats, ...]  # x where each strand leaves (N,1)
    flat: bool  # shaft along z: strand leans load the bushes; along x they are thrust
    source: Input

    spools = True

    def turn(self, Y: Floats) -> Turn:
        """theta by the draw; wheels turn on, and the wrap is a limit of its own."""
        theta = ratio.wheel_turn(Y, self.a2)
        return Turn(theta, np.zeros_like(np.real(theta)))

    def stroke(self, theta: Floats, *, skeleton: bool = False) -> Floats:  # noqa: ARG002
        """X = a1 theta (N,P), mm."""
        return self.a1 * theta

    def exit_x(self, theta: Floats) -> Floats:
        """x where the first strand leaves (N,P), mm."""
        return self.exits[0] + 0.0 * theta

    def arms(self, theta: Floats, cos_out: Floats) -> Arms:
        """Arms of the pulls along y: strand force = moment/a2, pull = strand x cos."""
        return Arms(self.a1 + 0.0 * theta, self.a2 / cos_out + 0.0 * theta)

    def couples(self, theta: Floats, cos_out: Floats) -> Couples:
        """Chain articulation at both tracks."""
        half = self.mu_chain / 2.0
        return Couples(
            half * self.d_chain_in + 0.0 * theta, half * self.d_chain_out / cos_out + 0.0 * theta
        )

    def supports(
        self, theta: Floats, tan_out: tuple[Floats, ...], shares: tuple[Floats, ...]
    ) -> Supports:
        """Both bushes, each load at its own place; `shares` of F_out on the output wheels (N,P)."""
        zero = np.zeros_like(theta)
        far = self.at_in / self.span
        near = 1.0 - far
        sign = self.source.sign
        qx0, qy0, qx1, qy1 = zero, zero, zero, zero
        for at, tan, share in zip(self.at_out, tan_out, shares, strict=True):
            g = at / self.span
            qy0, qy1 = qy0 + (1.0 - g) * share, qy1 + g * share
            if self.flat:
                qx0, qx1 = qx0 + (1.0 - g) * share * tan, qx1 + g * share * tan
        return Supports(
            px=(zero, zero),
            py=(sign * near + zero, sign * far + zero),
            qx=(qx0, qx1),
            qy=(qy0, qy1),
            c=self.mu_shaft / 2.0 * self.d_shaft,
        )


def input_sine(r: Rocker | Spool, theta: Floats) -> Floats:
    """sine of the input drawbar's lean, + away from the pivot, unclipped (N,P).

    0 for a long drawbar, and for a strand, which leaves straight.
    """
    if not isinstance(r, Rocker) or not r.source.leans:
        return 0.0 * theta
    return np.asarray(r.input_side * (r.source.far_x - r.in_pin(theta).x) / r.source.length)
