"""All non-dominated feasible rows ever seen; watches the search and takes no part in it.

Dominance counts each aim only down to what is enough. Of rows with equal clipped aims one is kept: the
better by unclipped aims in the order the aims are declared, then by the tie value, then the older. That
order is total and never prefers a row that another beats on unclipped aims, so what is kept does not
depend on the order in which rows arrive, rows of fully equal scores aside.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import moocore
import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints
from explorer.search.problem import Rows, joined, nothing
from explorer.search.ranks import clipped

MANY_AIMS = 5  # from here nearly every row is non-dominated, and a front needs thinning
LIMIT_MANY = 20_000
LIMIT_FEW = 200_000  # a journal must stay writable even after weeks
_WAITING = 500


@dataclass(frozen=True)
class Archive:
    """Kept rows, rows that wait to be merged, and the epsilon grid in force.

    `step` (M,) is the width of a grid box per aim, 0 while nothing had to be thinned.
    """

    enough: Floats
    kept: Rows
    waiting: Rows
    step: Floats

    @property
    def limit(self) -> int:
        """Rows above which the archive is thinned."""
        return LIMIT_MANY if len(self.enough) >= MANY_AIMS else LIMIT_FEW


def empty(width: int, enough: Floats) -> Archive:
    """An archive of nothing."""
    none = nothing(width, len(enough))
    return Archive(enough, none, none, np.zeros(len(enough)))


def added(archive: Archive, rows: Rows) -> Archive:
    """The archive after seeing `rows`; feasible ones wait until a merge pays."""
    waiting = joined([archive.waiting, rows.take(rows.feasible)])
    grown = replace(archive, waiting=waiting)
    return merged(grown) if len(waiting) > max(_WAITING, len(archive.kept) // 4) else grown


def merged(archive: Archive) -> Archive:
    """The archive with nothing waiting."""
    if not len(archive.waiting):
        return archive
    rows = joined([archive.kept, archive.waiting])
    kept = rows.take(front(rows.F, archive.enough, rows.tie))
    slim = replace(archive, kept=kept, waiting=archive.waiting.take(slice(0, 0)))
    return thinned(slim) if len(kept) > archive.limit else slim


def front(F: Floats, enough: Floats, tie: Floats) -> Ints:
    """Indices, rising, of the rows to keep of unclipped aims F (N,M) with ties (N,).

    For one island's rows or for the fronts of several islands joined.
    """
    C = clipped(F, enough)
    alive = (
        np.flatnonzero(moocore.is_nondominated(C, keep_weakly=True))
        if len(C)
        else np.empty(0, np.int64)
    )
    return np.asarray(alive[_first_of_equals(C[alive], F[alive], tie[alive])])


def _first_of_equals(C: Floats, F: Floats, tie: Floats) -> Ints:
    """Indices, rising, of the best row of each set of equal C: by F, then tie, then order."""
    if not len(C):
        return np.empty(0, dtype=np.int64)
    order = np.lexsort((tie, *F.T[::-1], *C.T[::-1]))
    new = np.concatenate(([True], (C[order[1:]] != C[order[:-1]]).any(axis=1)))
    return np.asarray(np.sort(order[new]))


def thinned(archive: Archive) -> Archive:
    """The archive with one row per box of a grid, as fine a grid as brings it under 3/4 of its limit.

    Boxes start at 1/1024 of each aim's range and double; the row nearest its box's best corner stays,
    and the best row of each aim always stays. (Epsilon dominance grid: M. Laumanns et al., Evolutionary
    Computation 10 (2002) 263; here without dominance between boxes, so no part of the front is lost.)
    """
    C = clipped(archive.kept.F, archive.enough)
    low = C.min(axis=0)
    span = np.where(C.max(axis=0) > low, C.max(axis=0) - low, 1.0)
    scaled = (C - low) / span
    parts = 1024
    stay = _one_per_box(scaled, parts)
    while np.count_nonzero(stay) > 3 * archive.limit // 4 and parts > 1:
        parts //= 2
        stay = _one_per_box(scaled, parts)
    return replace(archive, kept=archive.kept.take(stay), step=span / parts)


def _one_per_box(scaled: Floats, parts: int) -> Bools:
    box = np.minimum(np.floor(scaled * parts), parts - 1.0)
    off = np.zeros(len(scaled))
    for j in range(scaled.shape[1]):
        off = off + (scaled[:, j] * parts - box[:, j])
    order = np.lexsort((off, *box.T))
    new = np.concatenate(([True], (box[order[1:]] != box[order[:-1]]).any(axis=1)))
    stay = np.zeros(len(scaled), dtype=np.bool_)
    stay[order[new]] = True
    stay[scaled.argmin(axis=0)] = True
    return stay
