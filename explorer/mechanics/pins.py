"""Pins of joints and of drive-pin circles: shear, bending, bearing.

Every argument broadcasts elementwise, any leading shape; the result has the broadcast shape.
Forces in N, lengths in mm, moments in N*mm, stresses in MPa.
"""

import numpy as np

from explorer.mechanics.types import Bools, Floats, Real


def shear_stress(F: Floats, d: Real, planes: Real) -> Floats:
    """Mean shear stress [MPa] of a round pin: F / (planes * pi d^2 / 4).

    F force through the joint [N], d pin diameter [mm], planes 1 or 2 shear planes [-].
    Source: Shigley, Mechanical Engineering Design, direct shear (from memory).
    """
    return F / (planes * (np.pi * d * d / 4.0))


def fork_moment(F: Floats, t_fork: Real, gap: Real, t_mid: Real) -> Floats:
    """Largest bending moment [N*mm] of a pin in a fork: F/2 * (t_fork/2 + gap + t_mid/4).

    F force through the joint [N]; t_fork thickness of one fork plate, gap between fork plate and
    middle part on each side, t_mid thickness of the middle part [mm].
    Uniform pressure on both fork plates and in the middle part, pin loose in both; it lies at
    mid-pin. Source: Roloff/Matek, Maschinenelemente, pin case 1, widened by the gap (from memory).
    Textbooks differ threefold, so a report names this model.
    """
    return F / 2.0 * (t_fork / 2.0 + gap + t_mid / 4.0)


def bending_stress(M: Floats, d: Real) -> Floats:
    """Bending stress [MPa] at the surface of a solid round pin: 32 M / (pi d^3).

    M bending moment [N*mm], d pin diameter [mm]; the sign follows M.
    Source: Shigley, Mechanical Engineering Design, eq. 3-24 for a round section (from memory).
    """
    return 32.0 * M / (np.pi * d * d * d)


def von_mises(sigma: Floats, tau: Real) -> Floats:
    """Equivalent stress [MPa] of one normal and one shear stress: sqrt(sigma^2 + 3 tau^2).

    sigma, tau [MPa], either sign. Source: Shigley, distortion-energy theory, plane stress with
    one normal stress (from memory).
    """
    return np.sqrt(sigma * sigma + 3.0 * tau * tau)


def bearing_stress(F: Floats, d: Real, t: Real) -> Floats:
    """Bearing stress [MPa] on the projected area of a hole: F / (d t).

    F force on this plate [N] (half the joint's force on each plate of a fork), d pin diameter,
    t plate thickness [mm]. Source: common practice, any machine-design text.
    """
    return F / (d * t)


def pin_combined(F: Floats, d: Real, planes: Real, t_fork: Real, gap: Real, t_mid: Real) -> Floats:
    """Equivalent stress [MPa] of a pin in a fork: mean shear with the largest bending.

    Arguments as in `shear_stress` and `fork_moment`. On the safe side: the bending peak (mid-pin,
    surface) and the shear (beside the middle part) do not fall on the same point.
    Source: von Mises on the two stresses above, common practice.
    """
    bending = bending_stress(fork_moment(F, t_fork, gap, t_mid), d)
    return von_mises(bending, shear_stress(F, d, planes))


def single_shear_moment(F: Floats, t1: Real, t2: Real, clamped: Bools) -> Floats:
    """Bending moment [N*mm] of a drive pin across two plates in single shear.

    F force on this pin [N], t1 and t2 plate thicknesses [mm], clamped true where the plates are
    held face to face. A plate that can tip leaves the pin a cantilever between the plates'
    middles, F (t1 + t2)/2; held face to face both ends stay straight, and half of it remains.
    Source: statics of a beam with free and with guided end, common practice.
    """
    return F * ((t1 + t2) / 2.0) * np.where(clamped, 0.5, 1.0)


def circle_pin_force(T: Floats, n_carrying: Real, r: Real) -> Floats:
    """Force [N] on each carrying pin of a drive-pin circle: T / (n r).

    T torque [N*mm], n_carrying number of pins that share it [-] (see `carrying_pins`), r radius
    of the pin circle [mm]. Source: statics of a bolt circle (Shigley ch. 8, from memory).
    """
    return T / (n_carrying * r)


def carrying_pins(n: Floats, share: Real) -> Floats:
    """Number of pins [-] of a circle of n that can be counted on: n * share, at least one.

    share [-]: about one half for clearance fits, 1 for holes reamed together.
    Source: common practice, no source.
    """
    return np.maximum(1.0, n * share)
