"""The way from open to a grip: springs against shares, clipped at contact."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.types import Floats
from explorer.scoring.stops import STOPS, closing_path

FINGERS = 4


def column(low: float, high: float) -> st.SearchStrategy[Floats]:
    values = st.floats(low, high, allow_subnormal=False)
    return st.lists(values, min_size=FINGERS, max_size=FINGERS).map(np.array)


@given(column(0.5, 16.0), column(0.1, 0.4), column(0.0, 5.0), column(0.02, 0.5))
def test_every_stop_balances_springs_and_shares(
    draw: Floats, share: Floats, T0: Floats, k: Floats
) -> None:
    path = closing_path(1, "grip", draw, share, T0, k)
    for s, P in zip(path.draw, path.pull, strict=True):
        free = np.clip((share * P - T0) / k, 0.0, draw)
        np.testing.assert_allclose(s, free, rtol=0.0, atol=1e-7)


@given(column(0.0, 16.0), column(0.1, 0.4), column(0.0, 5.0), column(0.0, 0.5))
def test_a_path_begins_open_ends_at_contact_and_never_goes_back(
    draw: Floats, share: Floats, T0: Floats, k: Floats
) -> None:
    path = closing_path(1, "grip", draw, share, T0, k)
    assert path.draw.shape == (STOPS, FINGERS)
    assert not path.draw[0].any()
    np.testing.assert_array_equal(path.draw[-1], draw)
    assert (np.diff(path.draw, axis=0) >= -1e-12).all()
    assert (np.diff(path.pull) >= -1e-12).all()
    total = path.draw.sum(axis=1)
    np.testing.assert_allclose(np.diff(total), draw.sum() / (STOPS - 1), atol=1e-9)


def test_without_springs_all_fingers_draw_equal_fractions() -> None:
    draw, zero = np.array([8.0, 12.0]), np.zeros(2)
    path = closing_path(1, "grip", draw, np.array([0.7, 0.3]), zero, zero, 9)
    np.testing.assert_allclose(path.draw, np.linspace(0.0, 1.0, 9)[:, None] * draw)


def test_springs_without_rate_close_one_after_the_other() -> None:
    """2 N at half of the pull gives way at 4 N, 3 N at 6 N: the first is in before the other starts."""
    draw = np.array([6.0, 6.0])
    path = closing_path(
        1, "grip", draw, np.array([0.5, 0.5]), np.array([2.0, 3.0]), np.zeros(2), 13
    )
    np.testing.assert_allclose(path.draw[:7, 0], np.arange(7.0), atol=1e-12)
    assert not path.draw[:7, 1].any()
    np.testing.assert_allclose(path.draw[6:, 1], np.arange(7.0), atol=1e-12)
    np.testing.assert_allclose(path.pull[[1, 5, 7, 11]], [4.0, 4.0, 6.0, 6.0])


def test_fewer_than_nine_stops_are_refused() -> None:
    one = np.ones(2)
    with pytest.raises(ValueError, match="at least 9"):
        closing_path(1, "grip", one, one / 2.0, one, one, 8)
