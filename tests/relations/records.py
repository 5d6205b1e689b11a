"""Every array of a record and of all records in it, by where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import numpy as np

from explorer.mechanics.types import Floats


def arrays(record: object, at: str = "") -> dict[str, Floats]:
    """Arrays by path; in a tuple a record stands by its key, anything else by its place."""
    return dict(_walk(record, at))


def _walk(value: object, at: str) -> Iterator[tuple[str, Floats]]:
    if isinstance(value, np.ndarray):
        yield at, value
    elif isinstance(value, tuple):
        for i, inside in enumerate(value):
            yield from _walk(inside, f"{at}.{getattr(inside, 'key', i)}")
    elif is_dataclass(value):
        for f in fields(value):
            yield from _walk(getattr(value, f.name), f"{at}.{f.name}")
