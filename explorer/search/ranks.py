"""Who survives: constrained dominance, repeats last; in the front that is cut the nearly dominated go."""

from __future__ import annotations

from dataclasses import dataclass

import moocore
import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints


@dataclass(frozen=True)
class Survivors:
    """Indices kept, best first, with their rank (K,), 0 best, and how lonely (K,) they are.

    lonely: by how much the nearest rival falls short, for the rows of the front that was cut; else 0.
    front (N,), over all rows given: feasible and dominated by none of them, repeats included.
    """

    keep: Ints
    rank: Ints
    lonely: Floats
    front: Bools


def clipped(F: Floats, enough: Floats) -> Floats:
    """Aims (N,M) of which no more counts than is enough (M,)."""
    return np.maximum(F, enough)


def survivors(
    F: Floats, violation: Floats, size: int, beyond: float = 0.0, far: float = np.inf
) -> Survivors:
    """The best `size` rows of clipped aims F (N,M) and violation (N,).

    Once feasible rows would fill all places, a share `beyond` of these goes to rows that break a limit, but
    by no more than `far`, and would be worth it if they did not: the way to another valley leads past them. (T. Ray, H. K. Singh,
    A. Isaacs, W. Smith, Constraint-Handling in Evolutionary Optimization, Springer 2009, 145; from memory.)
    """
    good = np.flatnonzero(violation <= 0.0)
    bad = np.flatnonzero((violation > 0.0) & (violation <= far))
    places = int(beyond * size)
    if not places or len(good) < size or not len(bad):
        return _best(F, violation, size)
    out = bad[_promising(F[good], F[bad], violation[bad], places)]
    inside = _best(F[good], violation[good], size - len(out))
    front = np.zeros(len(F), dtype=np.bool_)
    front[good] = inside.front
    # Spread evenly among the feasible, best first: a tournament is won by the lower place.
    each = np.concatenate([_evenly(len(inside.keep)), _evenly(len(out))])
    place = np.argsort(each, kind="stable")
    none = np.zeros(len(out))
    return Survivors(
        np.concatenate([good[inside.keep], out])[place],
        np.concatenate([inside.rank, none.astype(np.int64)])[place],
        np.concatenate([inside.lonely, none])[place],
        front,
    )


def _evenly(n: int) -> Floats:
    """n middles of equal parts of 0 to 1."""
    return (np.arange(n) + 0.5) / max(1, n)


def _promising(G: Floats, F: Floats, violation: Floats, most: int) -> Ints:
    """Indices, rising, of up to `most` rows of F (N,M) that no row of G (K,M) beats.

    Of the least violations, four times as many, those spread best over aims and violation.
    """
    beaten = np.ones((len(G), len(F)), dtype=np.bool_)
    for g, f in zip(G.T, F.T, strict=True):
        beaten &= g[:, None] <= f
    worth = np.flatnonzero(~beaten.any(axis=0))
    near = worth[np.argsort(violation[worth], kind="stable")[: 4 * most]]
    if len(near) <= most:
        return np.sort(near)
    low = G.min(axis=0)
    span = G.max(axis=0) - low
    span = np.where(span > 0.0, span, 1.0)
    S = np.maximum((F[near] - low) / span, -1.0)
    left, _ = apart(np.column_stack([S, violation[near] / violation[near].max()]), most)
    return np.sort(near[left])


def _best(F: Floats, violation: Floats, size: int) -> Survivors:
    rank, front = ranked(F, violation)
    order = np.argsort(rank, kind="stable")
    keep, lonely = order, np.zeros(min(size, len(order)))
    if len(order) > size:
        edge = rank[order[size - 1]]
        sure = order[rank[order] < edge]
        cut = order[rank[order] == edge]
        if violation[cut[0]] <= 0.0:
            left, lonely[len(sure) :] = apart(scaled(F[cut]), size - len(sure))
            cut = cut[left]
        keep = np.concatenate([sure, cut[: size - len(sure)]])
    place = np.lexsort((-lonely, rank[keep]))
    return Survivors(keep[place], rank[keep[place]], lonely[place], front)


def ranked(F: Floats, violation: Floats) -> tuple[Ints, Bools]:
    """Rank of clipped aims F (N,M), and which rows no other dominates.

    Feasible rows by dominance, then repeats of them, then the others by violation: constrained dominance
    of K. Deb et al., IEEE Trans. Evol. Comput. 6 (2002) 182. A row that repeats the aims of an earlier
    one ranks behind all others that are feasible: it adds nothing.
    """
    rank = np.zeros(len(F), dtype=np.int64)
    front = np.zeros(len(F), dtype=np.bool_)
    good = np.flatnonzero(violation <= 0.0)
    worst = 0
    if len(good):
        G = np.ascontiguousarray(F[good])
        r = np.asarray(moocore.pareto_rank(G), dtype=np.int64)
        front[good] = r == 0
        worst = int(r.max()) + 1
        r[repeats(G)] = worst
        rank[good] = r
    bad = np.flatnonzero(violation > 0.0)
    if len(bad):
        rank[bad] = worst + 1 + np.unique(violation[bad], return_inverse=True)[1]
    return rank, front


def repeats(F: Floats) -> Bools:
    """True for rows (N,) that equal an earlier row."""
    order = np.lexsort(F.T[::-1])
    again = np.zeros(len(F), dtype=np.bool_)
    again[order[1:]] = (F[order[1:]] == F[order[:-1]]).all(axis=1)
    return again


def scaled(F: Floats) -> Floats:
    """Aims (N,M) from 0 to 1 over the rows given."""
    low = F.min(axis=0)
    span = F.max(axis=0) - low
    return np.asarray((F - low) / np.where(span > 0.0, span, 1.0))


def apart(S: Floats, size: int) -> tuple[Ints, Floats]:
    """Indices, rising, of `size` rows of S (N,M) left when those nearest to being dominated go.

    In passes: rows go in the order of how little their nearest rival falls short of them, unless that
    rival went in this pass. The best row of each aim stays while any other can go. With the indices: by
    how much each one's nearest rival falls short. Plain distance would instead keep, at five aims, rows
    far from the front for being alone.
    """
    left = np.arange(len(S))
    D = shortfall(S)
    held = np.zeros(len(S), dtype=np.bool_)
    held[S.argmin(axis=0)] = True
    while len(left) > size:
        stay = np.flatnonzero(~_losers(D, held, len(left) - size))
        left, held, D = left[stay], held[stay], D[stay][:, stay]
    return left, np.asarray(D.min(axis=1))


def shortfall(S: Floats) -> Floats:
    """By how much (N,N) all aims of row j must be made better for j to be as good as row i in each.

    The additive epsilon indicator between two rows (E. Zitzler, S. Kuenzli, PPSN VIII, 2004, 832);
    infinite of a row to itself.
    """
    D = np.full((len(S), len(S)), -np.inf)
    gap = np.empty_like(D)
    for s in np.ascontiguousarray(S.T):
        np.subtract(s, s[:, None], out=gap)
        np.maximum(D, gap, out=D)
    np.fill_diagonal(D, np.inf)
    return D


def _losers(D: Floats, held: Bools, most: int) -> Bools:
    """One pass of `apart`: rows (N,) to drop, at most `most` and at least one."""
    near = D.argmin(axis=1)
    order = np.argsort(D[np.arange(len(D)), near], kind="stable").tolist()
    rival, holds = near.tolist(), held.tolist()
    gone = [False] * len(D)
    to_go = most
    for i in order:
        if holds[i] or gone[rival[i]]:
            continue
        gone[i] = True
        to_go -= 1
        if not to_go:
            break
    if to_go == most:
        gone[-1] = True  # only held rows are left: the last given goes
    return np.array(gone, dtype=np.bool_)
