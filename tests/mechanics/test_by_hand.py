"""Small formulas with round numbers that the head can check."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics import bearings, guard, settle
from explorer.mechanics import equaliser as eq
from explorer.mechanics.types import Floats


def a(x: complex) -> Floats:
    return np.array([x])


def test_an_equaliser_with_round_numbers() -> None:
    """Brackets 2 and 3, friction couple 1 mm: shares 3/5 and 2/5, a fifth of the pull held as skew."""
    assert eq.share_of_a(a(2.0), a(3.0))[0] == 0.6
    assert eq.bar_skew(a(1.0), a(2.0), a(3.0))[0] == 0.2
    assert eq.arm_outward(a(10.0), a(2.0), a(0.5))[0] == 9.0
    assert eq.arm_outward(a(1.0), a(2.0), a(0.6))[0] == 1e-3  # turned over: held above nothing
    assert eq.bar_draw(a(4.0), a(1.0), a(10.0), a(5.0), a(2.0), a(0.0))[0] == 2.0


def test_three_pins_rub_each_under_its_own_load() -> None:
    """mu 0.1; pins 4, 3, 2 mm under 1, 0.4 and 0.6: 0.05 (4 + 1.2 + 1.2); at 60 degrees twice that."""
    one, half = a(1.0), a(0.5)
    pins = (a(0.1), a(4.0), a(3.0), a(2.0), a(0.4), a(0.6))
    assert eq.pin_couple(*pins, one, one, one)[0] == pytest.approx(0.32, rel=1e-12)
    assert eq.pin_couple(*pins, half, half, half)[0] == pytest.approx(0.64, rel=1e-12)
    assert eq.pin_couple(*pins, one, half, one)[0] == pytest.approx(0.38, rel=1e-12)
    assert eq.pin_couple(*pins, one, one, half)[0] == pytest.approx(0.38, rel=1e-12)


def test_a_floating_wheel_with_round_numbers() -> None:
    """Axle 4 mm at 0.1, chain pins 2 mm at 0.3, wheel 10 mm: (0.4 + 0.6)/20; draws 3 and 5: 4."""
    assert eq.wheel_skew(a(0.1), a(4.0), a(0.3), a(2.0), a(10.0))[0] == pytest.approx(0.05)
    assert eq.wheel_draw(a(3.0), a(5.0))[0] == 4.0


def test_a_leaning_link_is_a_right_triangle() -> None:
    """3-4-5: 3 mm sideways on 5 mm."""
    sine = settle.lean_sine(a(3.0), a(5.0))
    assert sine[0] == 0.6
    assert settle.lean_tan(sine)[0] == pytest.approx(0.75, rel=1e-12)
    assert settle.lean_cos(sine)[0] == pytest.approx(0.8, rel=1e-12)


@given(st.floats(-3.0, 3.0), st.floats(0.1, 0.99))
def test_guards_hold_numbers_and_let_derivatives_through(u: float, cap: float) -> None:
    inside = guard.clip_sine(a(u), cap)[0]
    assert inside == sorted((-cap, u, cap))[1]
    assert abs(abs(u) - guard.overshoot(a(u), cap)[0]) <= cap * (1.0 + 1e-12)
    assert guard.overshoot(a(u), cap)[0] == pytest.approx(abs(u - inside), abs=1e-15)
    assert guard.at_least(a(u), cap)[0] == max(u, cap)
    step = complex(u, 1e-30)
    assert guard.clip_sine(a(step), cap)[0] == guard.at_least(a(step), cap)[0] == step


def test_the_cap_is_about_seventy_two_degrees() -> None:
    assert np.degrees(np.arcsin(guard.SINE_CAP)) == pytest.approx(72.0, abs=0.3)


def test_a_bearing_at_e_still_counts_its_radial_load_only() -> None:
    """ISO 281: the axial factor is for Fa/Fr above e. Fa/C0 0.056 has e 0.26."""
    at = bearings.dynamic_equivalent(a(1000.0), a(260.0), 260.0 / 0.056)
    assert at[0] == 1000.0
    assert bearings.dynamic_equivalent(a(1000.0), a(262.0), 262.0 / 0.056)[0] > 1000.0


def test_one_thrust_bearing_alone_holds_no_tilt() -> None:
    """With one thrust and two radial bearings 10 mm apart, the radial ones hold 500 N mm: 50 N each."""
    found = bearings.share(a(20.0), a(80.0), a(500.0), (True, False, False), (0.0, -5.0, 5.0))
    assert [x[0] for x in found.radial] == [0.0, 60.0, 60.0]
    assert [x[0] for x in found.axial] == [80.0, 80.0, 80.0]
    assert [x[0] for x in found.moment] == [0.0, 0.0, 0.0]


def test_unequal_thrust_bearings_tilt_by_the_smaller() -> None:
    """0.01 mm and 0.02 mm of play over 15 and 20 mm: 0.03/15 either way, the safe side."""
    assert bearings.tilt_play_thrust((0.01, 0.02), (15.0, 20.0)) == pytest.approx(0.002)
