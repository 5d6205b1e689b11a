"""All that the next round reads, as bytes and back: islands and the common front.

A state is written whole, or as the rows that are new since the round before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from explorer.mechanics.types import Floats
from explorer.search.archive import Archive
from explorer.search.island import State
from explorer.search.problem import joined
from explorer.study import keepers as kp
from explorer.study import rounds
from explorer.study.blob import BadBlob, applied, delta, packed, rows_of, table, unpacked
from explorer.study.keepers import Front
from explorer.study.rounds import Plan

_PARTS = 4  # row sets of an island: population, nearest, kept, waiting


def tables(states: Sequence[State], front: Front) -> list[Floats]:
    """The rows of every island, then of the front, one array each."""
    each = [
        table(joined([s.population, s.nearest, s.archive.kept, s.archive.waiting])) for s in states
    ]
    return [*each, table(front.archive.kept)]


def state_bytes(
    states: Sequence[State], front: Front, after: Sequence[Floats], before: Sequence[Floats] | None
) -> bytes:
    """The state with the `tables` after; whole where none are given from before."""
    arrays: dict[str, NDArray[np.generic]] = {}
    for i, rows in enumerate(after):
        index, fresh = delta(rows[:0] if before is None else before[i], rows)
        arrays[f"{i}.index"], arrays[f"{i}.fresh"] = index.astype(np.int32), fresh
    for i, s in enumerate(states):
        a = s.archive
        arrays[f"{i}.marks"] = np.array(
            [len(s.population), len(s.nearest), len(a.kept), len(a.waiting),
             s.round, s.evaluations, s.stalled], dtype=np.int64,
        )  # fmt: skip
        arrays[f"{i}.rank"], arrays[f"{i}.lonely"] = s.rank, s.lonely
        arrays[f"{i}.step"] = a.step
    arrays["front.step"] = front.archive.step
    arrays["front.widen"] = np.array([front.widen], dtype=np.int64)
    return packed(arrays)


def restored(
    plan: Plan, width: int, states: Sequence[bytes]
) -> tuple[tuple[State, ...], Front, list[Floats]]:
    """Islands, front and tables after the last of these states; the first stands alone.

    Raises BadBlob where one of them cannot have been written by a run of this plan.
    """
    last: dict[str, NDArray[np.generic]] = {}
    fresh = rounds.begin(plan), kp.begin(width, plan.problems[0].aims)
    rows = tables(*fresh)
    if not states:
        return *fresh, rows
    try:
        for data in states:
            last = unpacked(data)
            rows = [
                applied(r, _whole(last[f"{i}.index"]), _real(last[f"{i}.fresh"]))
                for i, r in enumerate(rows)
            ]
        islands = tuple(_island(s, last, i, rows[i]) for i, s in enumerate(fresh[0]))
        front = _front(fresh[1], width, last, rows[-1])
    except (KeyError, IndexError, ValueError) as error:
        raise BadBlob(f"not a state of this study: {error}") from error
    return islands, front, rows


def _whole(array: NDArray[np.generic]) -> NDArray[np.int64]:
    if array.dtype.kind != "i" or array.ndim != 1:
        raise BadBlob("whole numbers expected")
    return array.astype(np.int64)


def _real(array: NDArray[np.generic]) -> Floats:
    if array.dtype != np.float64:
        raise BadBlob("numbers expected")
    return np.ascontiguousarray(array, dtype=np.float64)


def _island(fresh: State, last: dict[str, NDArray[np.generic]], i: int, rows: Floats) -> State:
    marks = [int(m) for m in _whole(last[f"{i}.marks"])]
    sizes, (round_, evaluations, stalled) = marks[:_PARTS], marks[_PARTS:]
    if sum(sizes) != len(rows) or min(sizes) < 0:
        raise BadBlob("rows that belong nowhere")
    ends = np.cumsum(sizes)
    V = fresh.population.X.shape[1]
    population, nearest, kept, waiting = (
        rows_of(rows[end - n : end], V) for n, end in zip(sizes, ends, strict=True)
    )
    rank, lonely = _whole(last[f"{i}.rank"]), _real(last[f"{i}.lonely"])
    if rank.shape != (sizes[0],) or lonely.shape != (sizes[0],):
        raise BadBlob("ranks of another population")
    archive = Archive(fresh.archive.enough, kept, waiting, _real(last[f"{i}.step"]))
    return replace(
        fresh, round=round_, evaluations=evaluations, stalled=stalled, population=population,
        rank=rank, lonely=lonely, nearest=nearest, archive=archive,
    )  # fmt: skip


def _front(fresh: Front, width: int, last: dict[str, NDArray[np.generic]], rows: Floats) -> Front:
    a = fresh.archive
    kept = rows_of(rows, width + kp.FROM)
    archive = Archive(a.enough, kept, a.waiting, _real(last["front.step"]))
    return Front(archive, int(_whole(last["front.widen"])[0]))
