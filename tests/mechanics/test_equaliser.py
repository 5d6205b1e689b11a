"""Equalisers: law of the lever, virtual work by complex step, symmetry, published limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics import equaliser as eq
from explorer.mechanics import ratio

arms = st.floats(5.0, 20.0)
offsets = st.floats(-2.0, 4.0)
draws = st.floats(0.0, 6.0)
STEP = 1e-30


@given(arms, arms, offsets, draws, draws)
def test_bar_share_is_the_slope_of_its_draw(
    l_a: float, l_b: float, e: float, s_a: float, s_b: float
) -> None:
    """P dy = T_a ds_a + T_b ds_b: c_a = dy/ds_a (virtual work, parallel links)."""

    def draw(a: complex, b: complex) -> complex:
        phi = eq.bar_tilt(eq.bar_sine(np.array(a), np.array(b), l_a + l_b))
        return complex(eq.bar_draw(np.array(a), np.array(b), l_a, l_b, e, phi))

    phi = eq.bar_tilt(eq.bar_sine(np.array(s_a), np.array(s_b), np.array(l_a + l_b)))
    share = float(eq.bar_plain_share(np.array(l_a), np.array(l_b), np.array(e), phi))
    assert draw(complex(s_a, STEP), s_b).imag / STEP == pytest.approx(share, abs=1e-12)
    assert draw(s_a, complex(s_b, STEP)).imag / STEP == pytest.approx(1.0 - share, abs=1e-12)


def test_offset_toward_the_pull_centres_itself() -> None:
    """l 10/10, e 3, draws 10 and 2: c_a 0.4345, the further drawn side gets less."""
    phi = eq.bar_tilt(eq.bar_sine(np.array(10.0), np.array(2.0), np.array(20.0)))
    assert float(
        eq.bar_plain_share(np.array(10.0), np.array(10.0), np.array(3.0), phi)
    ) == pytest.approx(0.4345, abs=5e-5)


@given(st.floats(6.0, 15.0), st.floats(6.0, 15.0), draws, draws)
def test_gear_split_is_the_mean_turn(r_a: float, r_b: float, y_a: float, y_b: float) -> None:
    """Y/a2 = (y_a/r_a + y_b/r_b)/2 with a2 = 2 r_a r_b/(r_a + r_b): the cage turns by the mean."""
    Y = eq.gear_split_draw(*(np.array(v) for v in (y_a, y_b, r_a, r_b)))
    one = np.array(1.0)
    a2 = eq.gear_split_arm(np.array(r_a), np.array(r_b), one, one)
    assert float(Y / a2) == pytest.approx((y_a / r_a + y_b / r_b) / 2.0)
    share = float(eq.gear_split_share(np.array(r_a), np.array(r_b), one, one))
    assert share == pytest.approx(r_b / (r_a + r_b))


def test_gear_split_skew_of_three_meshes_at_ninety_per_cent_locking() -> None:
    """Locking ratio r = eta^n: lower share r/(1 + r); r = 0.9 gives 0.4737."""
    eta = 0.9 ** (1 / 3)
    assert 0.5 - float(eq.gear_split_skew(np.array(eta), 3)) == pytest.approx(0.9 / 1.9)


def test_a_wheel_in_one_line_shares_by_its_strands() -> None:
    """Strand forces are equal: a strand at 60 degrees pulls half as much along y as one at 0."""
    assert float(eq.wheel_share(np.array(0.5), np.array(1.0))) == pytest.approx(1 / 3)


@given(st.floats(10.0, 30.0), st.floats(-0.8, 0.0), st.floats(0.0, 8.0), st.floats(-0.3, 0.3))
def test_rocker_arm_is_the_slope_of_its_draw(r: float, rest: float, Y: float, beta: float) -> None:
    """dX/dY = a1/a2 on the skeleton, by complex step."""
    theta = ratio.rocker_angle(
        ratio.rocker_sine(np.array(complex(Y, STEP)), np.array(r), np.array(rest))
    )
    X = ratio.rocker_stroke(theta, np.array(1.5 * r), np.array(rest), np.array(beta))
    at = np.real(theta)
    a1 = ratio.rocker_arm(np.array(1.5 * r), at + beta, np.array(0.0))
    a2 = ratio.rocker_arm(np.array(r), at, np.array(0.0))
    assert float(np.imag(X)) / STEP == pytest.approx(float(a1 / a2), rel=1e-10)


@pytest.mark.parametrize("dogleg", [-25.0, 10.0])
def test_a_rocker_s_input_has_moved_by_its_pin_s_rise_since_rest(dogleg: float) -> None:
    """A bent rocker of 20 mm from 30 degrees below square to 15 above, by its pin's coordinates; at rest by nothing."""
    r, beta = np.array(20.0), np.radians(np.array(dogleg))
    rest, theta = np.radians(np.array(-30.0)), np.radians(np.array(15.0))
    pin = 20.0 * np.exp(1j * np.radians([-30.0 + dogleg, 15.0 + dogleg]))
    assert ratio.rocker_stroke(rest, r, rest, beta) == pytest.approx(0.0, abs=1e-12)
    assert ratio.rocker_stroke(theta, r, rest, beta) == pytest.approx(pin[1].imag - pin[0].imag)
