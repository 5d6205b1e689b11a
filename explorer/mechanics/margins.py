"""Margin of safety, one definition for every check."""

import numpy as np

from explorer.mechanics.types import Floats, Real

SHEAR_YIELD = 0.577
"""Yield in shear over yield in tension [-]: 1/sqrt(3), distortion energy (Shigley, memory)."""


def margin_of_safety(allowable: Floats, factor: Real, stress: Real) -> Floats:
    """Margin [-]: allowable / (factor * |stress|) - 1; at least zero is safe, unloaded is inf.

    allowable > 0 and stress in one unit (MPa, or N for loads), any sign of stress; factor design
    factor, overload included where the stress leaves it out [-]. Broadcasts elementwise.
    Source: usual definition, common practice.
    """
    with np.errstate(divide="ignore", over="ignore"):
        return np.divide(allowable, factor * np.abs(stress)) - 1.0


def shear_allowable(Sy: Floats) -> Floats:
    """Yield strength in shear [MPa]: 0.577 Sy, Sy yield strength in tension [MPa].

    Source: distortion-energy theory (Shigley eq. 5-21, from memory).
    """
    return SHEAR_YIELD * Sy
