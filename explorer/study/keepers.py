"""Who is kept and how it is called: one front over all architectures, thinned to drives worth telling apart.

The rows of this front carry two columns before the vector: the design space, and the place of its name in
the list of names, counted from 1 (0: none yet).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints
from explorer.search import archive as ar
from explorer.search.archive import Archive
from explorer.search.problem import Rows
from explorer.search.ranks import clipped
from explorer.study.problem import Aims

MOST = 100  # keepers: from here on, drives less apart count as one
PLACE, NAME, FROM = 0, 1, 2  # columns


@dataclass(frozen=True)
class Front:
    """All unbeaten rows of all spaces, and how wide the grid is that keepers are chosen on.

    The grid's boxes measure sqrt(2)**widen times the differences worth telling.
    """

    archive: Archive
    widen: int


def begin(width: int, aims: Aims) -> Front:
    """A front of nothing, for vectors of up to `width` columns."""
    return Front(ar.empty(width + FROM, aims.enough), 0)


def marked(rows: Rows, place: int, width: int) -> Rows:
    """Rows with the two columns before the vector, and zeros behind it up to `width`."""
    n, V = rows.X.shape
    X = np.zeros((n, FROM + width))
    X[:, PLACE] = place
    X[:, FROM : FROM + V] = rows.X
    return Rows(X, rows.F, rows.violation, rows.tie)


def grown(front: Front, newcomers: list[Rows]) -> Front:
    """The front after these marked rows."""
    archive = front.archive
    for rows in newcomers:
        archive = ar.added(archive, rows)
    return Front(ar.merged(archive), front.widen)


def chosen(front: Front, aims: Aims) -> tuple[Ints, int]:
    """Indices, rising, of the keepers among the front's rows, and the grid's width they needed.

    One of each box of the grid, a named one if there is one, else the oldest; and always the best of
    each aim, and each space's best in the first aim.
    """
    rows = front.archive.kept
    if not len(rows):
        return np.empty(0, dtype=np.int64), front.widen
    C = clipped(rows.F, front.archive.enough)
    named = _named_first(rows)
    must = _best(C, named, rows)
    widen = front.widen
    while True:
        stay = must | _one_a_box(np.floor(C / (aims.apart * sqrt(2.0) ** widen)), named, must)
        if int(stay.sum()) <= max(MOST, int(must.sum())) or widen > 60:
            return np.flatnonzero(stay), widen
        widen += 1


def _named_first(rows: Rows) -> Floats:
    """Sort key: place of the name, the nameless last."""
    number = rows.X[:, NAME]
    return np.where(number > 0.0, number, np.inf)


def _best(C: Floats, named: Floats, rows: Rows) -> Bools:
    """True for the best of each aim and for each space's best in the first."""
    best = np.zeros(len(C), dtype=np.bool_)
    for j in range(C.shape[1]):
        best[np.lexsort((named, C[:, j]))[0]] = True
    for place in np.unique(rows.X[:, PLACE]):
        mine = np.flatnonzero(rows.X[:, PLACE] == place)
        best[mine[np.lexsort((named[mine], C[mine, 0]))[0]]] = True
    return best


def _one_a_box(box: Floats, named: Floats, must: Bools) -> Bools:
    """True for one row of each box: one that stays anyway, a named one, or the first."""
    order = np.lexsort((named, ~must, *box.T))
    new = np.concatenate(([True], (box[order[1:]] != box[order[:-1]]).any(axis=1)))
    stay = np.zeros(len(box), dtype=np.bool_)
    stay[order[new]] = True
    return stay


def with_names(front: Front, index: Ints, numbers: Floats, widen: int) -> Front:
    """The front with names given to these rows."""
    rows = front.archive.kept
    X = rows.X.copy()
    X[index, NAME] = numbers
    kept = Rows(X, rows.F, rows.violation, rows.tie)
    a = front.archive
    return Front(Archive(a.enough, kept, a.waiting, a.step), widen)


def beaten_by(front: Front, F: Floats) -> Ints:
    """Indices of the front's rows as good in every aim as unclipped aims F (M,), named ones first.

    A row that is not in the front is beaten by one that is, or ties with it and loses by the rule.
    """
    rows = front.archive.kept
    most = np.maximum(F, front.archive.enough)
    better = np.flatnonzero((clipped(rows.F, front.archive.enough) <= most).all(axis=1))
    return better[np.argsort(_named_first(rows)[better], kind="stable")]
