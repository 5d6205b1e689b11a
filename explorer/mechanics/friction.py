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

_STEPS = 6  # Newton on a nearly straight, concave function: exact after three or four
_NO_LOAD = 1e-12  # a support that carries nothing has no direction
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


@dataclass(frozen=True)
class _Carried:
    """Sum of the support loads at F_out = 1 and its slope by f (N,P)."""

    total: Floats
    slope: Floats


def support_sum(f: Floats, s: Supports) -> Floats:
    """Sum of |f p_k + q_k| over the supports, the pull of F_out = 1; shape of f."""
    return _carried(f, s).total


def _carried(f: Floats, s: Supports) -> _Carried:
    total, slope = np.zeros_like(f), np.zeros_like(f)
    for px, py, qx, qy in zip(s.px, s.py, s.qx, s.qy, strict=True):
        rx, ry = f * px + qx, f * py + qy
        r = np.sqrt(rx * rx + ry * ry)
        total = total + r
        slope = slope + (rx * px + ry * py) / np.maximum(r, _NO_LOAD)
    return _Carried(total, slope)


def pulling(a1: Floats, a2: Floats, m_in: Floats, m_out: Floats, s: Supports) -> Balance:
    """F_in needed per unit of F_out when the wrist pulls; arms and m in mm, shapes (N,P)."""
    arm = a1 - m_in
    worst = s.c * sum(np.hypot(px, py) for px, py in zip(s.px, s.py, strict=True))
    locks = arm - worst
    load = a2 + m_out
    f = load / at_least(arm, _LEAST_ARM)
    for _ in range(_STEPS):
        r = _carried(f, s)
        f = f - (f * arm - s.c * r.total - load) / at_least(arm - s.c * r.slope, _LEAST_ARM)
    return Balance(f, locks)


def holding(a1: Floats, a2: Floats, m_in: Floats, m_out: Floats, s: Supports) -> Balance:
    """F_in that still holds one unit of F_out (friction reversed); `locks` <= 0: it holds by itself."""
    arm = a1 + m_in
    load = a2 - m_out
    f = load / arm
    for _ in range(_STEPS):
        r = _carried(f, s)
        f = f - (f * arm + s.c * r.total - load) / (arm + s.c * r.slope)
    return Balance(f, f * a1)
