import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.chain import (
    arm_max_plain,
    arm_max_toothed,
    arm_min_toothed,
    articulation_angle,
    least_teeth,
    mean_arm_plain,
    mean_arm_toothed,
    most_teeth,
    pitch_radius,
    plain_arm_min,
    ripple_factor,
    tip_radius,
)
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

PITCH, TEETH, CORE, HEIGHT = (4.0, 13.0), (6.0, 40.0), (2.0, 20.0), (3.0, 12.0)


@given(columns(PITCH, TEETH, CORE, HEIGHT))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    p, z, core, h = inputs
    for formula in (pitch_radius, mean_arm_toothed, arm_max_toothed, arm_min_toothed, tip_radius):
        check_elementwise(formula, p, z)
    check_elementwise(plain_arm_min, core, h)
    check_elementwise(arm_max_plain, core, h, p)
    check_elementwise(mean_arm_plain, core, h, p)
    check_elementwise(ripple_factor, core, core + h, z + p, z)
    check_elementwise(articulation_angle, p, core)


@given(columns(PITCH, TEETH, CORE, HEIGHT))
def test_mean_arm_lies_between_least_and_largest(inputs: list[Floats]) -> None:
    p, z, core, h = inputs
    assert (arm_min_toothed(p, z) < mean_arm_toothed(p, z)).all()
    assert (mean_arm_toothed(p, z) < arm_max_toothed(p, z)).all()
    assert (plain_arm_min(core, h) < mean_arm_plain(core, h, p)).all()
    assert (mean_arm_plain(core, h, p) < arm_max_plain(core, h, p)).all()


@given(columns(PITCH, TEETH, CORE, HEIGHT))
def test_arms_double_with_all_sizes(inputs: list[Floats]) -> None:
    p, z, core, h = inputs
    for formula in (mean_arm_toothed, arm_max_toothed, arm_min_toothed):
        assert np.array_equal(formula(2 * p, z), 2 * formula(p, z))
    for plain in (arm_max_plain, mean_arm_plain):
        assert np.array_equal(plain(2 * core, 2 * h, 2 * p), 2 * plain(core, h, p))


@given(z=st.integers(6, 40), p=st.floats(4.0, 13.0), h=st.floats(3.0, 6.0))
def test_drum_of_a_toothed_wheels_flat_has_its_arms(z: int, p: float, h: float) -> None:
    """Links that lie as a closed polygon do not know whether teeth or the core hold them."""
    pitch = np.array(p)
    core = arm_min_toothed(pitch, z) - h / 2
    assert mean_arm_plain(core, h, p) == pytest.approx(mean_arm_toothed(pitch, z), rel=1e-12)
    assert arm_max_plain(core, h, p) == pytest.approx(arm_max_toothed(pitch, z), rel=1e-12)


@given(z=st.integers(6, 40))
def test_mean_arm_is_the_draw_of_a_turning_polygon(z: int) -> None:
    """Slow twin: the strand's arm over one tooth, r cos(angle from mid-link), averaged."""
    p = np.array(6.35)
    angle = (np.arange(20_000) + 0.5) / 20_000 * 2 * np.pi / z - np.pi / z
    arm = arm_max_toothed(p, z) * np.cos(angle)
    assert arm.mean() == pytest.approx(mean_arm_toothed(p, z), rel=1e-8)


@given(columns(PITCH, TEETH))
def test_one_turn_bends_a_joint_once_a_tooth(inputs: list[Floats]) -> None:
    p, z = inputs
    np.testing.assert_allclose(
        z * articulation_angle(p, mean_arm_toothed(p, z)), 2 * np.pi, rtol=1e-12
    )


@given(columns(PITCH, TEETH, TEETH))
def test_ripple_costs_force_and_fades_with_more_teeth(inputs: list[Floats]) -> None:
    p, z_1, z_2 = inputs

    def ripple(more: float) -> Floats:
        one, two = z_1 + more, z_2 + more
        return ripple_factor(
            arm_min_toothed(p, one),
            mean_arm_toothed(p, one),
            arm_max_toothed(p, two),
            mean_arm_toothed(p, two),
        )

    assert (ripple(0.0) < 1.0).all()
    assert (ripple(1.0) > ripple(0.0)).all()
    np.testing.assert_allclose(ripple(1e4), 1.0, atol=1e-6)


@pytest.mark.parametrize(("p", "roller"), [(6.35, 3.30), (8.0, 5.0), (9.525, 6.35), (12.7, 8.51)])
@pytest.mark.parametrize("z", [9, 11, 13, 17, 25])
def test_tip_radius_lies_in_the_standards_range(p: float, roller: float, z: int) -> None:
    """ISO 606: tip diameter from d + p(1 - 1.6/z) - d1 to d + 1.25 p - d1 (from memory)."""
    d = 2 * pitch_radius(np.array(p), z)
    low, high = d + p * (1 - 1.6 / z) - roller, d + 1.25 * p - roller
    assert low < 2 * tip_radius(np.array(p), z) < high


@given(p=st.floats(2.0, 13.0), z=st.floats(5.0, 80.0))
def test_teeth_for_a_least_arm_are_those_that_have_it(p: float, z: float) -> None:
    """There and back by `arm_min_toothed`, which has its own examples."""
    arm = arm_min_toothed(np.array(p), z)
    assert float(least_teeth(np.array(p), arm)) == pytest.approx(z, rel=1e-9)


@given(p=st.floats(2.0, 13.0), h=st.floats(0.5, 1.0), z=st.floats(8.0, 60.0))
def test_the_most_teeth_within_a_radius_just_touch_it(p: float, h: float, z: float) -> None:
    """By tips or by the chain's plates, h times the pitch high, whichever reach further."""
    plates = h * p
    r = max(float(tip_radius(np.array(p), z)), float(pitch_radius(np.array(p), z)) + plates / 2.0)
    assert float(most_teeth(np.array(p), plates, r)) == pytest.approx(z, rel=1e-9)


def test_teeth_by_hand() -> None:
    """Pitch 3.75, worked by hand: an arm of 8.82 mm is that of 15 teeth, 3.75 / (2 tan 12 deg) = 8.8212.

    Within 15 mm, plates 3.4 high: asin(3.75 / 26.6) = 8.104 deg, so 22.2 teeth; the tips, acot(7.4) =
    7.696 deg, would let 23.4.
    """
    p = np.array(3.75)
    assert least_teeth(p, 8.8212) == pytest.approx(15.0, abs=1e-3)
    assert most_teeth(p, 3.4, 15.0) == pytest.approx(180.0 / 8.104, abs=0.01)
    assert most_teeth(p, 0.1, 15.0) == pytest.approx(180.0 / 7.696, abs=0.01)
