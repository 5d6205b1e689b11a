import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.types import Floats
from explorer.mechanics.wear import depth_per_grip, lengthening, weeks_until
from tests.mechanics.elementwise import check_elementwise, columns

RANGES = ((1e-10, 1e-6), (1.0, 500.0), (0.0, 3.0), (0.5, 8.0))


@given(columns(*RANGES))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    check_elementwise(depth_per_grip, *inputs)
    check_elementwise(weeks_until, inputs[1], inputs[0])
    check_elementwise(lengthening, inputs[0], inputs[3])


@given(columns(*RANGES))
def test_depth_is_in_step_with_rate_force_and_swing(inputs: list[Floats]) -> None:
    k, Q, swing, t = inputs
    one = depth_per_grip(k, Q, swing, t)
    assert np.array_equal(depth_per_grip(2 * k, 2 * Q, 2 * swing, 2 * t), 4 * one)
    assert (one >= 0).all()


@given(columns(*RANGES), st.floats(1.0, 8.0))
def test_worn_volume_is_archards_whatever_the_diameter(inputs: list[Floats], d: float) -> None:
    """Pin and hole each lose k Q times the way slid, from the projected area d t."""
    k, Q, swing, t = inputs
    slid = swing * d / 2
    one_surface = k * Q * slid / (d * t)
    np.testing.assert_allclose(depth_per_grip(k, Q, swing, t), 2 * one_surface, rtol=1e-12)


@given(limit=st.floats(0.01, 1.0), per_week=st.floats(1e-6, 0.1))
def test_limit_is_reached_after_the_weeks_given(limit: float, per_week: float) -> None:
    weeks = weeks_until(np.array(limit), per_week)
    assert weeks * per_week == pytest.approx(limit, rel=1e-12)


@pytest.mark.usefixtures("strict_numpy")
def test_joint_that_does_not_wear_lasts_for_ever() -> None:
    assert weeks_until(np.array([0.15, 0.15]), np.array([0.0, 0.15])).tolist() == [np.inf, 1.0]


def test_chain_grows_by_the_play_of_each_joint() -> None:
    """A pitch of 6.35 whose joints have worn by 0.127 mm each is 2 % longer."""
    assert lengthening(np.array(0.127), 6.35) == pytest.approx(0.02)
