import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from explorer.search.ranks import apart, clipped, ranked, repeats, scaled, shortfall, survivors
from tests.search.toys import dominates, slow_ranks

GRID = hnp.arrays(
    np.float64, st.tuples(st.integers(1, 25), st.integers(1, 4)), elements=st.integers(0, 4)
)


def violations(n: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 3, n).astype(np.float64)


@given(GRID, st.integers(0, 1000))
def test_ranks_are_those_of_peeled_fronts(F: np.ndarray, seed: int) -> None:
    v = violations(len(F), seed)
    rank, front = ranked(F, v)
    good = np.flatnonzero(v <= 0.0)
    plain = slow_ranks(F[good])
    first = ~repeats(F[good])
    assert np.array_equal(rank[good][first], plain[first])
    assert np.array_equal(front[good], plain == 0)
    assert not front[v > 0.0].any()
    if len(good) and not first.all():
        assert (rank[good][~first] > plain[first].max()).all()


@given(GRID, st.integers(0, 1000))
def test_less_violation_is_better_and_none_is_best(F: np.ndarray, seed: int) -> None:
    v = violations(len(F), seed)
    rank, _ = ranked(F, v)
    for i in range(len(F)):
        worse = v > v[i]
        assert (rank[worse] > rank[i]).all()


@given(GRID, st.integers(0, 1000), st.integers(1, 25))
def test_nobody_kept_is_behind_one_who_went(F: np.ndarray, seed: int, size: int) -> None:
    v = violations(len(F), seed)
    rank, _ = ranked(F, v)
    kept = survivors(F, v, size)
    assert len(kept.keep) == min(size, len(F)) == len(set(kept.keep.tolist()))
    assert np.array_equal(kept.rank, rank[kept.keep])
    assert (np.diff(kept.rank) >= 0).all()
    went = np.setdiff1d(np.arange(len(F)), kept.keep)
    assert not len(went) or kept.rank.max() <= rank[went].min()


@given(GRID, st.integers(0, 1000), st.integers(1, 25), st.floats(0.0, 0.9))
def test_rows_beyond_a_limit_take_no_more_than_their_share(
    F: np.ndarray, seed: int, size: int, beyond: float
) -> None:
    v = violations(len(F), seed)
    kept = survivors(F, v, size, beyond)
    assert len(kept.keep) == min(size, len(F)) == len(set(kept.keep.tolist()))
    good = v <= 0.0
    if good.sum() >= size:
        out = kept.keep[~good[kept.keep]]
        assert len(out) <= beyond * size
        # None of them is beaten by what fits: mended, it would be worth its place.
        assert not any((F[g] <= F[i]).all() for i in out for g in np.flatnonzero(good))


def test_the_way_to_another_valley_stays_open() -> None:
    """A row that would beat all if it fitted, and hardly breaks its limit, stays when it has a share."""
    F = np.concatenate(
        [np.stack([np.linspace(0, 1, 20), np.linspace(1, 0, 20)], axis=1), [[-1, -1]]]
    )
    v = np.append(np.zeros(20), 0.01)
    assert 20 not in survivors(F, v, 10).keep
    assert 20 in survivors(F, v, 10, 0.3).keep
    assert 20 in survivors(F, v, 10, 0.3, far=0.01).keep
    assert 20 not in survivors(F, v, 10, 0.3, far=0.009).keep


@given(GRID)
def test_shortfall_pair_by_pair(F: np.ndarray) -> None:
    D = shortfall(F)
    for i in range(len(F)):
        for j in range(len(F)):
            assert D[i, j] == (np.inf if i == j else max(F[j] - F[i]))
            if i != j and dominates(F[j], F[i]):
                assert D[i, j] <= 0.0


@given(st.integers(0, 2**32), st.integers(1, 30), st.integers(2, 5))
def test_a_cut_front_keeps_the_best_of_each_aim(seed: int, size: int, aims: int) -> None:
    S = scaled(np.random.default_rng(seed).random((30, aims)))
    before = S.copy()
    left, lonely = apart(S, size)
    assert len(left) == len(lonely) == size
    assert (np.diff(left) > 0).all()
    if size >= aims:
        assert set(S.argmin(axis=0)) <= set(left.tolist())
    assert np.array_equal(S, before)


def test_of_a_close_pair_one_goes() -> None:
    x = np.array([0.0, 0.25, 0.26, 0.6, 1.0])
    left, _ = apart(np.stack([x, 1.0 - x], axis=1), 4)
    assert set(left.tolist()) in ({0, 1, 3, 4}, {0, 2, 3, 4})


def test_a_row_far_behind_the_front_goes_before_one_on_it() -> None:
    """It is alone, but nearly dominated: a hair better in one aim and far worse in all others."""
    x = np.linspace(0.0, 1.0, 9)
    S = np.concatenate([np.stack([x, 1.0 - x, np.full(9, 0.5)], axis=1), [[0.6, 0.6, 0.4999]]])
    left, _ = apart(np.concatenate([S, [[1.0, 1.0, 0.0]]]), 10)
    assert 9 not in left.tolist()


def test_repeats_go_before_dominated_rows() -> None:
    F = np.array([[0.0, 1.0], [0.0, 1.0], [1.0, 0.0], [2.0, 2.0]])
    assert set(survivors(F, np.zeros(4), 3).keep.tolist()) == {0, 2, 3}


@given(GRID, st.integers(-2, 6))
def test_no_aim_counts_beyond_enough(F: np.ndarray, level: int) -> None:
    C = clipped(F, np.full(F.shape[1], float(level)))
    assert (level <= C).all()
    assert np.array_equal(C[level <= F], F[level <= F])


@pytest.mark.parametrize("scale", [0.25, 8.0])
def test_ranks_know_no_units(scale: float) -> None:
    F = np.random.default_rng(0).random((60, 3))
    a, b = survivors(F, np.zeros(60), 20), survivors(F * scale, np.zeros(60), 20)
    assert np.array_equal(a.keep, b.keep)
