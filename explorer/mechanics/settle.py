"""Where floating bodies settle sideways, and how their links lean.

A body hung between one link on the wrist side and two on the finger side moves to the x where the
sideways parts of the pulls balance (small leans: the part is c (x_i - x)/L of the pull).
"""

from __future__ import annotations

import numpy as np

from explorer.mechanics.guard import clip_sine
from explorer.mechanics.types import Floats


def settled_x(weight_in: Floats, x_in: Floats, weight_out: Floats, moment_out: Floats) -> Floats:
    """x = (x_e w_1 + sum c_i (x_i - o_i)/L_i)/(w_1 + sum c_i/L_i), w_1 = 1/L_1; mm.

    `weight_out` = sum c_i/L_i, `moment_out` = sum c_i (x_i - o_i)/L_i.
    """
    return (x_in * weight_in + moment_out) / (weight_in + weight_out)


def lean_sine(dx: Floats, length: Floats) -> Floats:
    """sin(delta) = dx/L of a link, unclipped."""
    return dx / length


def lean_tan(sine: Floats) -> Floats:
    """tan(delta) = dx/sqrt(L^2 - dx^2) from the sine (clipped at 72 degrees)."""
    s = clip_sine(sine)
    return s / np.sqrt(1.0 - s * s)


def lean_cos(sine: Floats) -> Floats:
    """cos(delta) from the sine (clipped at 72 degrees)."""
    s = clip_sine(sine)
    return np.sqrt(1.0 - s * s)
