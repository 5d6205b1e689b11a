import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.search.space import (
    Counted,
    Kind,
    Off,
    columns,
    counts,
    drawn,
    lengths,
    repaired,
    spread,
    trimmed,
)
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


def test_trimming_stays_within_the_bounds() -> None:
    """A value that others leave less room moves there, as far as its own bounds let it; what rests, rests."""
    space = columns([0.0, 0.0], [4.0, 3.0], trim=lambda X: np.maximum(X, X[:, ::-1]))
    X = np.array([[1.0, 2.0], [4.0, 1.0]])
    assert trimmed(space, X).tolist() == [[2.0, 2.0], [4.0, 3.0]]
    assert trimmed(space, X[:0]).shape == (0, 2)
    assert trimmed(SPACE, X) is X
    resting = columns(
        [0.0, 0.0], [4.0, 3.0], active=lambda X: X > 1.5, rest=[0.0, 1.0], trim=lambda X: X / 2.0
    )
    assert trimmed(resting, X).tolist() == [[0.0, 1.0], [2.0, 1.0]]


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


SIZES = np.array([3.75, 5.0, 6.35])
WHEELS = columns(
    [0.0, 0.0, 8.0, 0.5], [1.0, 2.0, 36.0, 2.0], ["real", "choice", "whole", "real"],
    counted={2: Counted(((1, SIZES),))},
)  # fmt: skip


@given(st.integers(0, 2**32), st.integers(1, 40))
def test_counts_come_back_from_lengths(seed: int, n: int) -> None:
    X = drawn(WHEELS, n, np.random.default_rng(seed))
    Z = lengths(WHEELS, X)
    assert np.array_equal(Z[:, 2], X[:, 2] * SIZES[X[:, 1].astype(int)])
    assert np.array_equal(Z[:, [0, 1, 3]], X[:, [0, 1, 3]])
    assert np.array_equal(counts(WHEELS, Z), X)
    inner = WHEELS.measured
    assert (inner.low <= Z).all()
    assert (inner.high >= Z).all()


@given(st.integers(0, 2**32), st.integers(1, 40), st.integers(0, 2))
def test_another_size_leaves_the_length_within_half_of_it(seed: int, n: int, other: int) -> None:
    X = drawn(WHEELS, n, np.random.default_rng(seed))
    Z = lengths(WHEELS, X)
    Z[:, 1] = other
    Y = counts(WHEELS, Z)
    within = (Y[:, 2] > 8.0) & (Y[:, 2] < 36.0)
    off = np.abs(lengths(WHEELS, Y)[:, 2] - Z[:, 2])
    assert (off[within] <= 0.5 * SIZES[other] * (1.0 + 1e-12)).all()
    assert ((WHEELS.low <= Y) & (WHEELS.high >= Y)).all()


CHAIN = columns(
    [0.0, 9.0, 10.0, 1.0, 2.0], [2.0, 24.0, 36.0, 4.0, 8.0], ["choice", "whole", "whole", "whole", "real"],
    counted={
        2: Counted(((0, SIZES),), (Off(0.5, of=1),)),
        1: Counted(((0, SIZES),)),
        4: Counted(((3, np.arange(5.0)), (0, 1.0 / SIZES))),
    },
)  # fmt: skip


@given(st.integers(0, 2**32), st.integers(1, 40), st.integers(9, 24))
def test_a_larger_wheel_leaves_as_much_free_chain(seed: int, n: int, teeth: int) -> None:
    """Links less half the teeth, times the pitch: within half a pitch, and whole again from its own lengths."""
    X = drawn(CHAIN, n, np.random.default_rng(seed))
    Z, pitch = lengths(CHAIN, X), SIZES[X[:, 0].astype(int)]
    np.testing.assert_allclose(counts(CHAIN, Z), X, rtol=1e-12)
    inner = CHAIN.measured
    assert ((inner.low <= Z) & (inner.high >= Z)).all()
    Z[:, 1] = teeth * pitch
    Y = counts(CHAIN, Z)
    assert (Y[:, 1] == teeth).all()
    within = (Y[:, 2] > 10.0) & (Y[:, 2] < 36.0)
    off = np.abs((Y[:, 2] - Y[:, 1] / 2.0) - (X[:, 2] - X[:, 1] / 2.0))
    assert (off[within] <= 0.5 + 1e-9).all()


@given(st.integers(0, 2**32), st.integers(1, 40), st.integers(1, 4))
def test_a_real_size_goes_with_a_number_and_against_a_choice(
    seed: int, n: int, number: int
) -> None:
    """As a face width with pairs of planets: the product stays where the bounds let it, unrounded."""
    X = drawn(CHAIN, n, np.random.default_rng(seed))
    Z = lengths(CHAIN, X)
    Z[:, 3] = number
    Y = counts(CHAIN, Z)
    within = (Y[:, 4] > 2.0) & (Y[:, 4] < 8.0)
    np.testing.assert_allclose((Y[:, 4] * number)[within], (X[:, 4] * X[:, 3])[within], rtol=1e-12)


PINS = np.array([1.5, 2.0, 3.0])
ROUND = columns(
    [0.0, 9.0, 2.0, 0.0], [2.0, 24.0, 12.0, 2.0], ["choice", "whole", "real", "choice"],
    counted={
        1: Counted(((0, SIZES),), (Off(2.0 * np.pi, by=3, sizes=PINS),)), 2: Counted((), (Off(0.5, by=3, sizes=PINS),)),
    },
)  # fmt: skip


@given(st.integers(0, 2**32), st.integers(1, 40), st.integers(0, 2))
def test_another_pin_leaves_the_metal_round_it(seed: int, n: int, other: int) -> None:
    """A circle of pins grows by half of what the pin does, a wheel round them by all of it, within half a tooth."""
    X = drawn(ROUND, n, np.random.default_rng(seed))
    Z, pitch = lengths(ROUND, X), SIZES[X[:, 0].astype(int)]
    np.testing.assert_allclose(counts(ROUND, Z), X, rtol=1e-12)
    inside = ROUND.measured
    assert ((inside.low <= Z) & (inside.high >= Z)).all()
    grown = PINS[other] - PINS[X[:, 3].astype(int)]
    Z[:, 3] = other
    Y = counts(ROUND, Z)
    circle, wheel = (Y - X)[:, 2], (Y - X)[:, 1] * pitch / (2.0 * np.pi)
    free = (Y[:, 2] > 2.0) & (Y[:, 2] < 12.0)
    np.testing.assert_allclose(circle[free], 0.5 * grown[free], atol=1e-9)
    free = (Y[:, 1] > 9.0) & (Y[:, 1] < 24.0)
    assert (np.abs(wheel - grown)[free] <= 0.5 * pitch[free] / (2.0 * np.pi) + 1e-9).all()


def test_lengths_reach_only_as_far_as_the_sizes_that_may_be_chosen() -> None:
    one = columns(
        [1.0, 8.0], [1.0, 36.0], ["choice", "whole"], counted={1: Counted(((0, SIZES),))}
    ).measured
    assert (one.low[1], one.high[1]) == (40.0, 180.0)
    assert one.kinds == ("choice", "real")
    assert not one.counts.any()
    assert (WHEELS.measured.low[2], WHEELS.measured.high[2]) == (30.0, 36.0 * 6.35)
