"""Ratio parts: the rocker, and wheels or drums on mean arms.  Input draw X, output draw Y, mm."""

from __future__ import annotations

import numpy as np

from explorer.mechanics.guard import clip_sine
from explorer.mechanics.types import Floats


def rocker_sine(Y: Floats, r2: Floats, theta_s: Floats) -> Floats:
    """sin(theta) = sin(theta_s) + Y/r2, unclipped; angles from the normal to the pull, rad."""
    return np.asarray(np.sin(theta_s) + Y / r2)


def rocker_angle(sine: Floats) -> Floats:
    """theta, rad, from its sine (clipped at 72 degrees)."""
    return np.arcsin(clip_sine(sine))


def rocker_stroke(theta: Floats, r1: Floats, theta_s: Floats, beta: Floats) -> Floats:
    """X = r1 (sin(theta + beta) - sin(theta_s + beta)), mm."""
    return np.asarray(r1 * (np.sin(theta + beta) - np.sin(theta_s + beta)))


def rocker_arm(r: Floats, angle: Floats, tan_lean: Floats) -> Floats:
    """Arm about the pivot of a unit pull along y: r (cos + sin tan d), d > 0 leaning away from it."""
    return r * (np.cos(angle) + np.sin(angle) * tan_lean)


def wheel_turn(Y: Floats, a2: Floats) -> Floats:
    """theta = Y/a2, rad, on the mean arm."""
    return Y / a2
