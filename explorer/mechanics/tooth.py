"""The outline of a roller-chain wheel: seating arcs, flank arcs and tips, and the area inside it.

All arguments broadcast elementwise; mm and rad.  One gap lies along +x, mirrored about it; the form
repeats z times.  The smallest tooth gap of ISO 606 (from memory): it seats the roller closest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.mechanics import chain
from explorer.mechanics.types import Floats

# Pitch and roller diameter, mm, of ISO 606 chains (from memory): 03, 04C, 05B, 06B, 08B.
ROLLERS = ((5.0, 3.2), (6.35, 3.3), (8.0, 5.0), (9.525, 6.35), (12.7, 8.51))
USUAL = 0.625  # roller over pitch where no standard chain has this pitch: that of 05B (assumed)
_SAME = 0.01  # mm; pitches nearer than this are one


@dataclass(frozen=True)
class ToothForm:
    """Half a gap and half a tooth, from the gap's middle (angle 0) to the tooth's (angle pi/z).

    `R` pitch radius, `seat` radius of the arc about (R, 0), which spans `half` to both sides of the
    inward direction; `flank` radius of the arc about (`ex`, `ey`), from direction `leaves` to
    `meets`; `tip` radius of the top, begun at angle `top` of the wheel (pi/z: the tooth is pointed).
    """

    R: Floats
    seat: Floats
    half: Floats
    flank: Floats
    ex: Floats
    ey: Floats
    leaves: Floats
    meets: Floats
    tip: Floats
    top: Floats

    @property
    def root(self) -> Floats:
        """Radius at the bottom of the gaps, mm."""
        return self.R - self.seat


def usual_roller(p: Floats) -> Floats:
    """Diameter [mm] of the roller or bush of a chain of pitch p, as standard chains have it.

    Source: ISO 606 sizes (from memory); between them the share `USUAL` of the pitch (assumed).
    """
    d = USUAL * p
    for pitch, roller in ROLLERS:
        d = np.where(np.abs(p - pitch) < _SAME, roller, d)
    return np.asarray(d)


def tooth_form(p: Floats, z: Floats, d1: Floats) -> ToothForm:
    """The form of z teeth for a chain of pitch p and roller diameter d1 [mm].

    r_i = 0.505 d1, alpha = 140 deg - 90 deg/z, r_e = 0.12 d1 (z + 2).
    Source: ISO 606 tooth gap forms (from memory); tangency and tip derived.
    """
    R = chain.pitch_radius(p, z)
    r_i, r_e = 0.505 * d1, 0.12 * d1 * (z + 2.0)
    half = np.radians(140.0 - 90.0 / z) / 2.0
    ex, ey = R - (r_i + r_e) * np.cos(half), (r_i + r_e) * np.sin(half)
    tip = _tip(chain.tip_radius(p, z), np.pi / z, ex, ey, r_e)
    e = np.hypot(ex, ey)
    cosine = (e * e + tip * tip - r_e * r_e) / (2.0 * e * tip)
    top = np.minimum(np.arctan2(ey, ex) - np.arccos(np.clip(cosine, -1.0, 1.0)), np.pi / z)
    meets = np.arctan2(tip * np.sin(top) - ey, tip * np.cos(top) - ex)
    return ToothForm(R, r_i, half, r_e, ex, ey, -half, meets, tip, top)


def _tip(r_a: Floats, middle: Floats, ex: Floats, ey: Floats, r_e: Floats) -> Floats:
    """The tip circle, or less where the flank meets the tooth's middle line before it. Derived."""
    along = ex * np.cos(middle) + ey * np.sin(middle)
    across = ey * np.cos(middle) - ex * np.sin(middle)
    square = r_e * r_e - across * across
    met = along + np.sqrt(np.maximum(square, 0.0))
    return np.where(square > 0.0, np.minimum(r_a, met), r_a)


def tooth_area(p: Floats, z: Floats, d1: Floats) -> Floats:
    """Area [mm2] inside the outline of a wheel of z teeth, bore not taken off.

    Source: Green's theorem along the arcs of `tooth_form`.
    """
    f, zero = tooth_form(p, z, d1), np.zeros_like(p * z)
    seat = _swept(f.R, zero, f.seat, np.pi + zero, np.pi - f.half)
    flank = _swept(f.ex, f.ey, f.flank, f.leaves, f.meets)
    top = _swept(zero, zero, f.tip, f.top, np.pi / z)
    return 2.0 * z * (seat + flank + top)


def _swept(cx: Floats, cy: Floats, r: Floats, start: Floats, end: Floats) -> Floats:
    """Area swept from the origin along an arc, mm2; clockwise counts as negative."""
    across = cx * (np.sin(end) - np.sin(start)) - cy * (np.cos(end) - np.cos(start))
    return np.asarray(r * (r * (end - start) + across) / 2.0)
