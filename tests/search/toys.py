"""Small problems for the search's tests, and plain slow twins of its fast routines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, TypeVar

import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints
from explorer.search.problem import Rows, Scored
from explorer.search.space import Columns, columns

OPEN = -np.inf
T = TypeVar("T")


@dataclass(frozen=True)
class Toy:
    """Mixed columns, `aims` aims, one limit; `bar` lifts the limit until nothing fits."""

    aims: int = 2
    bar: float = 0.0
    level: float = OPEN

    @property
    def space(self) -> Columns:
        return columns(
            [0.0, 0.0, 0.0, 0.0, -3.0], [1.0, 1.0, 1.0, 5.0, 3.0],
            ["real", "real", "real", "choice", "whole"], active=third_matters, rest=[0.0, 0.0, 0.5, 0.0, 0.0],
        )  # fmt: skip

    @property
    def enough(self) -> Floats:
        return np.array([self.level] + [OPEN] * (self.aims - 1))

    def evaluate(self, X: Floats) -> Scored:
        a, b, c, stock, n = X.T
        off = (
            (b - 0.3) * (b - 0.3) + (c - 0.5) * (c - 0.5) + 0.1 * n * n + 0.05 * np.abs(stock - 2.0)
        )
        F = [a + off, 1.0 - np.sqrt(a) + off, 1.0 - b + off, c + off, (a - b) * (a - b) + off]
        short = np.maximum(self.bar + 0.2 - b, 0.0)
        return Scored(np.stack(F[: self.aims], axis=1), short / 0.2, stock + 0.0)


def third_matters(X: Floats) -> Bools:
    """The third column plays a part with the first options only."""
    active = np.ones(X.shape, dtype=np.bool_)
    active[:, 2] = X[:, 3] < 3.0
    return active


def rows_of(F: Sequence[Sequence[float]] | Floats, tie: Floats | None = None) -> Rows:
    """Feasible rows with these aims, numbered by their one variable."""
    G = np.asarray(F, dtype=np.float64)
    n = len(G)
    X = np.arange(float(n)).reshape(n, 1)
    return Rows(X, G, np.zeros(n), np.zeros(n) if tie is None else tie)


def leaves(record: object, name: str = "") -> dict[str, Any]:
    """Every field of nested records by dotted name, as arrays."""
    if not is_dataclass(record):
        return {name: np.asarray(record)}
    found: dict[str, Any] = {}
    for f in fields(record):
        found |= leaves(getattr(record, f.name), f"{name}.{f.name}" if name else f.name)
    return found


def rebuilt(like: T, arrays: Mapping[str, Any], name: str = "") -> T:
    """A record like `like` with the values of the arrays."""
    if not is_dataclass(like):
        value = arrays[name]
        return value if isinstance(like, np.ndarray) else type(like)(value)
    return type(like)(
        **{
            f.name: rebuilt(getattr(like, f.name), arrays, f"{name}.{f.name}" if name else f.name)
            for f in fields(like)
        }
    )


def dominates(a: Floats, b: Floats) -> bool:
    return bool((a <= b).all() and (a < b).any())


def slow_front(F: Floats, enough: Floats, tie: Floats) -> list[int]:
    """The archive's rule, pair by pair."""
    C = np.maximum(F, enough)
    kept = []
    for i in range(len(F)):
        beaten = False
        for j in range(len(F)):
            equal = bool((C[i] == C[j]).all())
            first = (*F[j], tie[j], j) < (*F[i], tie[i], i)
            beaten = beaten or dominates(C[j], C[i]) or (equal and i != j and first)
        if not beaten:
            kept.append(i)
    return kept


def slow_ranks(F: Floats) -> Ints:
    """Fronts peeled off one by one."""
    rank = np.full(len(F), -1)
    r = 0
    while (rank < 0).any():
        left = np.flatnonzero(rank < 0)
        front = [i for i in left if not any(dominates(F[j], F[i]) for j in left)]
        rank[front] = r
        r += 1
    return rank
