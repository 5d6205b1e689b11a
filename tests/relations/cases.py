"""Random drives of one architecture on a random hand, scored together; what every relation starts from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any

import numpy as np

from explorer.brief.demand_build import build_demand
from explorer.brief.records import Brief
from explorer.brief.stock_records import Stock
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, strand_lengths, worst_overshoot
from explorer.drives.shelf import Shelf
from explorer.mechanics.types import Bools, Floats
from explorer.scoring.score import Detail, Scores, detail, score, scores_of
from tests.drives.spaces import vectors
from tests.outside.second.cases import USEFUL, WEB, brief_of, stock_of

SINGLES = ("index side", "little side")
SHORT = 1.0  # mm of free strand; the scorer counts no less than half a millimetre
SMALL = 0.1  # mm of arm; of a bar's end the scorer counts no less than a thousandth


class Skeleton(Space):
    """A design space whose links are all parallel to the pull: no leans anywhere."""

    def move(self, drive: Drive, *, skeleton: bool = True) -> Motion:
        return super().move(drive, skeleton=skeleton)


@dataclass(frozen=True)
class Case:
    """Drives X (N,V) of one architecture on one hand."""

    brief: Brief
    stock: Stock
    architecture: str
    single: str
    X: Floats

    @cached_property
    def space(self) -> Space:
        shelf = Shelf(self.brief, self.stock, build_demand(self.brief))
        return Space(shelf, self.architecture, self.single)

    @cached_property
    def skeleton(self) -> Detail:
        """Everything in every position on the parallel skeleton."""
        s = self.space
        return detail(Skeleton(s.shelf, s.architecture, s.single), self.X)

    @cached_property
    def told(self) -> Detail:
        """Everything in every position, those that are only reported too."""
        return detail(self.space, self.X)

    @cached_property
    def scores(self) -> Scores:
        return scores_of(self.told)

    @cached_property
    def searched(self) -> Scores:
        """As a search asks for it: the positions that count alone."""
        return score(self.space, self.X)

    @property
    def fingers(self) -> int:
        return len(self.brief.fingers)

    def but(self, **changes: Any) -> Case:  # noqa: ANN401 - any field of a case
        """The same with something else in its place."""
        return replace(self, **changes)


def sound(space: Space, X: Floats) -> Bools:
    """Which drives reach every position with no bound of the scorer in play (N,).

    What cannot be is kept finite by such bounds, and a bound in millimetres knows no units.
    """
    d = detail(space, X)
    kept = (worst_overshoot(d.motion) <= 0.0).all(axis=1) & (d.ways.locks > 0.0).all(axis=1)
    kept &= (np.minimum(d.motion.a1, d.motion.a2) > SMALL).all(axis=1)  # before its dead points
    for r in (*d.loads.eyes, *d.loads.flexures):
        kept &= (r.w > WEB * r.d)[:, 0]
    for m in (d.motion.first, *d.motion.second):
        if m is not None and m.brackets is not None:
            kept &= (np.minimum(m.brackets.a, m.brackets.b) > SMALL).all(axis=1)
    strands = [L for pair in strand_lengths(d.drive, d.motion) for L in pair]
    held = zip(d.drive.carriers, d.motion.carrier_y, strict=True)
    for L in (*strands, *(c.L_in - y for c, y in held)):
        kept &= (L > SHORT).all(axis=1)
    return np.asarray(kept)


@cache
def drawn(architecture: str, fingers: int, seed: int, n: int) -> Case:
    """n sound drives on one hand, the same for the same numbers."""
    rng = np.random.default_rng([seed, fingers, ARCHITECTURES.index(architecture)])
    brief, stock = brief_of(rng, fingers), stock_of(rng)
    single = SINGLES[int(rng.integers(2))]
    case = Case(brief, stock, architecture, single, np.empty((0, 0)))
    found: list[Floats] = []
    while sum(len(X) for X in found) < n:
        X = vectors(case.space, 8 * n, rng, USEFUL)
        found.append(X[sound(case.space, X)])
    return replace(case, X=np.concatenate(found)[:n])
