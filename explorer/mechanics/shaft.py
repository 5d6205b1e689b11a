"""A round shaft on two bushes, loaded across at any number of places: one plane at a time.

The bushes stand at z = 0 and z = span; loads may lie between or beyond them. Loads in the two
planes of the cross-section are treated apart and joined by `resultant` at each place.
"""

from dataclasses import dataclass

import numpy as np

from explorer.mechanics.pins import bending_stress, von_mises
from explorer.mechanics.types import Floats, Real


@dataclass(frozen=True)
class BushReactions:
    """What each bush carries [N], shape (...), positive along positive loads."""

    at_zero: Floats
    at_span: Floats


def bush_reactions(load: Floats, z: Floats, span: Floats) -> BushReactions:
    """Share of the loads that each of two bushes carries.

    load (..., K) forces across the shaft in one plane [N], z (..., K) their places along it, span
    (...) distance between the bushes [mm]. Loads beyond a bush give the far one a negative share.
    Source: moments about each bush (statics).
    """
    # K is a handful of loads: sums that short are added in order whatever the batch.
    length = np.asarray(span)[..., None]
    return BushReactions(
        at_zero=np.sum(load * (length - z) / length, axis=-1),
        at_span=np.sum(load * z / length, axis=-1),
    )


def shaft_moment(load: Floats, z: Floats, span: Floats) -> Floats:
    """Bending moment [N*mm] at each load and at both bushes, shape (..., K + 2), sign kept.

    Arguments as in `bush_reactions`; order: the K loads as given, the bush at 0, the bush at span.
    Between these places the moment is linear, so the largest magnitude is at one of them, in one
    plane and for the resultant of two. Positive where positive loads between the bushes bend it.
    Source: moments of all forces on the lower side of the cut (statics).
    """
    load, z, length = np.broadcast_arrays(load, z, np.asarray(span)[..., None])
    bushes = bush_reactions(load, z, length[..., 0])
    first, last = np.zeros_like(z[..., :1]), length[..., :1]
    places = np.concatenate([z, first, last], axis=-1)
    forces = np.concatenate([-load, bushes.at_zero[..., None], bushes.at_span[..., None]], axis=-1)
    arms = np.maximum(0.0, places[..., :, None] - places[..., None, :])
    return np.asarray(np.sum(forces[..., None, :] * arms, axis=-1))


def resultant(x: Floats, y: Floats) -> Floats:
    """Length of a vector from its parts in two planes at right angles, elementwise, same unit.

    Source: Pythagoras.
    """
    return np.hypot(x, y)


def shaft_stress(M: Floats, T: Floats, d: Real) -> Floats:
    """Equivalent stress [MPa] of a solid round shaft in bending and torsion.

    M bending moment and T torque at the same place [N*mm], d diameter [mm]; torsion is
    16 T / (pi d^3). Source: Shigley, shaft stresses by distortion energy (from memory).
    """
    return von_mises(bending_stress(M, d), bending_stress(T, d) / 2.0)
