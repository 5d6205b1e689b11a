"""What a search may change: variables, and how a matrix of vectors becomes named columns."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import wraps
from typing import Literal, ParamSpec, TypeVar, cast

import numpy as np

from explorer.mechanics.types import Floats

Kind = Literal["real", "whole", "choice"]


@dataclass(frozen=True)
class Off:
    """`share` of the product of column `of`, a chain's teeth say, times the size of choice `by`; "" for none.

    The size of a pin is its diameter, that of two sides -1 and 1.
    """

    share: float
    of: str = ""
    by: str = ""


@dataclass(frozen=True)
class Variable:
    """One variable.  `choice` columns hold the index of an option (a stock line or a way of building).

    `low` and `high` are inclusive, in the key's unit; files and vectors use degrees, columns radians.
    """

    key: str
    words: str
    kind: Kind
    low: float
    high: float
    options: tuple[str, ...] = ()
    stock: str = ""  # the stock list the options come from, or ""
    # Keys of other columns, each with a power: moves keep the value times the sizes of these (`counted`).
    goes_with: tuple[tuple[str, float], ...] = ()
    # What moves take off that product; what is left they keep.
    off: tuple[Off, ...] = ()

    @property
    def degrees(self) -> bool:
        """True for an angle given in degrees."""
        return self.key.endswith("_deg")


def real(
    key: str,
    words: str,
    low: float,
    high: float,
    goes_with: tuple[tuple[str, float], ...] = (),
    off: tuple[Off, ...] = (),
) -> Variable:
    """A continuous variable; `goes_with` and `off` as in `Variable`."""
    return Variable(key, words, "real", low, high, goes_with=goes_with, off=off)


def whole(
    key: str,
    words: str,
    low: int,
    high: int,
    counts: str = "",
    power: float = 1.0,
    off: tuple[Off, ...] = (),
) -> Variable:
    """A whole number; `counts` names the choice of which it counts pitches, modules or, by `power` 2, sections.

    `off` as in `Variable`.
    """
    goes_with = ((counts, power),) if counts else ()
    return Variable(key, words, "whole", low, high, goes_with=goes_with, off=off)


def choice(key: str, words: str, options: Sequence[str], stock: str = "") -> Variable:
    """One of several options, by index."""
    return Variable(key, words, "choice", 0, len(options) - 1, tuple(options), stock)


Columns = Mapping[str, Floats]


P = ParamSpec("P")
R = TypeVar("R")


class Batch(dict[str, Floats]):
    """Columns of one batch, and beside them what was read from them: see `once_a_batch`."""

    def __init__(self, columns: Mapping[str, Floats]) -> None:
        """Columns as given, nothing read yet."""
        super().__init__(columns)
        self.read: dict[tuple[object, ...], tuple[object, object]] = {}


def once_a_batch(make: Callable[P, R]) -> Callable[P, R]:
    """Remember `make(shelf, columns, ...)` on the columns: sizes are read dozens of times a batch.

    Other arguments count as the same when they are the same word, number or object; plain mappings
    remember nothing.
    """

    @wraps(make)
    def reader(*args: P.args, **kwargs: P.kwargs) -> R:
        columns = args[1]
        if not isinstance(columns, Batch) or kwargs:
            return make(*args, **kwargs)
        asked = tuple(a if isinstance(a, (str, int, float)) else id(a) for a in args[2:])
        kept = columns.read.get((make, *asked))
        if kept is None:  # the arguments are kept too, so that no other object takes their place
            kept = columns.read[make, *asked] = (args, make(*args, **kwargs))
        return cast("R", kept[1])

    return reader


def decode(variables: Sequence[Variable], X: Floats) -> dict[str, Floats]:
    """Columns (N,) by key without the unit suffix of angles: X (N,V), whole and choice columns whole.

    Angles become radians.  Raises ValueError when a whole column holds a fraction: stock sizes are the
    search's own choices and never rounded here.
    """
    X = np.asarray(X, dtype=np.float64)
    if X.ndim != 2 or X.shape[1] != len(variables):
        msg = f"vectors of {len(variables)} variables expected, got an array of shape {X.shape}"
        raise ValueError(msg)
    columns: dict[str, Floats] = {}
    for j, v in enumerate(variables):
        column = np.ascontiguousarray(X[:, j])
        if v.kind != "real" and not np.array_equal(column, np.floor(column)):
            msg = f"{v.key} must be whole"
            raise ValueError(msg)
        columns[v.key] = np.radians(column) if v.degrees else column
    return columns
