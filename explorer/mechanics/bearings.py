"""Rolling bearings of a slow joint: what each of a stack carries, static safety, life, play as tilt.

All ball bearings; forces N, moments N*mm, lengths mm, angles rad; arrays of one shape or numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.mechanics.types import Floats, Real

# Axial load over static rating -> e and Y of single-row deep groove ball bearings, X = 0.56 (ISO 281;
# the usual table of textbooks, as Shigley 11-1 and Mott 14-5, from memory but for the row 0.056).
AXIAL = (0.014, 0.021, 0.028, 0.042, 0.056, 0.070, 0.084, 0.110, 0.17, 0.28, 0.42, 0.56)
E = (0.19, 0.21, 0.22, 0.24, 0.26, 0.27, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44)
Y = (2.30, 2.15, 1.99, 1.85, 1.71, 1.63, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00)
X = 0.56
X0, Y0 = 0.6, 0.5
# 2 / mean of |cos|^2.5 round the ring: balls give way as load^(2/3) (Hertz).
TILT_FACTOR = 4.37
MILLION = 1e6


def static_equivalent(F_r: Floats, F_a: Floats) -> Floats:
    """P0 = X0 Fr + Y0 Fa, at least Fr: single-row deep groove, X0 0.6, Y0 0.5.  Source: ISO 76."""
    return np.maximum(X0 * F_r + Y0 * F_a, F_r)


def static_equivalent_thrust(F_a: Floats, M: Floats, D_m: Real) -> Floats:
    """P0 = Fa + 4.37 M/D_m of a thrust ball bearing that also holds a tilting moment; D_m mean diameter.

    Two of them face to face without play: under M half a ring of each is loaded, Q = Q_max cos^1.5
    (Hertz), so Q_max = 4.37 M/(Z D_m), as of a four-point slewing ring (from memory; derived).
    """
    return F_a + TILT_FACTOR * M / D_m


def static_safety(C_0: Real, P_0: Floats) -> Floats:
    """s0 = C0/P0, inf without load.  Source: ISO 76."""
    loaded = P_0 > 0.0
    return np.asarray(np.where(loaded, C_0 / np.where(loaded, P_0, 1.0), np.inf))


def dynamic_equivalent(F_r: Floats, F_a: Floats, C_0: Real) -> Floats:
    """P = X Fr + Y Fa where Fa/Fr > e, else Fr; e and Y by Fa/C0, straight lines between the rows.

    Single-row deep groove, normal clearance.  Source: ISO 281, table as above; never below Fr.
    """
    part = F_a / C_0
    e, y = np.interp(part, AXIAL, E), np.interp(part, AXIAL, Y)
    return np.where(F_a > e * F_r, np.maximum(X * F_r + y * F_a, F_r), F_r)


def life(C: Real, P: Floats) -> Floats:
    """L10 = (C/P)^3 in millions of turns, ball bearings; inf without load.  Source: ISO 281."""
    loaded = P > 0.0
    ratio = C / np.where(loaded, P, 1.0)
    return np.asarray(np.where(loaded, ratio * ratio * ratio, np.inf))


def cycles(L10: Floats, turns: Floats) -> Floats:
    """How many cycles a life of L10 million turns is, each with `turns` turns out and back; inf without."""
    moved = turns > 0.0
    return np.asarray(np.where(moved, L10 * MILLION / np.where(moved, turns, 1.0), np.inf))


def radial_loads(F: Floats, M: Floats, at: Sequence[float]) -> tuple[Floats, ...]:
    """Largest load of each radial bearing at places `at` along a stiff shaft: F at the middle, moment M.

    F_j = F/n + M |x_j|/sum x^2, x from their mean; force and moment taken to point the same way (the
    safe side).  Equal stiffness; statics.  A single bearing holds no moment: it is left out there.
    """
    n = len(at)
    mean = sum(at) / n
    x = [a - mean for a in at]
    square = sum(v * v for v in x)
    each = F / n
    return tuple(each + (M * abs(v) / square if square > 0.0 else 0.0 * M) for v in x)


def tilt_play_radial(at: Sequence[float], play: Sequence[float]) -> float:
    """Tilt either way, rad, that radial clearances leave: least over pairs of (g_i + g_j)/2/|x_i - x_j|.

    `play` diametral.  inf for a single bearing.  Geometry of a stiff shaft, small angles.
    """
    found = [
        (play[i] + play[j]) / 2.0 / abs(at[i] - at[j])
        for i in range(len(at))
        for j in range(i)
        if at[i] != at[j]
    ]
    return min(found, default=float("inf"))


def tilt_play_thrust(play: Sequence[float], D_m: Sequence[float]) -> float:
    """Tilt either way, rad, of two thrust bearings face to face: the sum of their axial plays over D_m.

    The flange between touches opposite edges at (sum/2)/(D_m/2).  inf with fewer than two.
    """
    return sum(play) / min(D_m) if len(play) > 1 else float("inf")


@dataclass(frozen=True)
class Sharing:
    """What each bearing of a stack carries, in their order: radial, axial N and tilting moment N*mm."""

    radial: tuple[Floats, ...]
    axial: tuple[Floats, ...]
    moment: tuple[Floats, ...]


def share(
    F_r: Floats, F_a: Floats, M: Floats, thrust: Sequence[bool], at: Sequence[float]
) -> Sharing:
    """Who carries what: two or more thrust bearings take axial force and tilt, the others the rest.

    Without them the radial bearings take the tilt by their spacing, and each is checked for the whole
    axial force (which of them is fixed along the shaft is not asked).  Of a thrust pair either one takes
    the whole axial force, and both the moment.
    """
    zero = 0.0 * F_r
    pair = sum(thrust) > 1
    radials = [i for i, t in enumerate(thrust) if not t]
    loads = dict(
        zip(
            radials,
            radial_loads(F_r, zero if pair else M, [at[i] for i in radials]) if radials else (),
            strict=True,
        )
    )
    return Sharing(
        tuple(loads.get(i, zero) for i in range(len(thrust))),
        tuple(F_a if t or not pair else zero for t in thrust),
        tuple(M if t and pair else zero for t in thrust),
    )
