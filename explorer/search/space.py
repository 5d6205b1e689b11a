"""What a vector's columns may hold: bounds, kinds, and columns that play no part."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np

from explorer.mechanics.types import Bools, Floats

Kind = Literal["real", "whole", "choice"]
Active = Callable[[Floats], Bools]
Factors = tuple[tuple[int, Floats], ...]


@dataclass(frozen=True)
class Off:
    """What moves take off a column: `share` of the product of column `of`, times the size of choice `by` by its value.

    -1: of no column, by no choice.
    """

    share: float
    of: int = -1
    by: int = -1
    sizes: Floats = field(default_factory=lambda: np.ones(1))


@dataclass(frozen=True)
class Counted:
    """A column that moves change together with others, as teeth count pitches.

    factors: whole or choice columns, and by their value what multiplies it to its product; off: what moves take off
    that, as half a wheel's teeth are off a chain's free links and pins are off the metal that holds them.
    """

    factors: Factors
    off: tuple[Off, ...] = ()


@dataclass(frozen=True)
class Columns:
    """Columns of a vector: inclusive bounds (V,) and a kind each.

    `whole` columns are ordered numbers; `choice` columns hold the index of an option, where neighbours
    need not be alike. `active`, if given, tells for X (N,V) which columns play a part in each row (N,V);
    the others are set to `rest` (V,), so that vectors of the same meaning are the same vector.
    `trim`, if given, moves values of X (N,V) to where the others of their row leave them room.
    `counted` names columns that moves change as a product with others.
    """

    low: Floats
    high: Floats
    kinds: tuple[Kind, ...]
    active: Active | None = None
    rest: Floats | None = None
    counted: Mapping[int, Counted] = field(default_factory=dict[int, Counted])
    trim: Callable[[Floats], Floats] | None = None

    def __post_init__(self) -> None:
        shape = (len(self.kinds),)
        if self.low.shape != shape or self.high.shape != shape:
            raise ValueError(
                f"{len(self.kinds)} kinds, but bounds of {self.low.shape} and {self.high.shape}"
            )
        if not (np.isfinite(self.low).all() and np.isfinite(self.high).all()):
            raise ValueError("bounds must be finite")
        if (self.low > self.high).any():
            raise ValueError(
                f"lower bound above the upper in column {_first(self.low > self.high)}"
            )
        steps = self.discrete & ((self.low % 1.0 != 0.0) | (self.high % 1.0 != 0.0))
        if steps.any():
            raise ValueError(f"bounds of whole column {_first(steps)} must be whole")
        if self.active is not None and (self.rest is None or self.rest.shape != shape):
            raise ValueError("columns that may be inactive need a resting value each")

    @property
    def width(self) -> int:
        """Number of columns V."""
        return len(self.kinds)

    @property
    def discrete(self) -> Bools:
        """True for whole and choice columns (V,)."""
        return np.array([k != "real" for k in self.kinds], dtype=np.bool_)

    @property
    def choice(self) -> Bools:
        """True for choice columns (V,)."""
        return np.array([k == "choice" for k in self.kinds], dtype=np.bool_)

    @cached_property
    def measured(self) -> Columns:
        """The columns of `lengths`: what goes with others is the product, a real number."""
        low, high, kinds = self.low.copy(), self.high.copy(), list(self.kinds)
        for j, goes in self.counted.items():
            kinds[j] = "real"
            for c, sizes in goes.factors:
                there = sizes[int(self.low[c]) : int(self.high[c]) + 1]
                low[j], high[j] = low[j] * there.min(), high[j] * there.max()
        least, most = low.copy(), high.copy()
        for j, goes in self.counted.items():
            for off in goes.off:
                ends = np.array([least[off.of], most[off.of]]) if off.of >= 0 else np.ones(1)
                there = np.ones(1)
                if off.by >= 0:
                    there = off.sizes[int(self.low[off.by]) : int(self.high[off.by]) + 1]
                ends = off.share * np.outer(ends, there)
                low[j], high[j] = low[j] - ends.max(), high[j] - ends.min()
        return replace(self, low=low, high=high, kinds=tuple(kinds), counted={})

    @cached_property
    def counts(self) -> Bools:
        """True for whole columns that count a size (V,)."""
        return self.discrete & np.array(
            [j in self.counted for j in range(self.width)], dtype=np.bool_
        )


def columns(
    low: Sequence[float] | Floats,
    high: Sequence[float] | Floats,
    kinds: Sequence[Kind] | None = None,
    active: Active | None = None,
    rest: Sequence[float] | Floats | None = None,
    counted: Mapping[int, Counted] | None = None,
    trim: Callable[[Floats], Floats] | None = None,
) -> Columns:
    """Columns from plain sequences; all real where no kinds are given."""
    low_ = np.array(low, dtype=np.float64)
    real: Kind = "real"
    return Columns(
        low_,
        np.array(high, dtype=np.float64),
        tuple(kinds) if kinds is not None else (real,) * len(low_),
        active,
        None if rest is None else np.array(rest, dtype=np.float64),
        counted or {},
        trim,
    )


def lengths(space: Columns, X: Floats) -> Floats:
    """X (N,V) where what goes with others is the product, as teeth make up a length."""
    Z = X.copy()
    for j, goes in space.counted.items():
        Z[:, j] = X[:, j] * _factor(goes, X) - _taken(space, goes, X)
    return Z


def counts(space: Columns, Z: Floats) -> Floats:
    """The vectors (N,V) whose `lengths` are nearest to Z."""
    X = Z.copy()
    # What others are made of comes first: what is taken off before what it is off, whole numbers before real ones.
    for j in sorted(space.counted, key=lambda j: (_depth(space, j), not space.discrete[j])):
        goes = space.counted[j]
        X[:, j] = (X[:, j] + _taken(space, goes, X)) / _factor(goes, X)
        if space.discrete[j]:
            X[:, j] = np.rint(X[:, j])
        X[:, j] = np.minimum(np.maximum(X[:, j], space.low[j]), space.high[j])
    return np.minimum(np.maximum(X, space.low), space.high)


def _depth(space: Columns, j: int) -> int:
    """How many columns stand behind each other in what is taken off a column."""
    return max((1 + _depth(space, o.of) for o in space.counted[j].off if o.of >= 0), default=0)


def _taken(space: Columns, goes: Counted, X: Floats) -> Floats:
    """What is taken off a column in the rows of X (N,V) (N,)."""
    out = np.zeros(len(X))
    for off in goes.off:
        part = np.full(len(X), off.share)
        if off.of >= 0:
            part *= X[:, off.of] * _factor(space.counted[off.of], X)
        if off.by >= 0:
            part *= off.sizes[X[:, off.by].astype(np.int64)]
        out += part
    return out


def _factor(goes: Counted, X: Floats) -> Floats:
    """What the rows of X (N,V) multiply a column with (N,)."""
    out = np.ones(len(X))
    for c, sizes in goes.factors:
        out *= sizes[X[:, c].astype(np.int64)]
    return out


def repaired(space: Columns, X: Floats) -> Floats:
    """X (N,V) with whole columns whole, every value within bounds, inactive columns at rest."""
    Y = np.where(space.discrete, np.rint(X), X)
    return _at_rest(space, np.minimum(np.maximum(Y, space.low), space.high))


def trimmed(space: Columns, X: Floats) -> Floats:
    """Repaired vectors X (N,V) trimmed as far as their bounds let them, inactive columns at rest."""
    if space.trim is None or not len(X):
        return X
    return _at_rest(space, np.minimum(np.maximum(space.trim(X), space.low), space.high))


def _at_rest(space: Columns, Y: Floats) -> Floats:
    if space.active is None or space.rest is None:
        return Y
    return np.where(space.active(Y), Y, space.rest)


def drawn(space: Columns, n: int, rng: np.random.Generator) -> Floats:
    """n vectors (n,V) drawn evenly over the space; every option of a whole column equally often."""
    u = rng.random((n, space.width))
    span = space.high - space.low
    real = space.low + u * span
    whole = space.low + np.floor(u * (span + 1.0))
    return repaired(space, np.where(space.discrete, whole, real))


def spread(space: Columns, n: int, rng: np.random.Generator) -> Floats:
    """n vectors (n,V), one in each n-th of every column's range (Latin hypercube, McKay 1979)."""
    u = (
        rng.permuted(np.tile(np.arange(n), (space.width, 1)), axis=1).T
        + rng.random((n, space.width))
    ) / n
    span = space.high - space.low
    whole = space.low + np.floor(u * (span + 1.0))
    return repaired(space, np.where(space.discrete, whole, space.low + u * span))


def _first(mask: Bools) -> int:
    return int(np.flatnonzero(mask)[0])
