import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.sections import (
    euler_load,
    hole_edge_stress,
    johnson_load,
    lever_bending_stress,
    net_second_moment,
    outer_edge_stress,
    strut_load,
)
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

MOMENT, WIDTH, SHARE, PLATE = (-9000.0, 9000.0), (4.0, 20.0), (0.05, 0.9), (0.5, 6.0)


@given(columns(MOMENT, WIDTH, SHARE, PLATE))
def test_lever_formulas_are_elementwise(inputs: list[Floats]) -> None:
    M, w, share, t = inputs
    check_elementwise(net_second_moment, w, share * w, t)
    for formula in (outer_edge_stress, hole_edge_stress, lever_bending_stress):
        check_elementwise(formula, M, w, share * w, t)


@given(columns(MOMENT, WIDTH, SHARE, PLATE))
def test_governing_stress_is_the_larger_of_both_edges(inputs: list[Floats]) -> None:
    M, w, share, t = inputs
    d = share * w
    outer, hole = outer_edge_stress(M, w, d, t), hole_edge_stress(M, w, d, t)
    np.testing.assert_allclose(
        np.abs(lever_bending_stress(M, w, d, t)),
        np.maximum(np.abs(outer), np.abs(hole)),
        rtol=1e-12,
    )


@given(columns(MOMENT, WIDTH, PLATE))
def test_governing_edge_changes_without_a_step(inputs: list[Floats]) -> None:
    """At d/w = 0.5 both edges carry M w / (2 I_net), to the last bit."""
    M, w, t = inputs
    assert np.array_equal(outer_edge_stress(M, w, w / 2, t), hole_edge_stress(M, w, w / 2, t))
    below, above = (lever_bending_stress(M, w, (0.5 + side) * w, t) for side in (-1e-9, 1e-9))
    np.testing.assert_allclose(below, above, rtol=1e-8)


@given(columns(MOMENT, WIDTH, PLATE))
def test_lever_without_hole_is_a_rectangle(inputs: list[Floats]) -> None:
    """6 M / (t w^2); any text on strength."""
    M, w, t = inputs
    np.testing.assert_allclose(lever_bending_stress(M, w, 0.0, t), 6 * M / (t * w * w), rtol=1e-12)


@given(columns(MOMENT, WIDTH, SHARE, PLATE))
def test_lever_stress_scales_with_moment_over_volume(inputs: list[Floats]) -> None:
    M, w, share, t = inputs
    d = share * w
    one = lever_bending_stress(M, w, d, t)
    assert np.array_equal(lever_bending_stress(-2 * M, w, d, t), -2 * one)
    assert np.array_equal(lever_bending_stress(M, 2 * w, 2 * d, 2 * t), one / 8)


STRUT = ((200.0, 1200.0), (5.0, 40.0), (60e3, 210e3), (2.0, 90.0), (10.0, 400.0))


@given(columns(*STRUT))
def test_strut_formulas_are_elementwise(inputs: list[Floats]) -> None:
    _, _, E, second_moment, length = inputs
    check_elementwise(euler_load, E, second_moment, length)
    check_elementwise(johnson_load, *inputs)
    check_elementwise(strut_load, *inputs)


@given(columns(*STRUT))
def test_strut_never_beats_yield_nor_euler(inputs: list[Floats]) -> None:
    Sy, area, E, second_moment, length = inputs
    strut = strut_load(*inputs)
    assert (strut > 0).all()
    assert (strut <= Sy * area * (1 + 1e-12)).all()
    assert (strut <= euler_load(E, second_moment, length) * (1 + 1e-12)).all()


@given(Sy=st.floats(200.0, 1200.0), area=st.floats(5.0, 40.0), second_moment=st.floats(2.0, 90.0))
def test_short_and_long_strut_meet_with_equal_slope(
    Sy: float, area: float, second_moment: float
) -> None:
    """Shigley, Johnson's parabola: tangent to Euler's curve at half the yield load (memory)."""
    E = 205e3
    meet = np.pi * np.sqrt(2 * E * second_moment / (Sy * area))
    lengths = meet * np.array([1 - 2e-4, 1 - 1e-4, 1 + 1e-4, 1 + 2e-4])
    load = strut_load(np.array(Sy), area, E, second_moment, lengths) / (Sy * area)
    assert load.mean() == pytest.approx(0.5, rel=1e-6)
    beyond = np.array(meet * 1.02)
    euler = euler_load(np.array(E), second_moment, beyond)
    assert strut_load(np.array(Sy), area, E, second_moment, beyond) == euler
    assert load[1] - load[0] == pytest.approx(load[3] - load[2], rel=1e-2)
