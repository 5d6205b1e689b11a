"""The socket ring round the palm bones: what turns it, and the mean pressure under a strip of it.

Reported, never a limit: what skin bears depends on the person, the padding and the time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from explorer.brief.hand_records import Place
from explorer.brief.records import Brief
from explorer.mechanics.types import Floats
from explorer.scoring.reactions import Reactions
from explorer.scoring.wrench import Wrench, size, vector

MM2_PER_CM2 = 100.0


@dataclass(frozen=True)
class SkinLevel:
    """A mean pressure on skin, N/cm2 (1 N/cm2 = 10 kPa), what it is, and how well it is known."""

    pressure: float
    words: str
    source: str
    known: Literal["read", "from memory", "guess"]


# Least first.
SKIN = (
    SkinLevel(
        0.4, "worn all day", "judgement; capillaries close at 4.3 kPa (Landis 1930)", "guess"
    ),
    SkinLevel(2.0, "held for minutes", "judgement", "guess"),
    SkinLevel(5.0, "held for seconds", "judgement", "guess"),
    SkinLevel(
        25.0, "reached under tool handles", "Hall 1997, External pressure at the hand", "read"
    ),
)


@dataclass(frozen=True)
class Ring:
    """The ring if it carried all mounts alone, one value a position (P,).

    `wrench` about its middle; `turning` moment about its axis (y), N*mm; `across`, `along` parts of the
    force square to the axis and along it, N; `strip` force on the worst strip, N; `pressure` N/cm2.
    """

    centre: Place
    wrench: Wrench
    turning: Floats
    across: Floats
    along: Floats
    strip: Floats
    pressure: Floats


def ring_centre(brief: Brief) -> Place:
    """The middle of the ring: the brief's, or that of the cavity (assumed)."""
    if brief.mounts.ring_centre is not None:
        return brief.mounts.ring_centre
    box = brief.cavity.box
    return Place((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0, (box.z0 + box.z1) / 2.0)


def strip_force(across: Floats, moment: Floats, radius: float) -> Floats:
    """Force on the worst strip, N: the whole side force, and one of the pair that holds the moment.

    M = F 2 R with strips on opposite sides of the ring.  Statics; which strips press is a simplification.
    """
    return across + moment / (2.0 * radius)


def ring(brief: Brief, r: Reactions) -> Ring:
    """What comes to the ring in every position that holds something."""
    centre, mounts = ring_centre(brief), brief.mounts
    w = r.on_mounts(vector(centre.x, centre.y, centre.z, r.F_in))
    across = np.hypot(w.force[:, 0], w.force[:, 2])
    strip = strip_force(across, size(w.moment), mounts.ring_radius)
    area = mounts.strip_width * mounts.strip_length / MM2_PER_CM2
    return Ring(centre, w, w.moment[:, 1], across, w.force[:, 1], strip, strip / area)


def skin_level(pressure: float) -> SkinLevel | None:
    """The largest level that a pressure passes; None below them all."""
    passed = [level for level in SKIN if pressure > level.pressure]
    return passed[-1] if passed else None
