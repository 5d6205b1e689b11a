"""One published value beside what our function makes of the same inputs."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pytest


@dataclass(frozen=True)
class Row:
    """A published value: its number in the list of checks, where it stands, and how near we come.

    `rel` is the rounding of the printed value, or the spread between two sources where both
    approximate; `memory` marks a value that was recalled, not read; `what` says what is compared
    where it is not the listed value itself (a stress at a printed load, say).
    """

    id: str
    source: str
    got: Callable[[], object]
    expected: float | tuple[float, ...]
    rel: float
    memory: bool = False
    what: str = ""


def params(rows: Sequence[Row]) -> list[object]:
    """The rows as parameters of a test, named by number and provenance."""
    names = [row.id for row in rows]
    assert len(set(names)) == len(names), "two rows carry one number"
    return [
        pytest.param(row, id=f"{row.id}, from memory" if row.memory else row.id) for row in rows
    ]


def check_row(row: Row) -> None:
    """Our function gives the published value."""
    assert len(row.source) > 10, "a check names its source"
    got, expected = np.asarray(row.got(), dtype=float), np.asarray(row.expected, dtype=float)
    assert got.shape == expected.shape
    assert got == pytest.approx(expected, rel=row.rel, abs=0.0 if row.rel else 1e-9), row.source


def a(value: float) -> np.ndarray:
    """One number as our functions take it."""
    return np.array(value, dtype=float)
