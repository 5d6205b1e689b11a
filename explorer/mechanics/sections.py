"""Flat levers with a hole, and straight bars pushed along their length.

Arguments broadcast elementwise, any leading shape. The lever bends in its own plane, its hole is
central in the width, and the caller sees to w > d.
"""

import numpy as np

from explorer.mechanics.types import Floats, Real

HOLE_EDGE_KT = 2.0
"""Stress concentration at a hole in an in-plane bent plate, on M (d/2) / I_net [-].

Peterson, Stress Concentration Factors, central hole in a bent plate (from memory)."""

LARGEST_LENGTH_TO_THICKNESS = 25.0
"""Longest length over total thickness [-] that needs no lateral-torsional check.

Common practice, no source."""


def net_second_moment(w: Floats, d: Real, t: Real) -> Floats:
    """Second moment of area [mm^4] of a plate w high through a central hole: t (w^3 - d^3)/12.

    w width in the plane of bending, d hole, t thickness [mm]. Source: derived, rectangle minus
    rectangle.
    """
    return t * (w * w * w - d * d * d) / 12.0


def outer_edge_stress(M: Floats, w: Floats, d: Real, t: Real) -> Floats:
    """Bending stress [MPa] at the outer edge beside a hole: M (w/2) / I_net.

    M moment in the plane [N*mm], sign kept; w, d, t [mm]. Source: simple bending.
    """
    return M * (w / 2.0) / net_second_moment(w, d, t)


def hole_edge_stress(M: Floats, w: Floats, d: Real, t: Real) -> Floats:
    """Peak bending stress [MPa] at the edge of a central hole: 2 M (d/2) / I_net.

    M moment in the plane [N*mm], sign kept; w, d, t [mm]. Source: Peterson, Stress Concentration
    Factors, hole in a bent plate, Kt = 2 (from memory).
    """
    return HOLE_EDGE_KT * M * (d / 2.0) / net_second_moment(w, d, t)


def lever_bending_stress(M: Floats, w: Floats, d: Real, t: Real) -> Floats:
    """Governing bending stress [MPa] of a lever at a hole.

    The outer edge governs for d/w < 0.5, the hole's edge above. With Kt = 2 both are equal at
    d/w = 0.5 exactly (M w / (2 I_net)), so the choice is continuous and is the larger of the two.
    M moment in the plane [N*mm], sign kept; w, d, t [mm]. d = 0 gives the solid lever.
    Source: the two functions above.
    """
    at_hole = d / w >= 0.5
    return np.where(at_hole, hole_edge_stress(M, w, d, t), outer_edge_stress(M, w, d, t))


def euler_load(E: Floats, second_moment: Real, length: Real) -> Floats:
    """Elastic buckling load [N] of a bar with hinged ends: pi^2 E I / L^2.

    E modulus [MPa], second_moment of the weak axis [mm^4], length between the hinges [mm].
    Source: Euler; Hibbeler, Mechanics of Materials, ch. 13.
    """
    return np.pi * np.pi * E * second_moment / (length * length)


def johnson_load(Sy: Floats, area: Real, E: Real, second_moment: Real, length: Real) -> Floats:
    """Buckling load [N] of a short bar with hinged ends: Sy A (1 - Sy (L/k)^2 / (4 pi^2 E)).

    Sy yield strength and E modulus [MPa], area [mm^2], second_moment of the weak axis [mm^4],
    length between the hinges [mm]; k^2 = I/A. Source: J. B. Johnson; Shigley eq. 4-43 (memory).
    """
    squash = Sy * area
    return squash * (1.0 - squash / (4.0 * euler_load(np.asarray(E), second_moment, length)))


def strut_load(Sy: Floats, area: Real, E: Real, second_moment: Real, length: Real) -> Floats:
    """Load [N] at which a pushed bar with hinged ends gives: Johnson when short, Euler when long.

    Arguments as in `johnson_load`. The two meet, with equal slope, where the Euler load is half
    the yield load. Source: Shigley sec. 4-12 to 4-13 (from memory).
    """
    euler = euler_load(np.asarray(E), second_moment, length)
    short = euler > Sy * area / 2.0
    return np.where(short, johnson_load(Sy, area, E, second_moment, length), euler)
