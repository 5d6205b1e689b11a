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


class Body(Protocol):
    """What the motion asks of an equalising body.  All arrays (N,P) unless said."""

    def tilt(self, s_a: Floats, s_b: Floats) -> Floats: ...
    def tilt_over(self, s_a: Floats, s_b: Floats) -> Floats: ...
    def draw(self, s_a: Floats, s_b: Floats, phi: Floats) -> Floats: ...
    def plain_share(self, phi: Floats) -> Floats: ...
    def offset_a(self, phi: Floats) -> Floats: ...
    def offset_b(self, phi: Floats) -> Floats: ...
    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats: ...
    def share(self, phi: Floats, leans: Leans) -> Floats: ...
    def skew(self, phi: Floats, leans: Leans, share_a: Floats) -> Floats: ...


@dataclass(frozen=True)
class Bar:
    """A bar or lever on three pins; lengths mm (N,1); e: centre pin ahead of the end-pin line, wrist side."""

    l_a: Floats
    l_b: Floats
    e: Floats
    d_centre: Floats
    d_end: Floats
    mu: Floats

    def sine(self, s_a: Floats, s_b: Floats) -> Floats:
        """Unclipped sin(phi)."""
        return eq.bar_sine(s_a, s_b, self.l_a + self.l_b)

    def tilt(self, s_a: Floats, s_b: Floats) -> Floats:
        """phi, rad."""
        return eq.bar_tilt(self.sine(s_a, s_b))

    def tilt_over(self, s_a: Floats, s_b: Floats) -> Floats:
        """How far the sine overshoots what a bar can do at all (>= 0)."""
        return overshoot(self.sine(s_a, s_b))

    def draw(self, s_a: Floats, s_b: Floats, phi: Floats) -> Floats:
        """Draw of the centre pin, mm."""
        return eq.bar_draw(s_a, s_b, self.l_a, self.l_b, self.e, phi)

    def plain_share(self, phi: Floats) -> Floats:
        """c_a with parallel links."""
        return eq.bar_plain_share(self.l_a, self.l_b, self.e, phi)

    def offset_a(self, phi: Floats) -> Floats:
        """Sideways offset of end a from the centre pin, mm."""
        return -self.l_a * np.cos(phi) - self.e * np.sin(phi)

    def offset_b(self, phi: Floats) -> Floats:
        """Sideways offset of end b from the centre pin, mm."""
        return self.l_b * np.cos(phi) - self.e * np.sin(phi)

    def height_a(self, phi: Floats) -> Floats:
        """y of end a above the centre pin, mm."""
        return -self.l_a * np.sin(phi) + self.e * np.cos(phi)

    def height_b(self, phi: Floats) -> Floats:
        """y of end b above the centre pin, mm."""
        return self.l_b * np.sin(phi) + self.e * np.cos(phi)

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """Links keep their length: zeros, the shape of the draws."""
        return np.zeros_like(s_a - s_b)

    def share(self, phi: Floats, leans: Leans) -> Floats:
        """c_a with leaning links."""
        return eq.share_of_a(self.bracket_a(phi, leans), self.bracket_b(phi, leans))

    def bracket_a(self, phi: Floats, leans: Leans) -> Floats:
        """Arm of the pull of a about the centre pin, mm."""
        return eq.bar_bracket_a(self.l_a, self.e, phi, leans.tan_a)

    def bracket_b(self, phi: Floats, leans: Leans) -> Floats:
        """Arm of the pull of b about the centre pin, mm."""
        return eq.bar_bracket_b(self.l_b, self.e, phi, leans.tan_b)

    def skew(self, phi: Floats, leans: Leans, share_a: Floats) -> Floats:
        """Skew of the shares by pin friction."""
        couple = eq.pin_couple(
            self.mu, self.d_centre, self.d_end, self.d_end, share_a,
            leans.cos_in, leans.cos_a, leans.cos_b,
        )
        return eq.bar_skew(couple, self.bracket_a(phi, leans), self.bracket_b(phi, leans))


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

    def offset_a(self, phi: Floats) -> Floats:
        """Tangent of strand a from the axle, mm."""
        return -self.D / 2.0 + 0.0 * phi

    def offset_b(self, phi: Floats) -> Floats:
        """Tangent of strand b from the axle, mm."""
        return self.D / 2.0 + 0.0 * phi

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """Strand a is shorter by this, strand b longer: (s_a - s_b)/2, mm."""
        return (s_a - s_b) / 2.0

    def share(self, phi: Floats, leans: Leans) -> Floats:
        """c_a: equal strand forces."""
        return eq.wheel_share(leans.cos_a, leans.cos_b) + 0.0 * phi

    def skew(self, phi: Floats, leans: Leans, share_a: Floats) -> Floats:  # noqa: ARG002
        """Skew by axle and chain pins."""
        return eq.wheel_skew(self.mu_j, self.d_axle, self.mu_c, self.d_chain, self.D) + 0.0 * phi


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

    def offset_a(self, phi: Floats) -> Floats:
        """No body between: zeros."""
        return 0.0 * phi

    def offset_b(self, phi: Floats) -> Floats:
        """No body between: zeros."""
        return 0.0 * phi

    def pay_out(self, s_a: Floats, s_b: Floats) -> Floats:
        """The chain wheels wind the strands themselves."""
        return np.zeros_like(s_a - s_b)

    def share(self, phi: Floats, leans: Leans) -> Floats:
        """c_a from equal side moments."""
        return eq.gear_split_share(self.r_a, self.r_b, leans.cos_a, leans.cos_b) + 0.0 * phi

    def skew(self, phi: Floats, leans: Leans, share_a: Floats) -> Floats:  # noqa: ARG002
        """Skew by the meshes between the sides."""
        return eq.gear_split_skew(self.eta, self.meshes) + 0.0 * phi
