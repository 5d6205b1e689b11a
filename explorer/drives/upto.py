"""The first positions of records whose arrays are (N,P): forces need fewer positions than geometry."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TypeVar, cast

import numpy as np

T = TypeVar("T")


def upto(record: T, k: int) -> T:
    """Views of the first k positions; sizes (N,1) and what is no array stay.  Draws (P,F) lead with P."""
    return cast("T", _cut(record, k))


def _cut(value: object, k: int) -> object:
    if isinstance(value, np.ndarray):
        return value[:, :k] if value.shape[1] > k else value
    if isinstance(value, tuple):
        return tuple(_cut(v, k) for v in value)
    if is_dataclass(value) and not isinstance(value, type):
        kept = ((f.name, getattr(value, f.name)) for f in fields(value))
        return type(value)(*(v[:k] if name == "draw" else _cut(v, k) for name, v in kept))
    return value
