import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.search.space import Kind, columns, drawn, repaired, spread
from tests.search.toys import Toy, third_matters

SPACE = Toy().space


@given(st.integers(0, 2**32), st.integers(1, 40))
def test_drawn_vectors_need_no_repair(seed: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    for X in (drawn(SPACE, n, rng), spread(SPACE, n, rng)):
        assert X.shape == (n, SPACE.width)
        assert (SPACE.low <= X).all()
        assert (SPACE.high >= X).all()
        assert (X[:, SPACE.discrete] % 1.0 == 0.0).all()
        assert np.array_equal(repaired(SPACE, X), X)


def test_repair_rounds_clips_and_rests() -> None:
    X = np.array([[1.7, -0.2, 0.9, 3.6, -9.0], [0.5, 0.5, 0.9, 1.4, 2.4]])
    before = X.copy()
    Y = repaired(SPACE, X)
    assert Y.tolist() == [[1.0, 0.0, 0.5, 4.0, -3.0], [0.5, 0.5, 0.9, 1.0, 2.0]]
    assert np.array_equal(X, before)


def test_every_option_is_drawn_about_equally_often() -> None:
    X = drawn(SPACE, 6000, np.random.default_rng(5))
    counts = np.bincount(X[:, 3].astype(int), minlength=6)
    # Six options of 6000: standard deviation 29; six of them.
    assert (np.abs(counts - 1000) < 6 * 29).all()


@given(st.integers(0, 2**32), st.integers(1, 30))
def test_a_spread_has_one_vector_in_each_part_of_a_range(seed: int, n: int) -> None:
    X = spread(columns([0.0, -1.0], [1.0, 1.0]), n, np.random.default_rng(seed))
    for column, low, width in ((X[:, 0], 0.0, 1.0), (X[:, 1], -1.0, 2.0)):
        part = np.floor(np.sort((column - low) / width) * n + 1e-9)
        assert np.array_equal(np.minimum(part, n - 1), np.arange(n))


@pytest.mark.parametrize(
    ("low", "high", "kinds", "words"),
    [
        ([1.0], [0.0], ["real"], "above the upper in column 0"),
        ([0.0, 0.5], [1.0, 2.0], ["real", "whole"], "whole column 1"),
        ([0.0], [np.inf], ["real"], "finite"),
        ([0.0], [1.0], ["real", "real"], "2 kinds"),
    ],
)
def test_bounds_that_cannot_be_are_refused(
    low: list[float], high: list[float], kinds: list[Kind], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        columns(low, high, kinds)


def test_columns_that_may_rest_need_a_resting_value() -> None:
    with pytest.raises(ValueError, match="resting value"):
        columns([0.0] * 5, [1.0] * 5, active=third_matters)
