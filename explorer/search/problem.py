"""The door between search and scorer: vectors in; aims, violation and a tie value out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints
from explorer.search.space import Columns


@dataclass(frozen=True)
class Scored:
    """What the scorer says of N vectors.

    F (N,M): aims, all to be made small, unclipped. violation (N,): how far limits are overstepped, each by
    its own scale, 0 where all hold; of a row not looked at to the end, what was known of that. tie (N,): smaller
    is better between equal aims.
    """

    F: Floats
    violation: Floats
    tie: Floats


class Problem(Protocol):
    """What an island needs to know; `evaluate` is pure and gives one row the same in any batch."""

    @property
    def space(self) -> Columns:
        """The columns of a vector."""
        ...

    @property
    def enough(self) -> Floats:
        """Level (M,) below which an aim earns nothing more; -inf where there is none."""
        ...

    def evaluate(self, X: Floats) -> Scored:
        """Score vectors X (N,V)."""
        ...


@dataclass(frozen=True)
class Rows:
    """N evaluated vectors: X (N,V), unclipped aims F (N,M), violation (N,), tie (N,)."""

    X: Floats
    F: Floats
    violation: Floats
    tie: Floats

    def __len__(self) -> int:
        return len(self.X)

    @property
    def feasible(self) -> Bools:
        """True where every limit holds (N,)."""
        return np.asarray(self.violation <= 0.0)

    def take(self, which: Bools | Ints | slice) -> Rows:
        """Rows picked by mask, by index or as a stretch."""
        return Rows(self.X[which], self.F[which], self.violation[which], self.tie[which])


class BadScores(ValueError):
    """The scorer gave something that is not a score."""


def evaluated(problem: Problem, X: Floats) -> Rows:
    """Score X (N,V); BadScores instead of letting a NaN turn every rank into nonsense."""
    return checked(X, problem.evaluate(X), problem.enough)


def checked(X: Floats, scored: Scored, enough: Floats) -> Rows:
    """X (N,V) with its scores; BadScores where they are none."""
    shape = (len(X), len(enough))
    F, violation, tie = scored.F, scored.violation, scored.tie
    if F.shape != shape or violation.shape != shape[:1] or tie.shape != shape[:1]:
        raise BadScores(
            f"aims {shape} expected; got {F.shape}, violation {violation.shape}, tie {tie.shape}"
        )
    # inf - inf is NaN, so one sum finds a NaN or an infinity in a column of finite numbers.
    if not np.isfinite(violation).all() or (violation < 0.0).any() or np.isnan(tie).any():
        raise BadScores(f"violation or tie is no number in row {_first_bad(violation, tie)}")
    if np.isnan(F).any():
        raise BadScores(f"an aim is NaN in row {int(np.flatnonzero(np.isnan(F).any(axis=1))[0])}")
    best = np.maximum(F, enough)
    lost = ~np.isfinite(best).all(axis=1) & (violation <= 0.0)
    if lost.any():
        raise BadScores(f"an aim is infinite in feasible row {int(np.flatnonzero(lost)[0])}")
    return Rows(X, F, violation, tie)


def joined(parts: list[Rows]) -> Rows:
    """Rows one after another, in the order given."""
    return Rows(
        np.concatenate([p.X for p in parts]),
        np.concatenate([p.F for p in parts]),
        np.concatenate([p.violation for p in parts]),
        np.concatenate([p.tie for p in parts]),
    )


def nothing(width: int, aims: int) -> Rows:
    """No rows."""
    return Rows(np.empty((0, width)), np.empty((0, aims)), np.empty(0), np.empty(0))


def _first_bad(violation: Floats, tie: Floats) -> int:
    bad = ~np.isfinite(violation) | (violation < 0.0) | np.isnan(tie)
    return int(np.flatnonzero(bad)[0])
