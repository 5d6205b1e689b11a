"""Moves: bounds, replay, and the textbook operators against another program's, number by number."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.search import moves
from explorer.search.space import columns, drawn, repaired
from tests.search.toys import Toy

SPACE = columns([0.0, -2.0, 5.0], [1.0, 2.0, 6.0])


class Dealt:
    """Stands for a generator; hands out prepared numbers in the order asked for."""

    def __init__(self, *numbers: np.ndarray) -> None:
        self.numbers = list(numbers)

    def random(self, size: object = None) -> np.ndarray:
        dealt = self.numbers.pop(0)
        assert np.shape(dealt) == (size if isinstance(size, tuple) else (size,))
        return dealt


@given(st.integers(0, 2**32))
def test_polynomial_mutation_is_that_of_pymoo(seed: int) -> None:
    from pymoo.operators.mutation.pm import mut_pm

    rng = np.random.default_rng(seed)
    X, u, chance = drawn(SPACE, 8, rng), rng.random((8, 3)), rng.random((8, 3))
    ours = moves.polynomial(X, SPACE, 20.0, 0.4, Dealt(np.stack([u, chance])))
    changed = chance < 0.4
    theirs = mut_pm(
        X, SPACE.low, SPACE.high, np.full(8, 20.0), np.full(8, 0.4), False,
        random_state=Dealt(chance, u[changed]),
    )  # fmt: skip
    assert ours == pytest.approx(theirs, rel=1e-12, abs=1e-12)


@given(st.integers(0, 2**32))
def test_crossover_is_that_of_pymoo(seed: int) -> None:
    from pymoo.operators.crossover.sbx import cross_sbx

    rng = np.random.default_rng(seed)
    A, B = drawn(SPACE, 6, rng), drawn(SPACE, 6, rng)
    u, cross, swap = rng.random((3, 6, 3))
    ours = moves.sbx(A, B, SPACE, 15.0, Dealt(np.stack([u, cross, swap])))
    crossed = cross < 0.5
    theirs = cross_sbx(
        np.stack([A, B]), SPACE.low, SPACE.high, np.full((6, 1), 15.0), np.full((6, 1), 0.5),
        np.full((6, 1), 0.5), random_state=Dealt(cross, u[crossed], swap[crossed]),
    )  # fmt: skip
    # Which child gets which value is a coin's matter: compare the pair.
    pair = np.sort(np.stack([ours[:6], ours[6:]]), axis=0)
    assert pair == pytest.approx(np.sort(theirs, axis=0), rel=1e-9, abs=1e-9)


def every_move(seed: int) -> tuple[list[np.ndarray], np.ndarray]:
    space, rng = Toy().space, np.random.default_rng(seed)
    X = drawn(space, 12, rng)
    i, j = moves.tournament(6, 12, rng), moves.tournament(6, 12, rng)
    made = [
        moves.sbx(X[i], X[j], space, 15.0, rng),
        moves.polynomial(X, space, 20.0, 0.5, rng),
        moves.differential(X, i, j, np.stack([j, i]), (0.0, 1.0), 0.9, space, rng),
        moves.inherited(X[i], X[j], rng),
        moves.spliced(X[i], X[j], rng),
        moves.steps(X, space.discrete, space, 0.7, 0.3, rng),
        moves.redrawn(X, space.choice, space, 0.5, rng),
        moves.shaken(X, rng.random(12) < 0.5, space, rng),
    ]
    return made, X


@given(st.integers(0, 2**32))
def test_moves_stay_in_bounds_and_replay(seed: int) -> None:
    space = Toy().space
    made, X = every_move(seed)
    again, same = every_move(seed)
    assert np.array_equal(X, same)  # no move wrote into its input
    assert np.array_equal(X, drawn(space, 12, np.random.default_rng(seed)))
    for Y, Z in zip(made, again, strict=True):
        assert np.array_equal(Y, Z)
        assert np.allclose(Y, np.clip(Y, space.low, space.high), rtol=0.0, atol=1e-12)


@given(st.integers(0, 2**32))
def test_whole_columns_step_to_other_whole_values(seed: int) -> None:
    space, rng = Toy().space, np.random.default_rng(seed)
    X = drawn(space, 20, rng)
    Y = moves.steps(X, space.discrete, space, 1.0, 0.0, rng)
    assert (np.abs(Y - X)[:, space.discrete] == 1.0).all()
    assert np.array_equal(Y[:, ~space.discrete], X[:, ~space.discrete])
    Z = moves.redrawn(X, space.choice, space, 1.0, rng)
    assert np.array_equal(Z[:, ~space.choice], X[:, ~space.choice])
    assert (Z % 1.0 == 0.0)[:, space.choice].all()


@given(st.integers(0, 2**32))
def test_a_spliced_row_has_one_run_of_the_other(seed: int) -> None:
    rng = np.random.default_rng(seed)
    A, B = np.zeros((20, 7)), np.ones((20, 7))
    Y = moves.spliced(A, B, rng)
    assert set(np.unique(Y)) <= {0.0, 1.0}
    steps = np.abs(np.diff(np.concatenate([A[:, :1], Y, A[:, :1]], axis=1), axis=1))
    assert (steps.sum(axis=1) <= 2.0).all()  # the other's columns begin once and end once
    assert Y.any()
    assert not Y.all()


def test_neighbours_are_the_nearest_rows() -> None:
    """By hand: shares of the range apart, and a whole range for another option of a choice."""
    space = columns([0.0, 0.0, 0.0], [10.0, 4.0, 5.0], ["real", "whole", "choice"])
    X = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.5, 0.0, 1.0]])
    # From the first row: 0.1, 0.5 and 0.05 + 1.
    assert [moves.neighbours(X, space, k)[0].tolist() for k in (1,)] == [[1]]
    assert set(moves.neighbours(X, space, 2)[0].tolist()) == {1, 2}
    assert set(moves.neighbours(X, space, 0)[0].tolist()) == {1, 2, 3}
    assert set(moves.neighbours(X, space, 9)[3].tolist()) == {0, 1, 2}


def test_a_redraw_reaches_every_option() -> None:
    space = Toy().space
    X = np.tile(repaired(space, np.zeros((1, 5))), (400, 1))
    Y = moves.redrawn(X, space.choice, space, 1.0, np.random.default_rng(1))
    assert set(Y[:, 3]) == {0.0, 1.0, 2.0, 3.0, 4.0, 5.0}


@given(
    st.lists(st.sampled_from([0.0, 1.0, 2.0]), max_size=12),
    st.lists(st.sampled_from([0.0, 3.0]), max_size=3),
)
def test_seen_before_is_equality_with_an_earlier_row(new: list[float], old: list[float]) -> None:
    X, O = np.array(new).reshape(-1, 1), np.array(old).reshape(-1, 1)
    expected = [v in old or v in new[:i] for i, v in enumerate(new)]
    assert moves.seen_before(X, O).tolist() == expected


def test_a_shake_changes_one_column_of_the_marked_rows() -> None:
    X = drawn(SPACE, 50, np.random.default_rng(3))
    which = np.arange(50) % 2 == 0
    Y = moves.shaken(X, which, SPACE, np.random.default_rng(4))
    assert np.array_equal((Y != X).sum(axis=1), which.astype(int))


def test_what_grows_together_keeps_its_proportions_and_its_whole_numbers() -> None:
    """Sizes in a run by one factor, counts as they were, choices one step that way, sizes from below zero untouched."""
    space = columns(
        [1.0, 1.0, -5.0, 0.0, 0.0, 1.0],
        [1e3, 1e3, 5.0, 9.0, 9.0, 1e3],
        ["real", "real", "real", "whole", "choice", "real"],
    )
    X = np.tile(np.array([10.0, 20.0, -1.0, 4.0, 4.0, 40.0]), (4000, 1))
    before = X.copy()
    Y = moves.grown(X, 0.5, space, np.random.default_rng(3))
    np.testing.assert_array_equal(X, before)
    np.testing.assert_array_equal(Y[:, 2:4], X[:, 2:4])
    sizes = np.log(Y[:, [0, 1, 5]] / X[:, [0, 1, 5]])
    moved = np.abs(sizes) > 1e-12
    assert 0.4 < moved.any(axis=1).mean() < 0.5
    common = sizes.sum(axis=1) / np.maximum(moved.sum(axis=1), 1)
    np.testing.assert_allclose(sizes, np.where(moved, common[:, None], 0.0), atol=1e-12)
    assert 0.05 < common[moved.any(axis=1)].std() < 0.07
    step = Y[:, 4] - 4.0
    assert set(step.tolist()) == {-1.0, 0.0, 1.0}
    along = (step != 0.0) & moved.any(axis=1)
    assert (np.sign(step[along]) == np.sign(common[along])).all()
    assert 0.03 < (step != 0.0).mean() < 0.1
    np.testing.assert_array_equal(moves.grown(X, 0.0, space, np.random.default_rng(3)), X)


def test_what_grows_stays_within_bounds() -> None:
    space = columns([1.0, 0.0], [1.05, 1.0], ["real", "choice"])
    X = np.tile(np.array([1.04, 1.0]), (500, 1))
    Y = moves.grown(X, 1.0, space, np.random.default_rng(3))
    assert Y[:, 0].max() == 1.05
    assert Y[:, 0].min() == 1.0
    assert set(Y[:, 1].tolist()) == {0.0, 1.0}
