"""Moves that make new vectors from old ones, on whole arrays at once.

SBX and polynomial mutation are bounded as in Deb's NSGA-II program (K. Deb, R. B. Agrawal, Complex
Systems 9 (1995) 115; K. Deb, M. Goyal, Computer Science and Informatics 26 (1996) 30).
"""

from __future__ import annotations

import numpy as np
from scipy.spatial.distance import cdist

from explorer.mechanics.types import Bools, Floats, Ints
from explorer.search.space import Columns

_CLOSE = 1e-14
_LONGEST_RUN = 6  # neighbouring columns that change together
_GROWTH = 0.06  # standard deviation of the logarithm of a common factor
_FOLLOW = 0.2  # share of the choices that go along


def tournament(n: int, among: int, rng: np.random.Generator) -> Ints:
    """n winners of binary tournaments among rows kept best first: the lower index wins."""
    i = rng.integers(0, among, (2, n))
    return np.asarray(np.minimum(i[0], i[1]))


def sbx(A: Floats, B: Floats, space: Columns, eta: float, rng: np.random.Generator) -> Floats:
    """Two children (2n,V) of each pair of rows A, B (n,V) by bounded simulated binary crossover.

    Half the columns cross; the children's values change sides in half of those.
    """
    u, cross, swap = rng.random((3, *A.shape))
    row, j = np.nonzero((cross < 0.5) & (np.abs(A - B) > _CLOSE))
    a, b, u, swap = A[row, j], B[row, j], u[row, j], swap[row, j]
    y1, y2 = np.minimum(a, b), np.maximum(a, b)
    half = [
        0.5 * (y2 - y1) * _spread(u, room / (y2 - y1), eta)
        for room in (y1 - space.low[j], space.high[j] - y2)
    ]
    middle = 0.5 * (y1 + y2)
    low, high = middle - half[0], middle + half[1]
    turned = (swap < 0.5) ^ (a > b)
    first, second = A.copy(), B.copy()
    first[row, j] = np.where(turned, high, low)
    second[row, j] = np.where(turned, low, high)
    return np.concatenate([first, second])


def _spread(u: Floats, room: Floats, eta: float) -> Floats:
    """Spread factor beta_q for even draws u and room to the bound in units of the parents' distance."""
    alpha = 2.0 - (1.0 + 2.0 * room) ** -(eta + 1.0)
    ua = u * alpha
    return np.where(ua <= 1.0, ua, 1.0 / (2.0 - ua)) ** (1.0 / (eta + 1.0))


def polynomial(
    X: Floats, space: Columns, eta: float, rate: float, rng: np.random.Generator
) -> Floats:
    """X (n,V) with each column changed with probability `rate` by bounded polynomial mutation."""
    u, chance = rng.random((2, *X.shape))
    row, j = np.nonzero((chance < rate) & (space.high > space.low))
    x, u, low, high = X[row, j], u[row, j], space.low[j], space.high[j]
    span = high - low
    power = eta + 1.0
    down = u < 0.5
    room = np.where(down, x - low, high - x) / span
    v = np.where(down, 2.0 * u, 2.0 * (1.0 - u))
    step = (v + (1.0 - v) * (1.0 - room) ** power) ** (1.0 / power) - 1.0
    Y = X.copy()
    Y[row, j] = x + np.where(down, step, -step) * span
    return Y


def differential(
    X: Floats,
    target: Ints,
    base: Ints,
    pair: Ints,
    scale: tuple[float, float],
    rate: float,
    space: Columns,
    rng: np.random.Generator,
) -> Floats:
    """Trial vectors (n,V): base + f (b - c), taken into the target with probability `rate` a column.

    `pair` (2,n) are the rows b and c.

    R. Storn, K. Price, J. Global Optimization 11 (1997) 341; f is drawn evenly from `scale` for each trial.
    A value past a bound comes back to the bound, or as often to a random place between the base and it: what is
    best at its bound would else only creep toward it.
    """
    n, V = len(target), X.shape[1]
    f = scale[0] + (scale[1] - scale[0]) * rng.random((n, 1))
    chance, back = rng.random((2, n, V))
    sure = rng.integers(0, V, n)
    back = np.maximum(2.0 * back - 1.0, 0.0)
    start = X[base]
    trial = start + f * (X[pair[0]] - X[pair[1]])
    trial = np.where(trial < space.low, space.low + back * (start - space.low), trial)
    trial = np.where(trial > space.high, space.high - back * (space.high - start), trial)
    taken = chance < rate
    taken[np.arange(n), sure] = True
    return np.where(taken, trial, X[target])


def inherited(A: Floats, B: Floats, rng: np.random.Generator) -> Floats:
    """Uniform crossover (n,V): each column from either parent."""
    return np.where(rng.random(A.shape) < 0.5, A, B)


def neighbours(X: Floats, space: Columns, most: int) -> Ints:
    """The `most` nearest other rows (n,most) of each row of X (n,V), in no order; all others where 0.

    Distance: shares of their range apart, summed; two different options of a choice lie a whole range apart.
    (Differences of near rows keep to one valley: M. G. Epitropakis et al., IEEE Trans. Evol. Comput. 15
    (2011) 99.)
    """
    span = np.where(space.high > space.low, space.high - space.low, 1.0)
    ordered = X[:, ~space.choice] / span[~space.choice]
    D = cdist(ordered, ordered, "cityblock") + _differing(X[:, space.choice])
    np.fill_diagonal(D, np.inf)
    k = min(most or len(X), len(X) - 1)
    return np.asarray(np.argpartition(D, k - 1, axis=1)[:, :k])


def _differing(C: Floats) -> Floats:
    """In how many columns two rows of C (n,K) differ (n,n); a product of marks takes a third of comparing."""
    n, K = C.shape
    marks = np.zeros((n, K, 1 + int(C.max(initial=0.0))))
    np.put_along_axis(marks, C.astype(np.int64)[:, :, None], 1.0, axis=2)
    flat = marks.reshape(n, -1)
    return np.asarray(K - flat @ flat.T)


def spliced(A: Floats, B: Floats, rng: np.random.Generator) -> Floats:
    """Two-point crossover (n,V): a run of neighbouring columns comes from B, the rest from A."""
    n, V = A.shape
    cut = np.sort(rng.integers(0, V + 1, (2, n)), axis=0)
    j = np.arange(V)
    return np.where((j >= cut[0][:, None]) & (j < cut[1][:, None]), B, A)


def steps(
    X: Floats, which: Bools, space: Columns, rate: float, reset: float, rng: np.random.Generator
) -> Floats:
    """X (n,V) where whole columns `which` (V,) change with probability `rate`: one up or down, or anew.

    A share `reset` of the changes draws any value of the column; past a bound a step turns back.
    """
    columns = np.flatnonzero(which)
    row, k = np.nonzero(rng.random((len(X), len(columns))) < rate)
    j = columns[k]
    kind, value = rng.random((2, len(row)))
    low, high = space.low[j], space.high[j]
    step = X[row, j] + np.where(value < 0.5, -1.0, 1.0)
    step = np.where(step < low, low + 1.0, np.where(step > high, high - 1.0, step))
    anew = low + np.floor(value * (high - low + 1.0))
    Y = X.copy()
    Y[row, j] = np.where(kind < reset, anew, step)
    return Y


def redrawn(
    X: Floats, which: Bools, space: Columns, share: float, rng: np.random.Generator
) -> Floats:
    """X (n,V) with about half the columns `which` drawn anew in a `share` of the rows."""
    row = rng.random((len(X), 1)) < share
    chance, value = rng.random((2, *X.shape))
    anew = space.low + np.floor(value * (space.high - space.low + 1.0))
    return np.where(row & which & (chance < 0.5), anew, X)


def jolted(X: Floats, share: float, space: Columns, rng: np.random.Generator) -> Floats:
    """X (n,V) where in a `share` of the rows about half of a short run of neighbouring columns change together.

    Real columns move by about a tenth of their range, whole ones by one, choices to any option: a part that
    changes its size asks its neighbours for room.
    """
    rows = np.flatnonzero(rng.random(len(X)) < share)
    n, V = len(rows), X.shape[1]
    start, length = rng.integers(0, V, (n, 1)), rng.integers(2, _LONGEST_RUN + 1, (n, 1))
    ahead = np.arange(V) - start
    i, j = np.nonzero((ahead >= 0) & (ahead < length) & (rng.random((n, V)) < 0.5))
    value, far = rng.random(len(i)), rng.standard_normal(len(i))
    x, low, high = X[rows[i], j], space.low[j], space.high[j]
    span = high - low
    step = x + np.where(value < 0.5, -1.0, 1.0)
    step = np.where(step < low, low + 1.0, np.where(step > high, high - 1.0, step))
    whole = np.where(space.choice[j], low + np.floor(value * (span + 1.0)), step)
    moved = np.where(space.discrete[j], whole, x + 0.1 * span * far)
    Y = X.copy()
    Y[rows[i], j] = np.minimum(np.maximum(moved, low), high)
    return Y


def grown(X: Floats, share: float, space: Columns, rng: np.random.Generator) -> Floats:
    """X (n,V) where in a `share` of the rows a run of columns, round the end to the start, grows or shrinks together.

    Sizes, the real columns from zero up, by one factor, so that what went together still does; a fifth of the
    choices go to the next option that way, as stock lists rise.  (A drawing made larger as a whole: common
    practice, no source.)
    """
    rows = np.flatnonzero(rng.random(len(X)) < share)
    n, V = len(rows), X.shape[1]
    start, length = rng.integers(0, V, (n, 1)), rng.integers(2, V + 1, (n, 1))
    run = (np.arange(V) - start) % V < length
    far = _GROWTH * rng.standard_normal((n, 1))
    size = ~space.discrete & (space.low >= 0.0)
    x = np.where(run & size, X[rows] * np.exp(far), X[rows])
    stepped = run & space.choice & (rng.random((n, V)) < _FOLLOW)
    x = np.where(stepped, x + np.where(far > 0.0, 1.0, -1.0), x)
    Y = X.copy()
    Y[rows] = np.minimum(np.maximum(x, space.low), space.high)
    return Y


def seen_before(X: Floats, old: Floats) -> Bools:
    """True for rows of X (n,V) that equal a row of `old` or an earlier row of X."""
    seen = {row.tobytes() for row in old}
    again = np.zeros(len(X), dtype=np.bool_)
    for i, row in enumerate(X):
        key = row.tobytes()
        again[i] = key in seen
        seen.add(key)
    return again


def shaken(X: Floats, which: Bools, space: Columns, rng: np.random.Generator) -> Floats:
    """X (n,V) with one column drawn anew in the rows `which` (n,)."""
    n, V = X.shape
    j = np.asarray(rng.integers(0, V, n))
    u = rng.random(n)
    span = space.high[j] - space.low[j]
    value = space.low[j] + np.where(space.discrete[j], np.floor(u * (span + 1.0)), u * span)
    Y = X.copy()
    Y[which, j[which]] = value[which]
    return Y
