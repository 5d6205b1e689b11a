"""Equalising bodies: bar (or lever), floating wheel, gear split; in every position of every candidate.

Per-candidate columns are (N,1), so that they meet draws of shape (N,P) or (P,).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from explorer.mechanics import equaliser as eq
from explorer.mechanics.guard import overshoot
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Leans:
    """tan and cos of the outward leans of a body's links: wrist side, a, b; (N,P) each."""

    cos_in: Floats
    tan_a: Floats
    cos_a: Floats
    tan_b: Floats
    cos_b: Floats


@dataclass(frozen=True)
class Ends:
    """Where the ends a and b stand from the body's centre: x sideways, y toward the fingers, mm (N,P)."""

    xa: Floats
    xb: Floats
    ya: Floats
    yb: Floats


@dataclass(frozen=True)
class Brackets:
    """Arms of the pulls of a and b, along y, about a bar's centre pin, mm (N,P)."""

    a: Floats
    b: Floats


@dataclass(frozen=True)
class Sharing:
    """Both shares, skew by friction, and a bar's arms (None where strands or gears share); (N,P).

    Each share comes from its own formula: one less the other would differ in the last bit when the two
    sides change places.
    """

    share_a: Floats
    share_b: Floats
    skew: Floats
    brackets: Brackets | None = None


class Body(Protocol):
    """What the motion asks of an equalising body.  All arrays (N,P) unless said."""

    def tilt(self, s_a: Floats, s_b: Floats) -> Floats:
        """Tilt or turn by the draws, rad, + when a is drawn further."""

    def tilt_over(self, s_a: Floats, s_b: Floats) -> Floats:
        """How far the draws overshoot what the body can do at all (>= 0)."""

    def draw(self, s_a: Floats, s_b: Floats, phi: Floats) -> Floats:
        """Draw of the body's centre, mm."""

    def plain_share(self, phi: Floats) -> Floats:
        """Share of a with parallel links and no friction."""

    def ends(self, phi: Floats) -> Ends:
        """Where its two ends stand."""

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """How much shorter strand a is than at rest, and strand b longer, mm."""

    def sharing(self, leans: Leans, ends: Ends) -> Sharing:
        """Share of a with leaning links, and its skew."""


@dataclass(frozen=True)
class Bar:
    """A bar or lever on three pins; lengths mm (N,1); e: centre pin ahead of the end-pin line, wrist side."""

    l_a: Floats
    l_b: Floats
    e: Floats
    d_centre: Floats
    d_end: Floats
    mu: Floats

    def _sine(self, s_a: Floats, s_b: Floats) -> Floats:
        return eq.bar_sine(s_a, s_b, self.l_a + self.l_b)

    def tilt(self, s_a: Floats, s_b: Floats) -> Floats:
        """phi, rad."""
        return eq.bar_tilt(self._sine(s_a, s_b))

    def tilt_over(self, s_a: Floats, s_b: Floats) -> Floats:
        """How far the sine overshoots what a bar can do at all (>= 0)."""
        return overshoot(self._sine(s_a, s_b))

    def draw(self, s_a: Floats, s_b: Floats, phi: Floats) -> Floats:
        """Draw of the centre pin, mm."""
        return eq.bar_draw(s_a, s_b, self.l_a, self.l_b, self.e, phi)

    def plain_share(self, phi: Floats) -> Floats:
        """c_a with parallel links."""
        return eq.bar_plain_share(self.l_a, self.l_b, self.e, phi)

    def ends(self, phi: Floats) -> Ends:
        """End pins from the centre pin, mm."""
        c, s = np.cos(phi), np.sin(phi)
        ex, ey = self.e * s, self.e * c
        return Ends(-self.l_a * c - ex, self.l_b * c - ex, -self.l_a * s + ey, self.l_b * s + ey)

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """Links keep their length: zeros, the shape of the draws."""
        return np.zeros_like(s_a - s_b)

    def sharing(self, leans: Leans, ends: Ends) -> Sharing:
        """Moment balance about the centre pin; pins rub by their own loads."""
        a = eq.arm_outward(-ends.xa, ends.ya, leans.tan_a)
        b = eq.arm_outward(ends.xb, ends.yb, leans.tan_b)
        share_a, share_b = eq.share_of_a(a, b), eq.share_of_a(b, a)
        couple = eq.pin_couple(
            self.mu,
            self.d_centre,
            self.d_end,
            self.d_end,
            share_a,
            share_b,
            leans.cos_in,
            leans.cos_a,
            leans.cos_b,
        )
        return Sharing(share_a, share_b, eq.bar_skew(couple, a, b), Brackets(a, b))


@dataclass(frozen=True)
class Wheel:
    """A floating wheel; D pitch diameter of the mean arm, mm (N,1)."""

    D: Floats
    d_axle: Floats
    mu_j: Floats
    d_chain: Floats
    mu_c: Floats

    def tilt(self, s_a: Floats, s_b: Floats) -> Floats:
        """Turn of the wheel, rad, + when a is drawn further."""
        return (s_a - s_b) / self.D

    def tilt_over(self, s_a: Floats, s_b: Floats) -> Floats:
        """A wheel has no tilt limit; its strands' anchor room is a limit of its own."""
        return np.zeros_like(s_a - s_b)

    def draw(self, s_a: Floats, s_b: Floats, phi: Floats) -> Floats:
        """Draw of the axle, mm."""
        return eq.wheel_draw(s_a, s_b) + 0.0 * phi

    def plain_share(self, phi: Floats) -> Floats:
        """One half."""
        return 0.5 + 0.0 * phi

    def ends(self, phi: Floats) -> Ends:
        """Tangents of the strands from the axle, mm."""
        zero = 0.0 * phi
        return Ends(-self.D / 2.0 + zero, self.D / 2.0 + zero, zero, zero)

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """Strand a is shorter by this, strand b longer: (s_a - s_b)/2, mm."""
        return (s_a - s_b) / 2.0

    def sharing(self, leans: Leans, ends: Ends) -> Sharing:
        """Equal strand forces; axle and chain pins rub."""
        zero = 0.0 * ends.ya
        return Sharing(
            eq.wheel_share(leans.cos_a, leans.cos_b) + zero,
            eq.wheel_share(leans.cos_b, leans.cos_a) + zero,
            eq.wheel_skew(self.mu_j, self.d_axle, self.mu_c, self.d_chain, self.D) + zero,
        )


@dataclass(frozen=True)
class GearSplit:
    """The gears of a differential with chain wheels of mean arm r_a, r_b; eta one mesh (N,1)."""

    r_a: Floats
    r_b: Floats
    eta: Floats
    meshes: int

    def tilt(self, s_a: Floats, s_b: Floats) -> Floats:
        """Turn of side a against the cage, rad: (theta_a - theta_b)/2."""
        return (s_a / self.r_a - s_b / self.r_b) / 2.0

    def tilt_over(self, s_a: Floats, s_b: Floats) -> Floats:
        """Gears turn without end."""
        return np.zeros_like(s_a - s_b)

    def draw(self, s_a: Floats, s_b: Floats, phi: Floats) -> Floats:
        """Common draw, mm."""
        return eq.gear_split_draw(s_a, s_b, self.r_a, self.r_b) + 0.0 * phi

    def plain_share(self, phi: Floats) -> Floats:
        """r_b/(r_a + r_b)."""
        return self.r_b / (self.r_a + self.r_b) + 0.0 * phi

    def ends(self, phi: Floats) -> Ends:
        """No body between: zeros."""
        zero = 0.0 * phi
        return Ends(zero, zero, zero, zero)

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """The chain wheels wind the strands themselves."""
        return np.zeros_like(s_a - s_b)

    def sharing(self, leans: Leans, ends: Ends) -> Sharing:
        """Equal side moments; the meshes between the sides rub."""
        zero = 0.0 * ends.ya
        return Sharing(
            eq.gear_split_share(self.r_a, self.r_b, leans.cos_a, leans.cos_b) + zero,
            eq.gear_split_share(self.r_b, self.r_a, leans.cos_b, leans.cos_a) + zero,
            eq.gear_split_skew(self.eta, self.meshes) + zero,
        )
