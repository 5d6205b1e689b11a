"""Spur gears of a planet-pair differential: tooth strength, pin load, room and assembly.

All arguments broadcast elementwise, any leading shape. Lengths in mm, forces in N, angles in rad.
`module` is the gear module [mm], z a number of teeth.
"""

import numpy as np

from explorer.mechanics.types import Floats, Ints, Real

PRESSURE_ANGLE = 20.0 * np.pi / 180.0
"""Pressure angle [rad] of the teeth in the Lewis table below."""

LEAST_TEETH = 13
"""Fewest teeth [-] of a pair of equal 20 degree full-depth gears that do not interfere.

Shigley eq. 13-10, 12.3 rounded up (from memory); see `least_pinion_teeth` for unequal pairs."""

# Shigley, Mechanical Engineering Design, table 14-2 (from memory).
LEWIS_TABLE = {
    12: 0.245, 13: 0.261, 14: 0.277, 15: 0.290, 16: 0.296, 17: 0.303, 18: 0.309, 19: 0.314,
    20: 0.322, 21: 0.328, 22: 0.331, 24: 0.337, 26: 0.346, 28: 0.353, 30: 0.359, 34: 0.371,
    38: 0.384, 43: 0.397, 50: 0.409, 60: 0.422, 75: 0.435, 100: 0.447, 150: 0.460, 300: 0.472,
    400: 0.480,
}  # fmt: skip
_TEETH = np.array(list(LEWIS_TABLE), dtype=np.float64)
_FACTORS = np.array(list(LEWIS_TABLE.values()))


def pitch_radius(module: Floats, z: Real) -> Floats:
    """Pitch radius [mm]: m z / 2. Source: definition of the module."""
    return module * z / 2.0


def centre_distance(module: Floats, z_1: Real, z_2: Real) -> Floats:
    """Distance of the axes [mm] of two meshing gears: m (z_1 + z_2) / 2.

    Of a side gear and its planet it is the cage radius r_c of the planet pins.
    Source: both roll on their pitch circles, no profile shift.
    """
    return module * (z_1 + z_2) / 2.0


def bore_wall(module: Floats, z: Real, bore: Real) -> Floats:
    """Wall [mm] left between the bore and the foot of the teeth: m (z/2 - 1.25) - bore/2.

    bore diameter [mm]. Source: dedendum 1.25 m of ISO 53 (from memory).
    """
    return pitch_radius(module, z) - 1.25 * module - bore / 2.0


def least_teeth_round(module: Floats, r: Real) -> Floats:
    """Fewest teeth [-, not rounded] whose feet lie at the radius r [mm] or further out.

    Source: `bore_wall`, solved for z.
    """
    return 2.0 * (r / module + 1.25)


def least_pinion_teeth(ratio: Floats, alpha: Real = PRESSURE_ANGLE) -> Floats:
    """Fewest teeth [-, not rounded] of a full-depth pinion that does not interfere with its gear.

    ratio gear teeth over pinion teeth, at least 1 (very large: a rack); alpha pressure angle
    [rad]. Source: Shigley eq. 13-11 with k = 1 (from memory).
    """
    s: Floats = np.sin(alpha)
    s2 = s * s
    q = 1.0 + 2.0 * ratio
    return 2.0 / (q * s2) * (ratio + np.sqrt(ratio * ratio + q * s2))


def lewis_factor(z: Floats | Ints) -> Floats:
    """Lewis form factor Y [-] of a 20 degree full-depth tooth, linear between table rows.

    z teeth [-]; above 400 the last row (safe). The table starts at 12 teeth and fewer are
    refused: fewer than `LEAST_TEETH` interfere anyway, so no candidate should hold them.
    Source: Shigley table 14-2 (from memory).
    """
    if np.any(np.asarray(z) < _TEETH[0]):
        raise ValueError(f"the Lewis table starts at {_TEETH[0]:.0f} teeth: use more teeth")
    return np.asarray(np.interp(z, _TEETH, _FACTORS), dtype=np.float64)


def tooth_stress(F_t: Floats, face: Real, module: Real, z: Floats | Ints) -> Floats:
    """Bending stress [MPa] at the foot of a tooth: F_t / (face m Y).

    F_t tangential force on the one tooth that carries [N], face width [mm]; no speed factor,
    the hand turns slowly. Source: Lewis; Shigley eq. 14-3 (from memory).
    """
    return F_t / (face * module * lewis_factor(z))


def planet_pin_factor(
    z_side: Floats,
    z_planet: Floats,
    alpha: Real = PRESSURE_ANGLE,
    at_side: Real = 1.0,
    at_partner: Real = 1.0,
) -> Floats:
    """Load on a planet's pin over its tangential tooth force [-], the worse hand of turning.

    Each planet meshes with one side gear and with its partner. With r_p, r_side the pitch radii
    and sin psi = r_p / (r_side + r_p), both tooth forces together are
    hypot(1 - sin psi +- tan alpha cos psi, cos psi +- tan alpha (1 + sin psi)); alpha [rad].
    `at_side`, `at_partner` [-]: how much of each of both forces comes to one support of the pin.
    Source: derived from the balance of one planet.
    """
    sin_psi = z_planet / (z_side + z_planet)
    cos_psi = np.sqrt(1.0 - sin_psi * sin_psi)
    lean: Floats = np.tan(alpha)
    ahead, beside = at_side - at_partner * sin_psi, at_partner * cos_psi
    along, across = lean * beside, lean * (at_side + at_partner * sin_psi)
    one = np.hypot(ahead + along, beside + across)
    other = np.hypot(ahead - along, beside - across)
    return np.maximum(one, other)


def planet_tip_fits(n: Real, z_side: Floats, z_planet: Floats) -> Floats:
    """Angle [rad] left over on the cage circle beside n planet pairs; negative: tips clash.

    2 pi - n (2 psi + 2 asin((r_p + m) / r_c)), r_c = r_side + r_p, sin psi = r_p / r_c; the
    module cancels. Source: derived, tip circle of radius r_p + m as seen from the cage axis.
    """
    psi = np.arcsin(z_planet / (z_side + z_planet))
    tip = np.arcsin((z_planet + 2.0) / (z_side + z_planet))
    return 2.0 * np.pi - n * (2.0 * psi + 2.0 * tip)


def assembly_remainder(z_a: Floats, z_b: Real, n: Real) -> Floats:
    """Teeth left over [-]: (z_a + z_b) mod n; zero where n equal planet pairs can be put in.

    z_a, z_b teeth of the side gears, n planet pairs evenly spaced, all whole.
    Source: assembly rule of planetary gears, common practice.
    """
    return np.asarray((z_a + z_b) % n)
