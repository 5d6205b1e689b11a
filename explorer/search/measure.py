"""How much an archive covers, and whether a search has settled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import moocore
import numpy as np

from explorer.mechanics.types import Floats
from explorer.search.ranks import clipped

REFERENCE = 1.1
LEAST_ROUNDS = 20
STILL_GROWING = 1e-3
APART = 0.02


@dataclass(frozen=True)
class Box:
    """The fixed box of aims to measure in: ideal (M,) is 0, nadir (M,) is 1."""

    ideal: Floats
    nadir: Floats

    def __post_init__(self) -> None:
        if self.ideal.shape != self.nadir.shape or not (self.nadir > self.ideal).all():
            raise ValueError("a box needs a nadir above its ideal in every aim")
        if not (np.isfinite(self.ideal).all() and np.isfinite(self.nadir).all()):
            raise ValueError("a box must be finite")


def hypervolume(F: Floats, enough: Floats, box: Box) -> float:
    """Volume dominated by unclipped aims F (N,M), clipped at enough and scaled to the box, from 1.1.

    Rows beyond the reference in some aim count for nothing; what lies under the ideal counts.
    """
    scaled = (clipped(F, enough) - box.ideal) / (box.nadir - box.ideal)
    inside = scaled[(scaled < REFERENCE).all(axis=1)]
    if not len(inside):
        return 0.0
    return float(moocore.hypervolume(inside, ref=np.full(F.shape[1], REFERENCE)))


@dataclass(frozen=True)
class Course:
    """Hypervolume of one island after each round: evaluations (R,) rising, volume (R,)."""

    evaluations: Floats
    volume: Floats


def still(course: Course) -> bool:
    """True when volume grew by less than 0.1 % over the last quarter of the evaluations, in 20 rounds.

    An island that covers nothing is not settled.
    """
    n = len(course.volume)
    if n < LEAST_ROUNDS or not course.volume[-1] > 0.0:
        return False
    quarter = 0.75 * course.evaluations[-1]
    i = int(np.searchsorted(course.evaluations, quarter, side="right")) - 1
    return i >= 0 and bool(course.volume[-1] - course.volume[i] < STILL_GROWING * course.volume[-1])


def agree(volumes: Sequence[float]) -> bool:
    """True when volumes reached from at least two seeds lie within 2 % of the largest."""
    return len(volumes) > 1 and 0.0 < max(volumes) <= min(volumes) + APART * max(volumes)
