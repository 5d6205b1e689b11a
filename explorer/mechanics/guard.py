"""Keep formulas finite where a candidate is far outside its limits.

The overshoot is never lost: callers turn it into a violated limit.  Complex arrays pass untouched, so
that the same formulas can be differentiated by complex step inside their range.
"""

from __future__ import annotations

import numpy as np

from explorer.mechanics.types import Floats

SINE_CAP = 0.95  # beyond about 72 degrees no joint of this kind works


def clip_sine(u: Floats, cap: float = SINE_CAP) -> Floats:
    """u limited to [-cap, cap]; any shape; complex passes."""
    if np.iscomplexobj(u):
        return u
    return np.minimum(np.maximum(u, -cap), cap)


def overshoot(u: Floats, cap: float = SINE_CAP) -> Floats:
    """How far |u| lies beyond the cap (>= 0), the shape of u."""
    return np.maximum(np.abs(np.real(u)) - cap, 0.0)


def at_least(x: Floats, low: float) -> Floats:
    """x raised to `low`; complex passes."""
    if np.iscomplexobj(x):
        return x
    return np.maximum(x, low)
