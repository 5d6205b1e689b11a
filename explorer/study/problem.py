"""A design space as the search sees it: aims all made small, one violation, and how far each drive came."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass
from functools import cached_property, partial

import numpy as np

from explorer.brief.records import Aim, Brief
from explorer.drives.assemble import Space, counted, trimmed
from explorer.mechanics.types import Bools, Floats
from explorer.scoring.limits import AIM_BY_NAME, BY_ID
from explorer.scoring.score import Scores, Sieved, score, sieved
from explorer.search.measure import Box
from explorer.search.problem import Scored
from explorer.search.space import Columns, Counted, Off, columns

# How far a drive came: limits of the first stages of the ledger.  The next is whatever else a first look tells,
# then room, which makes the count of each stage known even of drives that are not looked at to the end.
REACHES = ("stroke", "reach", "tilt", "lean", "transmission", "wrap")
STRONG = ("strength", "chain")
UNSCORED = 1e6  # violation of a drive that the scorer could not score
NO_DRIVE = float(np.finfo(np.float64).max) / 1e6  # an aim (small) worse than that of any drive

# The fixed box that hypervolume is measured in: best and worst of each aim, judgement.
_BEST_WORST = {
    "grip": (2.0, 0.5), "pieces": (30.0, 120.0), "room": (0.0, 200.0), "pin_margin": (3.0, 0.0),
    "weeks": (104.0, 0.0), "share_error": (0.0, 0.3), "box": (0.0, 400.0), "carried": (60.0, 0.0),
    "fatigue": (1.0, 0.0), "neighbour": (1.0, 0.0), "mass": (0.0, 500.0), "stroke": (0.0, 60.0), "part_numbers": (0.0, 80.0),
    "hours": (0.0, 40.0), "cost": (0.0, 800.0),
}  # fmt: skip

# Differences in an aim too small to be worth a second drive (judgement), in the aim's unit.
TOLD_APART = {
    "grip": 0.02, "pieces": 1.0, "room": 1.0, "pin_margin": 0.05, "weeks": 2.0, "share_error": 0.01,
    "box": 2.0, "carried": 1.0, "fatigue": 0.05, "neighbour": 0.02, "mass": 5.0, "stroke": 0.5, "part_numbers": 1.0,
    "hours": 0.5, "cost": 5.0,
}  # fmt: skip


@dataclass(frozen=True)
class Aims:
    """The aims of a brief in its order: sign -1 where more is better, level that is enough (M,)."""

    names: tuple[str, ...]
    sign: Floats
    enough: Floats
    box: Box
    apart: Floats

    def small(self, scores: Scores) -> Floats:
        """Aims (N,M), all to be made small."""
        return np.stack(
            [s * scores.aims[n] for n, s in zip(self.names, self.sign, strict=True)], axis=1
        )


def aims_of(brief: Brief, scored: Collection[str]) -> Aims:
    """Aims, what is enough, and the fixed box, from the brief; aims without a score are left out.

    A hand that only carries has no grip to score.
    """
    asked = [a for a in brief.aims if a.name in scored] or [Aim("pieces", None)]
    sign = np.array([-1.0 if AIM_BY_NAME[a.name].more else 1.0 for a in asked])
    enough = np.array(
        [-np.inf if a.enough is None else s * a.enough for a, s in zip(asked, sign, strict=True)]
    )
    ends = [_ends(a, brief) for a in asked]
    ideal = sign * np.array([e[0] for e in ends])
    nadir = sign * np.array([e[1] for e in ends])
    nadir = np.where(nadir > ideal, nadir, ideal + 1.0)
    apart = np.array([TOLD_APART[a.name] for a in asked])
    return Aims(tuple(a.name for a in asked), sign, enough, Box(ideal, nadir), apart)


def _ends(aim: Aim, brief: Brief) -> tuple[float, float]:
    """Best and worst of an aim in its own unit."""
    best, worst = _BEST_WORST[aim.name]
    if aim.name == "grip":
        worst = brief.limits.grip_ratio
        best = worst + 1.5
    elif aim.name in {"room", "box"}:
        c = brief.cavity.box
        worst = (c.x1 - c.x0) * (c.y1 - c.y0) * (c.z1 - c.z0) / 1000.0  # cm3
    return (best if aim.enough is None else aim.enough), worst


@dataclass(frozen=True)
class Counts:
    """How far the drives of one batch came; `faults` could not be scored at all."""

    looked_at: int
    reaches: int
    can_be_made: int
    has_room: int
    strong: int
    fits: int
    faults: int = 0

    def __add__(self, other: Counts) -> Counts:
        return counts_of([a + b for a, b in zip(self.row(), other.row(), strict=True)])

    def row(self) -> tuple[int, ...]:
        """The counts in order."""
        return astuple(self)


def counts_of(row: Sequence[int]) -> Counts:
    """Counts from their `row`."""
    looked_at, reaches, can_be_made, has_room, strong, fits, faults = row
    return Counts(looked_at, reaches, can_be_made, has_room, strong, fits, faults)


NOTHING = Counts(0, 0, 0, 0, 0, 0)


@dataclass(frozen=True)
class Judged:
    """A scored batch and its ledger counts."""

    scored: Scored
    counts: Counts


@dataclass(frozen=True)
class DriveProblem:
    """One design space behind the search's door.  `low`, `high` narrow the bounds where given."""

    design: Space
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()

    @cached_property
    def aims(self) -> Aims:
        """The brief's aims, as far as its drives have scores for them."""
        lowest = np.array([[v.low for v in self.design.variables]])
        return aims_of(self.design.shelf.brief, score(self.design, lowest).aims.keys())

    @cached_property
    def space(self) -> Columns:
        """Columns of a vector."""
        variables = self.design.variables
        low = self.low or tuple(v.low for v in variables)
        high = self.high or tuple(v.high for v in variables)
        kinds, design = [v.kind for v in variables], self.design
        goes_with = {
            j: Counted(factors, tuple(Off(*o) for o in off))
            for j, (factors, off) in counted(design).items()
        }
        return columns(low, high, kinds, counted=goes_with, trim=partial(trimmed, design))

    @property
    def enough(self) -> Floats:
        """Level (M,) of each aim below which nothing more is earned."""
        return self.aims.enough

    def evaluate(self, X: Floats) -> Scored:
        """Score vectors X (N,V)."""
        return self.judge(X, np.full(len(X), np.inf)).scored

    def judge(self, X: Floats, upto: Floats) -> Judged:
        """Score X (N,V) as far as a violation of `upto` (N,) and count.

        A drive that misses by more gets what was known of that, and aims that no drive has.  One that cannot
        be scored gets a violation, not the others.
        """
        try:
            return _judged(sieved(self.design, X, upto), self.aims)
        except FloatingPointError:
            if len(X) == 1:
                return _fault(self.aims)
        half = len(X) // 2
        return together([self.judge(X[:half], upto[:half]), self.judge(X[half:], upto[half:])])


def _judged(found: Sieved, aims: Aims) -> Judged:
    whole = found.scores
    reaches = _hold(found.laid, REACHES)
    strong = found.has_room[found.rows] & _hold(whole.slacks, STRONG)
    counts = counts_of(
        [
            len(found.violation),
            *(int(held.sum()) for held in (reaches, _hold(found.laid, found.laid), found.has_room)),
            int(strong.sum()),
            int((whole.violation <= 0.0).sum()),
            0,
        ]
    )
    n = len(found.violation)
    F, tie = np.full((n, len(aims.names)), NO_DRIVE), np.zeros(n)
    F[found.rows], tie[found.rows] = aims.small(whole), whole.aims["pieces"]
    return Judged(Scored(F, found.violation, tie), counts)


def _hold(slacks: Mapping[str, Floats], names: Iterable[str]) -> Bools:
    """Where these limits hold (N,), as far as there are such."""
    held = np.ones(len(next(iter(slacks.values()))), dtype=np.bool_)
    for name in names:
        if name in slacks:
            held = held & (slacks[name] >= 0.0)
    return held


def _fault(aims: Aims) -> Judged:
    F = np.full((1, len(aims.names)), NO_DRIVE)
    return Judged(Scored(F, np.array([UNSCORED]), np.zeros(1)), Counts(1, 0, 0, 0, 0, 0, 1))


def together(parts: list[Judged]) -> Judged:
    """Batches one after another."""
    counts = NOTHING
    for p in parts:
        counts = counts + p.counts
    return Judged(
        Scored(
            np.concatenate([p.scored.F for p in parts]),
            np.concatenate([p.scored.violation for p in parts]),
            np.concatenate([p.scored.tie for p in parts]),
        ),
        counts,
    )


def broken(slacks: Mapping[str, float]) -> list[str]:
    """Ids of the limits that do not hold, the worst by its scale first."""
    off = [(slack / BY_ID[name].scale, name) for name, slack in slacks.items() if slack < 0.0]
    return [name for _, name in sorted(off)]


def missed_by(slacks: Mapping[str, float]) -> float:
    """How far a drive is from fitting: its violation, as `Scores` tells it of a batch."""
    return math.hypot(*(max(-v, 0.0) / BY_ID[i].scale for i, v in slacks.items()))
