"""The eye of a plate or link around a pin: net section and tear-out.

Arguments broadcast elementwise, any leading shape. Nothing is guarded: the caller sees to it that
the eye is wider than its hole (w > d, e_edge > d/2), or the result means nothing.
"""

from explorer.mechanics.types import Floats, Real


def net_section_stress(F: Floats, w: Real, d: Real, t: Real) -> Floats:
    """Mean tension [MPa] beside the hole: F / ((w - d) t).

    F pull on this plate [N], w width of the eye across the pull, d hole, t thickness [mm], w > d.
    Source: common practice (Bhandari, knuckle joint, tension in the eye; from memory).
    """
    return F / ((w - d) * t)


def tear_out_stress(F: Floats, e_edge: Real, d: Real, t: Real) -> Floats:
    """Mean shear [MPa] on the two planes ahead of the pin: F / (2 t (e_edge - d/2)).

    F pull on this plate [N], e_edge hole centre to the edge along the pull, d hole, t thickness
    [mm], e_edge > d/2. Both planes count only beyond the hole's far side, the safe side: texts that
    measure them beside the pin find them longer.
    Source: common practice (Bhandari, knuckle joint, shear of the eye; from memory).
    """
    return F / (2.0 * t * (e_edge - d / 2.0))
