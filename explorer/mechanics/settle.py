"""How links lean: sine, tangent and cosine of a link or strand by its sideways distance."""

from __future__ import annotations

import numpy as np

from explorer.mechanics.guard import clip_sine
from explorer.mechanics.types import Floats


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
