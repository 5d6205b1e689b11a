"""A round shaft on two bushes, loaded across at any number of places: one plane at a time.

The bushes stand at z = 0 and z = span; loads may lie between or beyond them. Loads in the two
planes of the cross-section are treated apart and joined by `resultant` at each place.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.mechanics.pins import bending_stress, von_mises
from explorer.mechanics.types import Floats, Real


@dataclass(frozen=True)
class BushReactions:
    """What each bush carries [N], shape (...), positive along positive loads."""

    at_zero: Floats
    at_span: Floats


def bush_reactions(
    loads: Sequence[Floats], places: Sequence[Floats], span: Floats
) -> BushReactions:
    """Share of the loads that each of two bushes carries.

    loads: forces across the shaft in one plane [N], one array (...) each; places: their distances along
    it; span (...) between the bushes [mm]. Loads beyond a bush give the far one a negative share.
    Source: moments about each bush (statics).
    """
    zero, far = 0.0 * span, 0.0 * span
    for load, z in zip(loads, places, strict=True):
        share = z / span
        zero, far = zero + load * (1.0 - share), far + load * share
    return BushReactions(at_zero=zero, at_span=far)


def shaft_moments(
    loads: Sequence[Floats], places: Sequence[Floats], span: Floats
) -> tuple[Floats, ...]:
    """Bending moment [N*mm] at each load and at both bushes, sign kept; K + 2 arrays (...).

    Arguments as in `bush_reactions`; order: the loads as given, the bush at 0, the bush at span.
    Between these places the moment is linear, so the largest magnitude is at one of them, in one
    plane and for the resultant of two. Positive where positive loads between the bushes bend it.
    Source: moments of all forces on the lower side of the cut (statics).
    """
    bushes = bush_reactions(loads, places, span)
    out = []
    for at in (*places, 0.0 * span, span):
        moment = bushes.at_zero * np.maximum(at, 0.0) + bushes.at_span * np.maximum(at - span, 0.0)
        for load, z in zip(loads, places, strict=True):
            moment = moment - load * np.maximum(at - z, 0.0)
        out.append(moment)
    return tuple(out)


def resultant(x: Floats, y: Floats) -> Floats:
    """Length of a vector from its parts in two planes at right angles, elementwise, same unit.

    Source: Pythagoras.
    """
    return np.sqrt(x * x + y * y)


def shaft_stress(M: Floats, T: Floats, d: Real) -> Floats:
    """Equivalent stress [MPa] of a solid round shaft in bending and torsion.

    M bending moment and T torque at the same place [N*mm], d diameter [mm]; torsion is
    16 T / (pi d^3). Source: Shigley, shaft stresses by distortion energy (from memory).
    """
    return von_mises(bending_stress(M, d), bending_stress(T, d) / 2.0)
