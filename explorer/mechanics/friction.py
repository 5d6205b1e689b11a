"""Friction of a ratio part, exactly: every pin couple at its own load, the supports at their resultant.

F_in (a1 - m_in) - sum c_k |F_in p_k + F_out q_k| = F_out (a2 + m_out) when pulling; holding, the signs of
all friction terms turn.  m = mu d/2 /cos(lean) of the drawbar pins (chain: its own pin and mu), c = mu d/2
of pivot or shaft.  One support for a rocker, two bushes for a shaft.  Derived from moment balance; with no
lean and a reversing rocker it is F_in (a1 - mu/2 (d_in + d_p)) = F_out (a2 + mu/2 (d_out + d_p)).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explorer.mechanics.guard import at_least
from explorer.mechanics.types import Bools, Floats

_FULL_STEPS = 3  # Newton on a nearly straight, concave function: exact after two or three
_MORE_STEPS = 3
_NEAR = 1e-8  # a step this small, of f, leaves nothing: the next would be its square
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


def _carried(f: Floats, s: Supports) -> _Carried:
    total = slope = np.zeros(())
    for px, py, qx, qy in zip(s.px, s.py, s.qx, s.qy, strict=True):
        rx, ry = f * px + qx, f * py + qy
        r = np.sqrt(rx * rx + ry * ry)
        by_f = (rx * px + ry * py) / np.maximum(r, _NO_LOAD)
        total, slope = total + r, slope + by_f
    return _Carried(total, slope)


def _step(f: Floats, arm: Floats, load: Floats, s: Supports, least: float) -> Floats:
    """One Newton step on f arm + c sum |f p + q| = load (c < 0 pulling); the slope stays above `least`.

    Written as tangent's root, (load - c (sum - f slope))/(arm + c slope): exact without friction.
    """
    r = _carried(f, s)
    slope = arm + s.c * r.slope
    steep = at_least(slope, least)
    rest = load - s.c * (r.total - f * r.slope) + f * (steep - slope)
    return np.asarray(rest / steep)


def _some(a: Floats, where: Bools) -> Floats:
    return np.broadcast_to(a, where.shape)[where]


def _root(f: Floats, arm: Floats, load: Floats, s: Supports, least: float) -> Floats:
    """Newton for all, then for the few that a support without load held up."""
    for _ in range(_FULL_STEPS - 1):
        f = _step(f, arm, load, s, least)
    found = _step(f, arm, load, s, least)
    left = np.abs(found - f) > _NEAR * np.abs(found)
    if not left.any():
        return found
    px, py, qx, qy = (tuple(_some(a, left) for a in each) for each in (s.px, s.py, s.qx, s.qy))
    few = Supports(px, py, qx, qy, _some(s.c, left))
    some = (_some(arm, left), _some(load, left))
    rest = found[left]
    for _ in range(_MORE_STEPS):
        rest = _step(rest, *some, few, least)
    found[left] = rest
    return found


def pulling(a1: Floats, a2: Floats, m_in: Floats, m_out: Floats, s: Supports) -> Balance:
    """F_in needed per unit of F_out when the wrist pulls; arms and m in mm, shapes (N,P)."""
    arm, load = a1 - m_in, a2 + m_out
    worst = s.c * sum(np.sqrt(px * px + py * py) for px, py in zip(s.px, s.py, strict=True))
    against = replace(s, c=-s.c)
    f = load / at_least(arm, _LEAST_ARM)
    return Balance(_root(f, arm, load, against, _LEAST_ARM), arm - worst)


def holding(a1: Floats, a2: Floats, m_in: Floats, m_out: Floats, s: Supports) -> Balance:
    """F_in that still holds one unit of F_out (friction reversed); `locks` <= 0: it holds by itself."""
    arm, load = a1 + m_in, a2 - m_out
    f = _root(load / arm, arm, load, s, -np.inf)
    return Balance(f, f * a1)
