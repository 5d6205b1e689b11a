"""Ratio parts as bodies: rocker, winder (shaft along z), cage (shaft along x).

Columns (N,1).  `side` is +1 when the output leaves on the little-finger side of the pivot, else -1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.mechanics import ratio
from explorer.mechanics.friction import Supports
from explorer.mechanics.guard import clip_sine, overshoot
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

    spools = False

    def turn(self, Y: Floats) -> Floats:
        """theta (N,P), rad."""
        return ratio.rocker_angle(ratio.rocker_sine(Y, self.r2, self.theta_s))

    def turn_over(self, Y: Floats) -> Floats:
        """How far the draw overshoots what the rocker can do at all (>= 0, of the sine)."""
        return overshoot(ratio.rocker_sine(Y, self.r2, self.theta_s))

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

    def input_x(self, theta: Floats) -> Floats:
        """x of the in pin (N,P), mm."""
        return self.x_p + self.input_side * self.r1 * np.cos(theta + self.beta)

    def exit_y(self, theta: Floats) -> Floats:
        """y of the out pin above the pivot (N,P), mm."""
        return -self.r2 * np.sin(theta)

    def input_y(self, theta: Floats) -> Floats:
        """y of the in pin above the pivot (N,P), mm."""
        return self.source.sign * self.r1 * np.sin(theta + self.beta)

    def input_tan(self, theta: Floats) -> Floats:
        """tan of the input drawbar's lean, + away from the pivot (N,P); 0 for a long drawbar."""
        if not self.source.leans:
            return 0.0 * theta
        u = clip_sine(self.input_side * (self.source.far_x - self.input_x(theta)) / self.source.length)
        return u / np.sqrt(1.0 - u * u)

    def arm_in(self, theta: Floats) -> Floats:
        """a1 (N,P), mm.  A strut's lean turns its arm the other way than a pulled drawbar's."""
        tan = self.input_tan(theta)
        return ratio.rocker_arm(self.r1, theta + self.beta, tan if self.source.strut else -tan)

    def arm_out(self, theta: Floats, tan_out: Floats) -> Floats:
        """a2 (N,P), mm, with the out link's lean (+ away from the pivot)."""
        return ratio.rocker_arm(self.r2, theta, tan_out)

    def couple_in(self, theta: Floats) -> Floats:
        """mu/2 d_in/cos(lean) (N,P), mm."""
        t = self.input_tan(theta)
        return self.mu / 2.0 * self.d_in * np.sqrt(1.0 + t * t)

    def couple_out(self, theta: Floats, cos_out: Floats) -> Floats:
        """mu/2 d_out/cos(lean) (N,P), mm."""
        return self.mu / 2.0 * self.d_out / cos_out + 0.0 * theta

    def supports(self, theta: Floats, tan_out: tuple[Floats, ...], shares: tuple[Floats, ...]) -> Supports:  # noqa: ARG002
        """The pivot carries both drawbar forces as vectors; `tan_out` + toward +x, one link."""
        one = np.ones_like(theta)
        push = 1.0 if self.source.strut else -1.0
        t_in = self.input_side * self.input_tan(theta)
        return Supports(
            px=(-push * t_in,), py=(self.source.sign * one,),
            qx=(tan_out[0] + 0.0 * theta,), qy=(one,), c=self.mu / 2.0 * self.d_pivot,
        )

    def ripple(self) -> Floats:
        """No ripple: ones (N,1)."""
        return np.ones_like(self.r1)


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

    def turn(self, Y: Floats) -> Floats:
        """theta (N,P), rad."""
        return ratio.wheel_turn(Y, self.a2)

    def turn_over(self, Y: Floats) -> Floats:
        """Wheels turn on: zeros; the wrap is a limit of its own."""
        return np.zeros_like(np.real(Y))

    def stroke(self, theta: Floats, *, skeleton: bool = False) -> Floats:  # noqa: ARG002
        """X = a1 theta (N,P), mm."""
        return self.a1 * theta

    def exit_x(self, theta: Floats) -> Floats:
        """x where the first strand leaves (N,P), mm."""
        return self.exits[0] + 0.0 * theta

    def arm_in(self, theta: Floats) -> Floats:
        """a1 (N,P), mm."""
        return self.a1 + 0.0 * theta

    def arm_out(self, theta: Floats, cos_out: Floats) -> Floats:
        """Arm of the y part of the pull (N,P), mm: strand force = moment/a2, pull = strand x cos."""
        return self.a2 / cos_out + 0.0 * theta

    def couple_in(self, theta: Floats) -> Floats:
        """Chain articulation at the input track (N,P), mm."""
        return self.mu_chain / 2.0 * self.d_chain_in + 0.0 * theta

    def couple_out(self, theta: Floats, cos_out: Floats) -> Floats:
        """Chain articulation at the output track (N,P), mm per unit of the y pull."""
        return self.mu_chain / 2.0 * self.d_chain_out / cos_out + 0.0 * theta

    def supports(self, theta: Floats, tan_out: tuple[Floats, ...], shares: tuple[Floats, ...]) -> Supports:
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
            px=(zero, zero), py=(sign * near + zero, sign * far + zero),
            qx=(qx0, qx1), qy=(qy0, qy1), c=self.mu_shaft / 2.0 * self.d_shaft,
        )

    def ripple(self) -> Floats:
        """Factor on force by the polygon of links (N,1)."""
        return self.ripple_by
