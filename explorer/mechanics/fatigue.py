"""Fatigue of parts that are loaded and let go again: what a metal stands for the asked number of grips.

Stress-life method of Shigley, Mechanical Engineering Design, 9th edition, chapter 6: endurance limit
of a polished specimen, Marin factors, notch sensitivity, modified Goodman line.  All arguments
broadcast elementwise, any leading shape; stresses in MPa, lengths in mm.
"""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from scipy.special import ndtri

from explorer.mechanics.types import Floats, Real

SMALL_ROUND = 2.79
"""Below this [mm] the size factor is 1 (Shigley 9th ed., eq. 6-20)."""

AXIAL = 0.85
"""Marin load factor k_c of a section that is pulled [-]; 1 where it bends, or by von Mises
(Shigley 9th ed., eq. 6-26)."""

FIRST_CYCLES = 1e3
"""Cycles at which the sloped part of the S-N line starts (Shigley 9th ed., fig. 6-18)."""


@dataclass(frozen=True)
class Finish:
    """Constants of k_a = a S_ut^b, S_ut in MPa."""

    a: float
    b: float


FINISHES = MappingProxyType(
    {
        "ground": Finish(1.58, -0.085),
        "machined": Finish(4.51, -0.265),
        "hot-rolled": Finish(57.7, -0.718),
        "as-forged": Finish(272.0, -0.995),
    }
)
"""Shigley 9th ed., table 6-2; machined also stands for cold-drawn."""


@dataclass(frozen=True)
class Alloy:
    """S_e' = ratio S_ut up to `cap` MPa, reached at `knee` cycles; beyond them the line is level."""

    ratio: float
    cap: float
    knee: float


ALLOYS = MappingProxyType(
    {
        # Shigley 9th ed., eq. 6-8.
        "steel": Alloy(0.5, 700.0, 1e6),
        # 0.4 S_ut up to 19 ksi, a strength at 5e8 cycles and no limit (Norton, Machine Design; memory).
        "aluminium": Alloy(0.4, 130.0, 5e8),
        # least of the usual 0.45 to 0.65, at the latest of 1e6 to 1e7 cycles (Juvinall; from memory)
        "titanium": Alloy(0.45, 700.0, 1e7),
        # copper alloys: 0.4 S_ut up to 14 ksi at 5e8 cycles (Norton; memory); anything else is assumed so
        "other": Alloy(0.35, 96.0, 5e8),
    }
)

_DENSITIES = (
    ("steel", 7.4e-3, 8.3e-3),
    ("aluminium", 2.5e-3, 3.0e-3),
    ("titanium", 4.2e-3, 4.9e-3),
)


def alloy_of(density: float) -> str:
    """Kind of metal from its density [g/mm^3]: a key of `ALLOYS`. Source: handbook densities."""
    return next((name for name, low, high in _DENSITIES if low <= density <= high), "other")


def specimen_limit(S_ut: Floats, alloy: str = "steel") -> Floats:
    """Endurance limit S_e' [MPa] of a polished round specimen that turns while bent.

    S_ut tensile strength [MPa]. Source: see `ALLOYS`.
    """
    kind = ALLOYS[alloy]
    return np.minimum(kind.ratio * S_ut, kind.cap)


def surface_factor(S_ut: Floats, finish: str) -> Floats:
    """Marin surface factor k_a [-]: a S_ut^b, at most 1.

    S_ut [MPa], finish a key of `FINISHES`. Measured on steels; taken for other metals as well
    (assumed, safe). Source: Shigley 9th ed., eq. 6-19.
    """
    row = FINISHES[finish]
    return np.minimum(row.a * np.power(S_ut, row.b), 1.0)


def size_factor(d_e: Floats) -> Floats:
    """Marin size factor k_b [-] of a round section d_e [mm] that turns while bent, at most 1.

    1 below 2.79; (d/7.62)^-0.107 to 51; 1.51 d^-0.157 above. The printed power exceeds 1 between
    2.79 and 7.62; here it stays 1 (safe). Source: Shigley 9th ed., eq. 6-20.
    """
    d = np.maximum(d_e, SMALL_ROUND)
    power = np.where(d <= 51.0, np.power(d / 7.62, -0.107), 1.51 * np.power(d, -0.157))
    return np.minimum(power, 1.0)


def equivalent_round(d: Floats) -> Floats:
    """Diameter [mm] of the turning bar as highly stressed as a bar d that does not turn: 0.370 d.

    Source: Shigley 9th ed., eq. 6-24.
    """
    return 0.370 * d


def equivalent_rectangle(h: Floats, b: Real) -> Floats:
    """The same of a rectangle h by b that is bent: 0.808 sqrt(h b) [mm].

    Source: Shigley 9th ed., eq. 6-25.
    """
    return 0.808 * np.sqrt(h * b)


def reliability_factor(reliability: Floats) -> Floats:
    """Marin reliability factor k_e [-]: 1 - 0.08 z, z the normal variate of the reliability.

    reliability share that survives, 0.5 to below 1 [-]; 8 % standard deviation.
    Source: Shigley 9th ed., eq. 6-29.
    """
    return np.asarray(1.0 - 0.08 * ndtri(reliability))


def fatigue_fraction(S_ut: Floats) -> Floats:
    """Fraction f [-] of S_ut [MPa] that is left after 1,000 cycles.

    1.06 - 2.8e-3 S + 6.9e-6 S^2 with S in kpsi between 70 and 200, held constant outside; of steels.
    Source: Shigley 10th ed., eq. 6-11, the fit of the 9th edition's fig. 6-18 (from memory).
    """
    S = np.clip(S_ut / 6.894757, 70.0, 200.0)
    return 1.06 - 2.8e-3 * S + 6.9e-6 * S * S


def life_exponent(N: Real, knee: Real) -> Floats:
    """Where N cycles stand between 1,000 and the knee, on the logarithm: 0 to 1 [-].

    Source: straight S-N line on logarithms, Shigley 9th ed., sec. 6-8.
    """
    span = np.log10(np.asarray(knee) / FIRST_CYCLES)
    return np.clip(np.log10(np.asarray(N) / FIRST_CYCLES) / span, 0.0, 1.0)


def strength_at_life(S_ut: Floats, S_e: Floats, life: Real) -> Floats:
    """Reversed stress S_f [MPa] that is stood for the asked life: (f S_ut)^(1-life) S_e^life.

    S_e endurance limit with its Marin factors [MPa], `life` as in `life_exponent`. It is a N^b of
    Shigley 9th ed., eq. 6-13 to 6-15, written without a and b.
    """
    return np.power(fatigue_fraction(S_ut) * S_ut, 1.0 - life) * np.power(S_e, life)


def goodman_factor(s_a: Floats, s_m: Real, S_e: Real, S_ut: Real) -> Floats:
    """Factor of safety n [-] on the modified Goodman line: 1/(s_a/S_e + s_m/S_ut).

    s_a amplitude, s_m mean stress (not negative), S_e endurance limit or S_f [MPa].
    Source: Shigley 9th ed., eq. 6-46.
    """
    return np.asarray(1.0 / (s_a / S_e + s_m / S_ut))


def pulsating_strength(S_f: Floats, S_ut: Real) -> Floats:
    """Largest stress [MPa] of a cycle from zero (R = 0) that is just stood: 2 S_f S_ut/(S_f + S_ut).

    Source: modified Goodman line at s_a = s_m = half of it (Shigley 9th ed., eq. 6-46 with n = 1).
    """
    return 2.0 * S_f * S_ut / (S_f + S_ut)


def neuber_root(S_ut: Floats) -> Floats:
    """Square root of the Neuber length of steel, bent or pulled [mm^0.5].

    1.24 - 2.25e-3 S + 1.60e-6 S^2 - 4.11e-10 S^3, S_ut held to 340 to 1500 MPa.
    Source: Shigley 9th ed., eq. 6-35a, in metric units.
    """
    S = np.clip(S_ut, 340.0, 1500.0)
    return 1.24 - 2.25e-3 * S + 1.60e-6 * S * S - 4.11e-10 * S * S * S


def neuber_root_torsion(S_ut: Floats) -> Floats:
    """The same in shear [mm^0.5]: 0.958 - 1.83e-3 S + 1.43e-6 S^2 - 4.11e-10 S^3.

    Source: Shigley 9th ed., eq. 6-35b, in metric units (from memory).
    """
    S = np.clip(S_ut, 340.0, 1500.0)
    return 0.958 - 1.83e-3 * S + 1.43e-6 * S * S - 4.11e-10 * S * S * S


def neuber_root_aluminium(S_ut: Floats) -> Floats:
    """The same of heat-treated aluminium [mm^0.5], linear between the rows of a table.

    Source: Norton, Machine Design, table of Neuber constants (from memory).
    """
    kpsi = np.array([20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0])
    root_in = np.array([0.380, 0.278, 0.219, 0.186, 0.162, 0.144, 0.131, 0.122])
    return np.asarray(np.interp(S_ut / 6.894757, kpsi, root_in) * np.sqrt(25.4))


def notch_sensitivity(root: Real, r: Floats) -> Floats:
    """Notch sensitivity q [-]: 1/(1 + sqrt(a)/sqrt(r)).

    root Neuber's sqrt(a) [mm^0.5]; 0 is full sensitivity; r notch radius [mm].
    Source: Shigley 9th ed., eq. 6-34.
    """
    return 1.0 / (1.0 + root / np.sqrt(r))


def notch_factor(K_t: Real, q: Floats) -> Floats:
    """Fatigue stress concentration K_f [-]: 1 + q (K_t - 1).

    Put on amplitude and mean stress alike (safe). Source: Shigley 9th ed., eq. 6-32.
    """
    return 1.0 + q * (K_t - 1.0)


def empty_hole_kt(x: Floats) -> Floats:
    """K_t [-] of a plate pulled past an empty hole, on the net section; x = d/w.

    3 - 3.13 x + 3.66 x^2 - 1.53 x^3. Source: Roark, table 17.1; Howland's theory within 0.5 %.
    """
    return 3.0 + x * (-3.13 + x * (3.66 - 1.53 * x))


_LUG = (12.882, -52.714, 89.762, -51.667)
_LUG_FROM, _LUG_TO = 0.15, 0.75  # range of d/w that the cubic was read from


def _lug_cubic(x: Floats) -> Floats:
    a, b, c, d = _LUG
    return a + x * (b + x * (c + x * d))


_LUG_BEARING = float(_lug_cubic(np.array(_LUG_FROM)) * _LUG_FROM / (1.0 - _LUG_FROM))


def loaded_hole_kt(x: Floats) -> Floats:
    """K_t [-] of an eye pulled by a close pin, on the net section; x = d/w.

    12.882 - 52.714 x + 89.762 x^2 - 51.667 x^3 between 0.15 and 0.75, eye at least as long as wide.
    Below, the peak stays as many times the bearing stress as at 0.15; above, an empty hole's is least.
    Source: Peterson, Stress Concentration Factors, chart 4.67, Frocht and Hill (from memory).
    """
    narrow = _lug_cubic(np.minimum(x, _LUG_TO))
    lug = np.where(x < _LUG_FROM, _LUG_BEARING / x - _LUG_BEARING, narrow)
    return np.maximum(lug, empty_hole_kt(x))


WIDE_PLATE = 0.2
"""d/w that stands for a pin hole far from every edge (assumed): a plate five holes wide."""


def loaded_hole_bearing_kt(x: Floats) -> Floats:
    """The same peak over the bearing stress F/(d t) [-]: K_t x/(1 - x). Source: definition."""
    return loaded_hole_kt(x) * x / (1.0 - x)


def groove_kt(D: Floats, h: Floats, r: Real) -> Floats:
    """K_t [-] of a round bar's groove in torsion, on the section in the groove.

    D bar, h depth, r radius at the bottom [mm]; h/r held to 0.25 to 50.
    Source: Roark, table 17.1, U-notch in a circular shaft, torsion.
    """
    q = np.clip(h / r, 0.25, 50.0)
    s, deep = np.sqrt(q), 2.0 * h / D
    shallow = (
        (1.245 + 0.264 * s + 0.491 * q)
        + (-3.030 + 3.269 * s - 3.633 * q) * deep
        + (7.199 - 11.286 * s + 8.318 * q) * deep * deep
        + (-4.414 + 7.753 * s - 5.176 * q) * deep * deep * deep
    )
    sharp = (
        (1.651 + 0.614 * s + 0.040 * q)
        + (-4.794 - 0.314 * s - 0.217 * q) * deep
        + (8.457 - 0.962 * s + 0.389 * q) * deep * deep
        + (-4.314 + 0.662 * s - 0.212 * q) * deep * deep * deep
    )
    return np.where(q <= 2.0, shallow, sharp)


def tooth_factor(z: Floats, Y: Floats) -> Floats:
    """K_f [-] at the foot of a 20 degree full-depth tooth: H + (t/r)^L (t/l)^M.

    z teeth, Y Lewis form factor [-]. By the module: l = 2.25 (tooth depth), t = sqrt(4 l x) with
    x = 1.5 Y, root radius r = 0.3 + 0.95^2/(z/2 + 0.95). Source: Dolan and Broghamer, 1942, as in
    Shigley 9th ed., sec. 14-2 (from memory).
    """
    turn = 0.4583662 * (20.0 * np.pi / 180.0)
    H, L, M = 0.34 - turn, 0.316 - turn, 0.290 + turn
    depth = 2.25
    t = np.sqrt(4.0 * depth * 1.5 * Y)
    r = 0.3 + 0.95 * 0.95 / (z / 2.0 + 0.95)
    return np.asarray(H + np.power(t / r, L) * np.power(t / depth, M))
