"""All that the next round reads, as bytes and back: tribes and the common front.

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
from explorer.search.problem import Rows, joined
from explorer.study import keepers as kp
from explorer.study import rounds, tribes
from explorer.study.blob import BadBlob, applied, delta, packed, rows_of, same, table, unpacked
from explorer.study.keepers import Front
from explorer.study.stints import Plan
from explorer.study.tribes import Group


def tables(groups: Sequence[Group], front: Front) -> list[Floats]:
    """The rows of every group, then of the front, one array each."""
    each = [table(joined([*_tribal(g.states), g.archive.kept, g.archive.waiting])) for g in groups]
    return [*each, table(front.archive.kept)]


def _tribal(states: Sequence[State]) -> list[Rows]:
    return [rows for s in states for rows in (s.population, s.nearest)]


def state_bytes(
    groups: Sequence[Group], front: Front, after: Sequence[Floats], before: Sequence[Floats] | None
) -> bytes:
    """The state with the `tables` after; whole where none are given from before."""
    arrays: dict[str, NDArray[np.generic]] = {}
    for i, rows in enumerate(after):
        if before is not None and same(before[i], rows):
            arrays[f"{i}.same"] = np.empty(0)  # as those of a group at rest are
        else:
            index, fresh = delta(rows[:0] if before is None else before[i], rows)
            arrays[f"{i}.index"], arrays[f"{i}.fresh"] = index.astype(np.int32), fresh
    for i, g in enumerate(groups):
        arrays[f"{i}.marks"] = np.array(
            [
                [
                    len(s.population),
                    len(s.nearest),
                    s.round,
                    s.evaluations,
                    s.stalled,
                    s.island,
                    s.fitting,
                    s.joins,
                ]
                for s in g.states
            ],
            dtype=np.int64,
        )
        arrays[f"{i}.group"] = np.array(
            [len(g.archive.kept), len(g.archive.waiting), g.evaluations], dtype=np.int64
        )
        arrays[f"{i}.rank"] = np.concatenate([s.rank for s in g.states])
        arrays[f"{i}.lonely"] = np.concatenate([s.lonely for s in g.states])
        arrays[f"{i}.step"] = g.archive.step
    arrays["front.step"] = front.archive.step
    arrays["front.widen"] = np.array([front.widen], dtype=np.int64)
    return packed(arrays)


def restored(
    plan: Plan, width: int, states: Sequence[bytes]
) -> tuple[tuple[Group, ...], Front, list[Floats]]:
    """Groups, front and tables after the last of these states; the first stands alone.

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
                r
                if f"{i}.same" in last
                else applied(r, _whole(last[f"{i}.index"]), _real(last[f"{i}.fresh"]))
                for i, r in enumerate(rows)
            ]
        groups = tuple(_group(plan, i, last, rows[i]) for i in range(len(plan.groups)))
        front = _front(fresh[1], width, last, rows[-1])
    except (KeyError, IndexError, ValueError) as error:
        raise BadBlob(f"not a state of this study: {error}") from error
    return groups, front, rows


def _whole(array: NDArray[np.generic], dimensions: int = 1) -> NDArray[np.int64]:
    if array.dtype.kind != "i" or array.ndim != dimensions:
        raise BadBlob("whole numbers expected")
    return array.astype(np.int64)


def _real(array: NDArray[np.generic]) -> Floats:
    if array.dtype != np.float64:
        raise BadBlob("numbers expected")
    return np.ascontiguousarray(array, dtype=np.float64)


def _group(plan: Plan, i: int, last: dict[str, NDArray[np.generic]], rows: Floats) -> Group:
    """One group from the arrays of its number."""
    marks = _whole(last[f"{i}.marks"], 2)
    kept, waiting, evaluations = (int(m) for m in _whole(last[f"{i}.group"]))
    sizes = [*(int(n) for m in marks for n in m[:2]), kept, waiting]
    if sum(sizes) != len(rows) or min(sizes) < 0:
        raise BadBlob("rows that belong nowhere")
    place, seed = plan.groups[i]
    if not tribes.may_be(place, marks[:, 5].tolist(), plan.scheme):
        raise BadBlob("tribes of another scheme")
    problem = plan.problems[place]
    parts = _cut(rows_of(rows, problem.space.width), sizes)
    rank, lonely = _whole(last[f"{i}.rank"]), _real(last[f"{i}.lonely"])
    if rank.shape != lonely.shape or len(rank) != int(marks[:, 0].sum()):
        raise BadBlob("ranks of another population")
    states, at = [], 0
    for t, mark in enumerate(marks.tolist()):
        n = mark[0]
        states.append(replace(
            tribes.blank(problem, seed, mark[5], plan.scheme), population=parts[2 * t], nearest=parts[2 * t + 1], round=mark[2],
            evaluations=mark[3], stalled=mark[4], fitting=mark[6], joins=mark[7], rank=rank[at : at + n], lonely=lonely[at : at + n],
        ))  # fmt: skip
        at += n
    archive = Archive(problem.enough, parts[-2], parts[-1], _real(last[f"{i}.step"]))
    return Group(tuple(states), archive, evaluations)


def _cut(rows: Rows, sizes: Sequence[int]) -> list[Rows]:
    """Rows in pieces of these sizes."""
    ends = np.cumsum(sizes).tolist()
    return [rows.take(slice(end - n, end)) for n, end in zip(sizes, ends, strict=True)]


def _front(fresh: Front, width: int, last: dict[str, NDArray[np.generic]], rows: Floats) -> Front:
    a = fresh.archive
    kept = rows_of(rows, width + kp.FROM)
    archive = Archive(a.enough, kept, a.waiting, _real(last["front.step"]))
    return Front(archive, int(_whole(last["front.widen"])[0]))
