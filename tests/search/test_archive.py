import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from explorer.search import archive as ar
from explorer.search.archive import LIMIT_MANY, added, empty, front, merged
from explorer.search.measure import Box, hypervolume
from tests.search.toys import dominates, rows_of, slow_front

GRID = hnp.arrays(np.float64, st.tuples(st.integers(0, 25), st.just(3)), elements=st.integers(0, 4))
ENOUGH = st.lists(st.sampled_from([-np.inf, 1.0, 2.0, 9.0]), min_size=3, max_size=3).map(np.array)


def ties(n: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 3, n).astype(np.float64)


@given(GRID, ENOUGH, st.integers(0, 99))
def test_the_front_is_that_of_the_pairwise_rule(
    F: np.ndarray, enough: np.ndarray, seed: int
) -> None:
    tie = ties(len(F), seed)
    assert front(F, enough, tie).tolist() == slow_front(F, enough, tie)


@given(GRID, ENOUGH, st.integers(0, 99), st.integers(1, 9))
def test_the_archive_is_the_front_of_all_it_saw(
    F: np.ndarray, enough: np.ndarray, seed: int, stride: int
) -> None:
    rows = rows_of(F, ties(len(F), seed))
    archive = empty(1, enough)
    for i in range(0, len(F), stride):
        archive = added(archive, rows.take(slice(i, i + stride)))
        if i % 2:
            archive = merged(archive)  # when rows are merged must not matter
    kept = merged(archive).kept
    expected = rows.take(front(F, enough, rows.tie))
    assert np.array_equal(kept.X, expected.X)
    assert np.array_equal(kept.F, expected.F)


@given(GRID, ENOUGH, st.integers(0, 99))
def test_the_order_of_arrival_does_not_matter(F: np.ndarray, enough: np.ndarray, seed: int) -> None:
    rng = np.random.default_rng(seed)
    tie, order = ties(len(F), seed), rng.permutation(len(F))
    a, b = front(F, enough, tie), order[front(F[order], enough, tie[order])]
    scores = np.concatenate([F, tie[:, None]], axis=1)
    assert sorted(map(tuple, scores[a])) == sorted(map(tuple, scores[b]))


@given(GRID, ENOUGH)
def test_nothing_dropped_beats_what_is_kept_on_unclipped_aims(
    F: np.ndarray, enough: np.ndarray
) -> None:
    kept = front(F, enough, np.zeros(len(F)))
    for i in kept:
        assert not any(dominates(f, F[i]) for f in F)


@given(GRID, st.integers(0, 99))
def test_a_limit_more_never_helps(F: np.ndarray, seed: int) -> None:
    """On a fixed set: the new front is weakly dominated by the old and covers no more."""
    free, none = np.full(3, -np.inf), np.zeros(len(F))
    some = np.random.default_rng(seed).random(len(F)) < 0.5
    old = F[front(F, free, none)]
    new = F[some][front(F[some], free, none[some])]
    assert all(any((o <= n).all() for o in old) for n in new)
    box = Box(np.zeros(3), np.full(3, 5.0))
    assert hypervolume(new, free, box) <= hypervolume(old, free, box) + 1e-12


@given(GRID, ENOUGH, st.integers(0, 99))
def test_units_and_copies_change_no_front(F: np.ndarray, enough: np.ndarray, seed: int) -> None:
    tie, scale, shift = ties(len(F), seed), np.array([0.5, 4.0, 16.0]), np.array([3.0, -1.0, 0.0])
    kept = front(F, enough, tie).tolist()
    assert front(F * scale + shift, enough * scale + shift, tie).tolist() == kept
    assert front(np.tile(F, (2, 1)), enough, np.tile(tie, 2)).tolist() == kept


def test_ties_go_by_what_lies_beyond_enough_and_then_by_pieces() -> None:
    F = np.array([[0.2, 1.0], [0.1, 1.0], [0.1, 1.0], [0.4, 1.0]])
    enough = np.array([0.5, -np.inf])
    assert front(F, enough, np.array([1.0, 9.0, 8.0, 0.0])).tolist() == [2]


def test_infeasible_rows_never_enter() -> None:
    rows = rows_of([[0.0, 0.0], [1.0, 1.0]])
    bad = ar.Rows(rows.X, rows.F, np.array([0.1, 0.0]), rows.tie)
    assert merged(added(empty(1, np.full(2, -np.inf)), bad)).kept.X.tolist() == [[1.0]]


def five_aims(n: int, seed: int) -> np.ndarray:
    S = np.abs(np.random.default_rng(seed).normal(size=(n, 5)))
    return 1.0 - S / np.sqrt((S * S).sum(axis=1))[:, None]


def test_five_aims_are_thinned_to_the_stated_grid() -> None:
    F = five_aims(21_000, 0)
    free = np.full(5, -np.inf)
    archive = merged(added(empty(1, free), rows_of(F)))
    kept = archive.kept.F
    assert 1000 < len(kept) <= LIMIT_MANY
    assert (archive.step > 0.0).all()
    assert np.array_equal(kept.min(axis=0), F.min(axis=0))
    # Every row that went lies in the box of one that stayed.
    whole = F[front(F, free, np.zeros(len(F)))]
    box = lambda G: np.floor((G - whole.min(axis=0)) / archive.step)  # noqa: E731
    top = np.round(np.ptp(whole, axis=0) / archive.step) - 1.0
    boxes = {tuple(b) for b in np.minimum(box(kept), top)}
    assert {tuple(b) for b in np.minimum(box(whole), top)} == boxes
    assert len(kept) <= len(boxes) + 5


def test_few_aims_are_not_thinned() -> None:
    x = np.linspace(0.0, 1.0, 21_000)
    archive = merged(added(empty(1, np.full(2, -np.inf)), rows_of(np.stack([x, 1.0 - x], axis=1))))
    assert len(archive.kept) == 21_000
    assert not archive.step.any()
