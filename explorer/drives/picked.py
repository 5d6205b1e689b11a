"""Some candidates of records whose arrays lead with them: a drive and its motion, for instance."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from explorer.drives.variables import Batch
from explorer.mechanics.types import Ints

T = TypeVar("T")
S = TypeVar("S", bound=np.generic)


_NAMES: dict[type, tuple[str, ...]] = {}  # of each kind of record met


def picked(record: T, n: int, rows: Ints) -> T:
    """A record of n candidates with those of `rows` (R,) alone.

    A field `n` counts candidates and a field `draw` (P,F) leads with positions; what is no array stays.
    """
    return cast("T", _picked(record, n, rows))


def _picked(value: object, n: int, rows: Ints) -> object:
    if isinstance(value, np.ndarray):
        return _rows(value, rows) if value.shape[0] == n else value
    if isinstance(value, tuple):
        return tuple([_picked(v, n, rows) for v in value])
    if isinstance(value, Batch):
        return Batch({k: _rows(v, rows) for k, v in value.items()})
    if is_dataclass(value) and not isinstance(value, type):
        kind = type(value)
        if kind not in _NAMES:
            _NAMES[kind] = tuple(f.name for f in fields(value))
        return kind(*[_field(name, getattr(value, name), n, rows) for name in _NAMES[kind]])
    return value


def _rows(a: NDArray[S], rows: Ints) -> NDArray[S]:
    """Some rows, laid out in memory as the whole is: arithmetic on arrays of two layouts takes twice as long."""
    return a[rows] if a.flags.c_contiguous else a.T.take(rows, axis=a.ndim - 1).T


def _field(name: str, value: object, n: int, rows: Ints) -> object:
    if name == "draw":
        return value
    return len(rows) if name == "n" else _picked(value, n, rows)
