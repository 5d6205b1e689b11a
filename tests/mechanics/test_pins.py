import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.pins import (
    bearing_stress,
    bending_stress,
    carrying_pins,
    circle_pin_force,
    fork_moment,
    pin_combined,
    shear_stress,
    single_shear_moment,
    von_mises,
)
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

FORCE, DIAMETER, PLATE = (1.0, 2000.0), (1.0, 8.0), (0.5, 6.0)


@given(columns(FORCE, DIAMETER, (1.0, 2.0), PLATE, (0.0, 4.0), PLATE))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    F, d, planes, t_fork, gap, t_mid = inputs
    check_elementwise(shear_stress, F, d, planes)
    check_elementwise(fork_moment, F, t_fork, gap, t_mid)
    check_elementwise(bending_stress, F, d)
    check_elementwise(von_mises, F, t_fork)
    check_elementwise(bearing_stress, F, d, t_mid)
    check_elementwise(pin_combined, F, d, planes, t_fork, gap, t_mid)
    check_elementwise(single_shear_moment, F, t_fork, t_mid, planes > 1.5)
    check_elementwise(circle_pin_force, F, planes, d)
    check_elementwise(carrying_pins, np.floor(d), planes / 2.0)


@given(columns(FORCE, DIAMETER, PLATE, (0.0, 4.0), PLATE))
def test_stress_follows_force_and_inverse_area(inputs: list[Floats]) -> None:
    """Twice the force gives twice the stress; a joint twice as large in all sizes a quarter."""
    F, d, t_fork, gap, t_mid = inputs
    one = pin_combined(F, d, 2.0, t_fork, gap, t_mid)
    assert np.array_equal(pin_combined(2 * F, d, 2.0, t_fork, gap, t_mid), 2 * one)
    large = pin_combined(F, 2 * d, 2.0, 2 * t_fork, 2 * gap, 2 * t_mid)
    assert np.array_equal(large, one / 4)


@given(columns(FORCE, PLATE, (0.0, 4.0), PLATE))
def test_fork_moment_is_the_moment_of_the_spread_pressures(inputs: list[Floats]) -> None:
    """Slow twin: half a pin cut into thin slices, moments of all slices about mid-pin."""
    F, t_fork, gap, t_mid = (x[:1] for x in inputs)
    slices = (np.arange(1000) + 0.5) / 1000
    fork_places = t_mid / 2 + gap + t_fork * slices
    eye_places = t_mid / 2 * slices
    slow = F / 2 * (fork_places.mean() - eye_places.mean())
    assert fork_moment(F, t_fork, gap, t_mid) == pytest.approx(slow, rel=1e-9)


@given(columns(FORCE, DIAMETER, PLATE, (0.0, 4.0), PLATE))
def test_combined_stress_is_above_each_part_and_below_their_sum(inputs: list[Floats]) -> None:
    F, d, t_fork, gap, t_mid = inputs
    shear = np.sqrt(3.0) * shear_stress(F, d, 2)
    bending = bending_stress(fork_moment(F, t_fork, gap, t_mid), d)
    both = pin_combined(F, d, 2, t_fork, gap, t_mid)
    assert (both >= np.maximum(shear, bending) * (1 - 1e-12)).all()
    assert (both <= (shear + bending) * (1 + 1e-12)).all()


@given(columns(FORCE, DIAMETER))
def test_second_shear_plane_halves_the_stress(inputs: list[Floats]) -> None:
    F, d = inputs
    assert np.array_equal(shear_stress(F, d, 2), shear_stress(F, d, 1) / 2)


@given(columns((-900.0, 900.0), (-900.0, 900.0)))
def test_von_mises_does_not_see_signs(inputs: list[Floats]) -> None:
    sigma, tau = inputs
    assert np.array_equal(von_mises(sigma, tau), von_mises(-sigma, -tau))
    assert np.array_equal(von_mises(sigma, 0.0), np.abs(sigma))
    np.testing.assert_allclose(von_mises(0.0 * tau, tau), np.sqrt(3.0) * np.abs(tau), rtol=1e-12)


@given(columns(FORCE, PLATE, PLATE))
def test_clamped_plates_halve_the_moment_and_sides_may_swap(inputs: list[Floats]) -> None:
    F, t1, t2 = inputs
    yes, no = np.array(True), np.array(False)
    loose = single_shear_moment(F, t1, t2, no)
    assert np.array_equal(single_shear_moment(F, t1, t2, yes), loose / 2)
    assert np.array_equal(single_shear_moment(F, t2, t1, no), loose)


def test_loose_drive_pin_is_a_cantilever_between_the_plates_middles() -> None:
    """100 N, plates of 2 and 4: the middles are 3 apart."""
    assert single_shear_moment(np.array(100.0), 2.0, 4.0, np.array(False)) == 300.0


@given(n=st.integers(1, 12), share=st.floats(0.1, 1.0))
def test_pins_counted_on_lie_between_one_and_all(n: int, share: float) -> None:
    counted = carrying_pins(np.array(float(n)), share)
    assert 1.0 <= counted <= n
    assert carrying_pins(np.array(float(n)), 1.0) == n


@given(T=st.floats(1.0, 1e5), n=st.integers(1, 8), r=st.floats(3.0, 20.0))
def test_pins_of_a_circle_balance_the_torque(T: float, n: int, r: float) -> None:
    force = circle_pin_force(np.array(T), float(n), r)
    assert n * force * r == pytest.approx(T, rel=1e-12)
