import moocore
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.search.measure import (
    REFERENCE,
    Box,
    Course,
    agree,
    growth,
    hypervolume,
    spread,
    still,
)

UNIT = Box(np.zeros(2), np.ones(2))
FREE = np.full(2, -np.inf)


def test_volumes_worked_by_hand() -> None:
    """Rectangles up to 1.1."""
    assert hypervolume(np.array([[0.0, 0.0]]), FREE, UNIT) == pytest.approx(1.21, rel=1e-12)
    two = np.array([[0.1, 0.6], [0.6, 0.1]])
    assert hypervolume(two, FREE, UNIT) == pytest.approx(2 * 0.5 - 0.25, rel=1e-12)
    assert hypervolume(np.array([[1.1, 0.0], [2.0, -5.0]]), FREE, UNIT) == 0.0
    assert hypervolume(np.empty((0, 2)), FREE, UNIT) == 0.0


def test_beyond_enough_nothing_is_gained() -> None:
    enough = np.array([0.5, -np.inf])
    a = hypervolume(np.array([[0.5, 0.2]]), enough, UNIT)
    assert hypervolume(np.array([[0.1, 0.2]]), enough, UNIT) == a == pytest.approx(0.6 * 0.9)


@given(st.integers(0, 2**32), st.integers(2, 4))
def test_volume_against_counting_random_points(seed: int, aims: int) -> None:
    rng = np.random.default_rng(seed)
    F, points = rng.random((6, aims)), rng.random((4000, aims)) * 1.1
    covered = (F[:, None, :] <= points).all(axis=2).any(axis=0).mean()
    box = Box(np.zeros(aims), np.ones(aims))
    volume = hypervolume(F, np.full(aims, -np.inf), box) / 1.1**aims
    # Standard deviation of a share of 4000 is at most 0.0079; six of them.
    assert volume == pytest.approx(covered, abs=0.048)


@given(st.integers(0, 2**32), st.integers(2, 6), st.integers(1, 60), st.integers(1, 80))
def test_a_stack_of_slices_is_the_whole(seed: int, aims: int, rows: int, levels: int) -> None:
    """Against the library's own figure, with an aim of few levels in any place; over 64 it is not cut."""
    rng = np.random.default_rng(seed)
    F = rng.random((rows, aims)) * 1.2
    F[:, rng.integers(aims)] = rng.integers(0, levels, rows) / levels
    inside = F[(F < REFERENCE).all(axis=1)]
    whole = moocore.hypervolume(inside, ref=np.full(aims, REFERENCE)) if len(inside) else 0.0
    box = Box(np.zeros(aims), np.ones(aims))
    assert hypervolume(F, np.full(aims, -np.inf), box) == pytest.approx(whole, rel=1e-12)


def test_a_box_without_room_is_refused() -> None:
    with pytest.raises(ValueError, match="above its ideal"):
        Box(np.zeros(2), np.array([1.0, 0.0]))


def course(volume: np.ndarray, each: float = 100.0) -> Course:
    return Course(each * np.arange(1.0, len(volume) + 1.0), volume)


def flat(n: int, end: float = 1.0) -> Course:
    return course(np.full(n, end))


def test_still_is_growth_under_a_thousandth_in_the_last_quarter_and_twenty_rounds() -> None:
    assert still(flat(20))
    assert not still(flat(19))
    assert not still(flat(40, 0.0))
    grown = np.ones(40)
    grown[30:] = 1.0 + 1.5e-3  # within the last quarter, which begins after round 30
    assert not still(course(grown))
    grown[29] = grown[30]
    assert still(course(grown))
    grown[29:] = 1.0
    grown[30:] = 1.0 + 0.5e-3
    assert still(course(grown))


def test_seeds_agree_within_two_percent() -> None:
    assert agree([1.0, 0.981])
    assert not agree([1.0, 0.979])
    assert not agree([1.0])
    assert not agree([0.0, 0.0])


def test_growth_and_spread_worked_by_hand() -> None:
    """Rounds of 100 drives: the last quarter of 800 begins after round 6."""
    volume = np.array([0.1, 0.2, 0.3, 0.4, 0.45, 0.46, 0.49, 0.5])
    assert growth(course(volume)) == pytest.approx((0.5 - 0.46) / 0.5, rel=1e-12)
    assert growth(course(np.zeros(8))) is None
    assert growth(course(volume[:0])) is None
    assert growth(course(volume[-1:])) is None  # nothing was measured before its last quarter
    assert spread([0.5, 0.45]) == pytest.approx(0.1, rel=1e-12)
    assert spread([0.0, 0.0]) is None
