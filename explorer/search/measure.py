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
_QUICK = 4  # aims up to which one call is quick
_SLICES = 64


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
    return _volume(inside)


def _volume(S: Floats) -> float:
    """Volume dominated by scaled aims S (N,M) from the reference, cut into slices where that is quicker.

    An aim of few levels, as a count of pieces is, is a stack of slices one aim lower.  At five aims and ten
    thousand rows of two levels that took a tenth to a thirtieth of the time.
    """
    ref = np.full(S.shape[1], REFERENCE)
    levels = [np.unique(column) for column in S.T]
    j = min(range(len(levels)), key=lambda k: len(levels[k]))
    if S.shape[1] <= _QUICK or len(levels[j]) > _SLICES:
        return float(moocore.hypervolume(S, ref=ref))
    rest, total = np.delete(S, j, axis=1), 0.0
    tops = [*levels[j][1:].tolist(), REFERENCE]
    for level, top in zip(levels[j].tolist(), tops, strict=True):
        part = np.ascontiguousarray(rest[S[:, j] <= level])
        front = part[np.asarray(moocore.is_nondominated(part))]
        total += (top - level) * float(moocore.hypervolume(front, ref=ref[1:]))
    return total


@dataclass(frozen=True)
class Course:
    """Hypervolume of one island after each round: evaluations (R,) rising, volume (R,)."""

    evaluations: Floats
    volume: Floats


def growth(course: Course) -> float | None:
    """Share of its volume by which a course grew over the last quarter of the evaluations.

    None where it covers nothing, or was not measured that far back.
    """
    if not len(course.volume) or not course.volume[-1] > 0.0:
        return None
    quarter = 0.75 * course.evaluations[-1]
    i = int(np.searchsorted(course.evaluations, quarter, side="right")) - 1
    return float((course.volume[-1] - course.volume[i]) / course.volume[-1]) if i >= 0 else None


def still(course: Course) -> bool:
    """True when volume grew by less than 0.1 % over the last quarter of the evaluations, in 20 rounds.

    An island that covers nothing is not settled.
    """
    grew = growth(course)
    return len(course.volume) >= LEAST_ROUNDS and grew is not None and grew < STILL_GROWING


def spread(volumes: Sequence[float]) -> float | None:
    """Share of the largest volume by which the smallest lies under it; None where the largest is nothing."""
    most = max(volumes)
    return (most - min(volumes)) / most if most > 0.0 else None


def agree(volumes: Sequence[float]) -> bool:
    """True when volumes reached from at least two seeds lie within 2 % of the largest."""
    apart = spread(volumes)
    return len(volumes) > 1 and apart is not None and apart <= APART
