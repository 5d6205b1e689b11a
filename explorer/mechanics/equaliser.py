"""Equalisers: bars (levers), floating wheels and gear differentials.  Shares of the stage's pull P.

Signs: pull toward the wrist is positive; `a` is the index side; tilt phi > 0 when a is drawn further;
leans are outward.  T_a + T_b = P always; friction shows as skew between the shares only.
Derived from moment balance about the centre pin (law of the lever); checked against virtual work.
"""

from __future__ import annotations

import numpy as np

from explorer.mechanics.guard import at_least, clip_sine
from explorer.mechanics.types import Floats

_SMALL = 1e-3  # mm, floor of a bracket that a drive far out of limits could turn negative


def bar_sine(s_a: Floats, s_b: Floats, span: Floats) -> Floats:
    """sin(phi) = (s_a - s_b)/span, unclipped; mm in, - out."""
    return (s_a - s_b) / span


def bar_tilt(sine: Floats) -> Floats:
    """phi, rad, from its sine (clipped at 72 degrees; the overshoot is the caller's limit)."""
    return np.arcsin(clip_sine(sine))


def bar_draw(s_a: Floats, s_b: Floats, l_a: Floats, l_b: Floats, e: Floats, phi: Floats) -> Floats:
    """Draw of the centre pin y = (l_b s_a + l_a s_b)/span - e (1 - cos phi), mm."""
    return (l_b * s_a + l_a * s_b) / (l_a + l_b) - e * (1.0 - np.cos(phi))


def bar_plain_share(l_a: Floats, l_b: Floats, e: Floats, phi: Floats) -> Floats:
    """c_a with parallel links: (l_b - e tan phi)/span."""
    return (l_b - e * np.tan(phi)) / (l_a + l_b)


def arm_outward(out: Floats, ahead: Floats, tan: Floats) -> Floats:
    """Arm of a pull toward the fingers at a pin `out` to its side and `ahead` of the centre pin, mm.

    An outward lean of the pull takes ahead x tan off it.  Kept above a small length.
    """
    return at_least(out - ahead * tan, _SMALL)


def share_of_a(bracket_a: Floats, bracket_b: Floats) -> Floats:
    """c_a = B/(A + B) from T_a A = T_b B and T_a + T_b = P."""
    return bracket_b / (bracket_a + bracket_b)


def bar_skew(couple_per_pull: Floats, bracket_a: Floats, bracket_b: Floats) -> Floats:
    """Half the difference of the shares that pin friction holds: M/(A + B), M per unit of P."""
    return couple_per_pull / (bracket_a + bracket_b)


def pin_couple(
    mu: Floats,
    d_c: Floats,
    d_a: Floats,
    d_b: Floats,
    c_a: Floats,
    c_b: Floats,
    cos_in: Floats,
    cos_a: Floats,
    cos_b: Floats,
) -> Floats:
    """Friction couple per unit of P, mm: mu/2 (d_c/cos d_1 + c_a d_a/cos d_a + c_b d_b/cos d_b).

    Both ends first, so that which of them is a makes no difference to the last bit.
    """
    return mu / 2.0 * (d_c / cos_in + (c_a * d_a / cos_a + c_b * d_b / cos_b))


def wheel_draw(s_a: Floats, s_b: Floats) -> Floats:
    """Draw of a floating wheel, y = (s_a + s_b)/2, mm."""
    return (s_a + s_b) / 2.0


def wheel_share(cos_a: Floats, cos_b: Floats) -> Floats:
    """c_a: strand forces are equal, so c_a = cos d_a/(cos d_a + cos d_b)."""
    return cos_a / (cos_a + cos_b)


def wheel_skew(mu_j: Floats, d_axle: Floats, mu_c: Floats, d_c: Floats, D: Floats) -> Floats:
    """(mu_j d_axle + mu_c d_c)/(2 D); D the pitch diameter of the mean arm, mm."""
    return (mu_j * d_axle + mu_c * d_c) / (2.0 * D)


def gear_split_draw(y_a: Floats, y_b: Floats, r_a: Floats, r_b: Floats) -> Floats:
    """Common draw Y = c_a y_a + c_b y_b of a differential with chain wheels of mean arm r_a, r_b."""
    return (r_b * y_a + r_a * y_b) / (r_a + r_b)


def gear_split_share(r_a: Floats, r_b: Floats, cos_a: Floats, cos_b: Floats) -> Floats:
    """c_a from equal side moments: pulls along y are as cos d/r."""
    return cos_a * r_b / (cos_a * r_b + cos_b * r_a)


def gear_split_arm(r_a: Floats, r_b: Floats, cos_a: Floats, cos_b: Floats) -> Floats:
    """Arm of the common pull on the cage, mm: 2 r_a r_b/(r_a cos d_b + r_b cos d_a)."""
    return 2.0 * r_a * r_b / (r_a * cos_b + r_b * cos_a)


def gear_split_skew(eta_mesh: Floats, meshes: int) -> Floats:
    """(1 - eta^n)/(2 (1 + eta^n)); n meshes between the sides: bevel 2, spur pair 3."""
    loss = eta_mesh
    for _ in range(meshes - 1):
        loss = loss * eta_mesh
    return 0.5 * (1.0 - loss) / (1.0 + loss)
