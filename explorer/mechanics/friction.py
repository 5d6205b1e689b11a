"""Friction of a ratio part, exactly: every pin couple at its own load, the supports at their resultant.

F_in (a1 - m_in) - sum c_k |F_in p_k + F_out q_k| = F_out (a2 + m_out) when pulling; holding, the signs of
all friction terms turn.  m = mu d/2 /cos(lean) of the drawbar pins (chain: its own pin and mu), c = mu d/2
of pivot or shaft.  One support for a rocker, two bushes for a shaft.  Derived from moment balance; with no
lean and a reversing rocker it is F_in (a1 - mu/2 (d_in + d_p)) = F_out (a2 + mu/2 (d_out + d_p)).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.mechanics.guard import at_least
from explorer.mechanics.types import Floats

_STEPS = 8  # Newton on a concave function from below: exact after a few
_LEAST_ARM = 1e-3  # mm; less is self-locking, which `locks` reports


@dataclass(frozen=True)
class Supports:
    """Support loads per unit F_in (p) and per unit F_out (q), vectors; c = mu d/2, mm.

    Tuples hold one array (N,P) a support.
    """

    px: tuple[Floats, ...]
    py: tuple[Floats, ...]
    qx: tuple[Floats, ...]
    qy: tuple[Floats, ...]
    c: Floats


@dataclass(frozen=True)
class Balance:
    """`f` = F_in/F_out (N,P); `locks` (N,P) margin of the arm left after friction, mm (<= 0: self-locking)."""

    f: Floats
    locks: Floats


def support_sum(f: Floats, s: Supports) -> Floats:
    """Sum of |f p_k + q_k| over the supports, the pull of F_out = 1; shape of f."""
    total = np.zeros_like(f)
    for px, py, qx, qy in zip(s.px, s.py, s.qx, s.qy, strict=True):
        total = total + np.hypot(f * px + qx, f * py + qy)
    return total


def _slope(f: Floats, s: Supports) -> Floats:
    total = np.zeros_like(f)
    for px, py, qx, qy in zip(s.px, s.py, s.qx, s.qy, strict=True):
        rx, ry = f * px + qx, f * py + qy
        r = np.hypot(rx, ry)
        total = total + (rx * px + ry * py) / np.where(r > 0.0, r, 1.0)
    return total


def pulling(a1: Floats, a2: Floats, m_in: Floats, m_out: Floats, s: Supports) -> Balance:
    """F_in needed per unit of F_out when the wrist pulls; arms and m in mm, shapes (N,P)."""
    arm = a1 - m_in
    worst = s.c * sum(np.hypot(px, py) for px, py in zip(s.px, s.py, strict=True))
    locks = arm - worst
    load = a2 + m_out
    f = load / at_least(arm, _LEAST_ARM)
    for _ in range(_STEPS):
        g = f * arm - s.c * support_sum(f, s) - load
        f = f - g / at_least(arm - s.c * _slope(f, s), _LEAST_ARM)
    return Balance(f, locks)


def holding(a1: Floats, a2: Floats, m_in: Floats, m_out: Floats, s: Supports) -> Balance:
    """F_in that still holds one unit of F_out (friction reversed); `locks` <= 0: it holds by itself."""
    arm = a1 + m_in
    load = a2 - m_out
    f = load / arm
    for _ in range(_STEPS):
        g = f * arm + s.c * support_sum(f, s) - load
        f = f - g / (arm + s.c * _slope(f, s))
    return Balance(f, f * a1)
