"""Two cases side by side: every array of a record and of all records in it, by where it stands."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import fields, is_dataclass

import numpy as np

from explorer.drives.joints import Joint, Loads
from explorer.mechanics.types import Floats
from tests.relations.cases import Case

# what is told of a drive, stresses and margins aside
TOLD = (
    "motion", "shares", "ways", "delivered", "strength", "everyday", "loads", "use", "pieces",
    "clear", "envelope", "tally", "wear", "play", "lift", "reopen", "share_error",
)  # fmt: skip


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


def last_word(path: str) -> str:
    """The last word that is no number."""
    return next(w for w in reversed(path.split(".")) if not w.isdigit())


def check_same(before: Floats, after: Floats, power: int, name: str) -> None:
    """after = before x 2^power, to the bit."""
    if not np.array_equal(
        after, before * 2.0**power
    ):  # assert_array_equal alone is ten times slower
        np.testing.assert_array_equal(after, before * 2.0**power, err_msg=name)


def check_close(before: Floats, after: Floats, name: str, near: float = 1e-12) -> None:
    """The same to `near` of the largest, or of 1 where all are smaller: one sum in another order."""
    there = np.abs(before[np.isfinite(before)])
    scale = max(1.0, float(there.max(initial=0.0)))
    np.testing.assert_allclose(after, before, rtol=near, atol=near * scale, err_msg=name)


def check_arrays(
    one: Case, two: Case, power: Callable[[str], int], left_out: Collection[str] = ()
) -> None:
    """Every array of numbers, by the power that belongs to its path."""
    for name in TOLD:
        if name in left_out:
            continue
        before, after = (arrays(getattr(c.told, name), name) for c in (one, two))
        assert before.keys() == after.keys()
        for path, was in before.items():
            # part numbers are mixtures of words and sizes: their count is compared
            if was.dtype.kind == "f" and ".number." not in path and np.any(was):
                check_same(was, after[path], power(path), path)


def records(loads: Loads) -> dict[tuple[str, str], Joint]:
    """Every record by its kind and key."""
    return {(f.name, r.key): r for f in fields(loads) for r in getattr(loads, f.name)}
