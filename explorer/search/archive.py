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
FINEST = 1024  # grid boxes over an aim's range
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
    return merged(grown) if len(waiting) > max(_WAITING, len(archive.kept) // 2) else grown


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
    order = np.lexsort(C.T[::-1])
    same = (C[order[1:]] == C[order[:-1]]).all(axis=1)
    stay = np.ones(len(C), dtype=np.bool_)
    paired = np.concatenate((same, [False])) | np.concatenate(([False], same))
    if paired.any():
        rows = np.sort(order[paired])
        by = rows[np.lexsort((tie[rows], *F[rows].T[::-1], *C[rows].T[::-1]))]
        stay[by[1:]] = (C[by[1:]] != C[by[:-1]]).any(axis=1)
    return np.flatnonzero(stay)


def thinned(archive: Archive) -> Archive:
    """The archive with one row per box of a grid, as fine a grid as brings it to half its limit.

    At most 1024 boxes an aim's range; the row nearest its box's best corner stays, and the best row of
    each aim always stays. (Epsilon dominance grid: M. Laumanns et al., Evolutionary Computation 10 (2002)
    263; here without dominance between boxes, so no part of the front is lost.)
    """
    C = clipped(archive.kept.F, archive.enough)
    low = C.min(axis=0)
    span = np.where(C.max(axis=0) > low, C.max(axis=0) - low, 1.0)
    scaled = (C - low) / span
    # A box number has to fit into 63 bits.
    parts, too_many = 1, min(FINEST, int(2.0 ** (62 / C.shape[1]))) + 1
    while too_many - parts > 1:
        middle = (parts + too_many) // 2
        few = len(np.unique(_box(scaled, middle))) <= archive.limit // 2
        parts, too_many = (middle, too_many) if few else (parts, middle)
    stay = _one_per_box(scaled, parts)
    return replace(archive, kept=archive.kept.take(stay), step=span / parts)


def _cell(scaled: Floats, parts: int) -> Floats:
    return np.asarray(np.minimum(np.floor(scaled * parts), parts - 1.0))


def _box(scaled: Floats, parts: int) -> Ints:
    """Number (N,) of the box that each row lies in."""
    number = np.zeros(len(scaled), dtype=np.int64)
    for cell in _cell(scaled, parts).T:
        number = number * parts + cell.astype(np.int64)
    return number


def _one_per_box(scaled: Floats, parts: int) -> Bools:
    off = np.zeros(len(scaled))
    for rest in (scaled * parts - _cell(scaled, parts)).T:
        off = off + rest
    box = _box(scaled, parts)
    order = np.lexsort((off, box))
    stay = np.zeros(len(scaled), dtype=np.bool_)
    stay[order] = np.concatenate(([True], box[order[1:]] != box[order[:-1]]))
    stay[scaled.argmin(axis=0)] = True
    return stay
