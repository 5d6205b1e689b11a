import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.gears import (
    LEAST_TEETH,
    LEWIS_TABLE,
    PRESSURE_ANGLE,
    assembly_remainder,
    bore_wall,
    centre_distance,
    least_pinion_teeth,
    least_teeth_round,
    lewis_factor,
    pitch_radius,
    planet_pin_factor,
    planet_tip_fits,
    tooth_stress,
)
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

TEETH = st.integers(13, 60)
SHARE, ALL = st.floats(0.0, 1.0), st.just((1.0, 1.0))


@given(columns((1.0, 900.0), (2.0, 8.0), (0.4, 1.5), (13.0, 60.0), (13.0, 40.0), (1.0, 3.0)))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    F, face, module, z_1, z_2, n = inputs
    check_elementwise(pitch_radius, module, z_1)
    check_elementwise(centre_distance, module, z_1, z_2)
    check_elementwise(bore_wall, module, z_1, face)
    check_elementwise(least_pinion_teeth, n)
    check_elementwise(lewis_factor, z_1)
    check_elementwise(tooth_stress, F, face, module, z_1)
    check_elementwise(planet_pin_factor, z_1, z_2)
    check_elementwise(planet_tip_fits, n, z_1, z_2)
    whole = [np.floor(x) for x in (z_1, z_2, n)]
    check_elementwise(assembly_remainder, *whole)


def test_lewis_table_rises_and_flattens() -> None:
    """A tooth stiffens with every further tooth of the wheel, ever more slowly, up to the rack."""
    z, Y = np.array(list(LEWIS_TABLE)), np.array(list(LEWIS_TABLE.values()))
    assert (np.diff(z) > 0).all()
    assert (np.diff(Y) > 0).all()
    assert Y[-1] < 0.485


@given(z=st.floats(12.0, 400.0))
def test_lewis_factor_lies_between_its_neighbours(z: float) -> None:
    low = max(row for row in LEWIS_TABLE if row <= z)
    high = min(row for row in LEWIS_TABLE if row >= z)
    assert LEWIS_TABLE[low] <= lewis_factor(np.array(z)) <= LEWIS_TABLE[high]


def test_lewis_factor_refuses_fewer_teeth_than_the_table() -> None:
    with pytest.raises(ValueError, match="12 teeth"):
        lewis_factor(np.array([11, 20]))


def test_lewis_factor_of_a_rack_is_the_last_row() -> None:
    assert lewis_factor(np.array(10_000)) == LEWIS_TABLE[400]


@given(columns((1.0, 900.0), (2.0, 8.0), (0.4, 1.5), (13.0, 60.0)))
def test_tooth_stress_scales(inputs: list[Floats]) -> None:
    F, face, module, z = inputs
    one = tooth_stress(F, face, module, z)
    assert np.array_equal(tooth_stress(2 * F, face, module, z), 2 * one)
    assert np.array_equal(tooth_stress(F, 2 * face, 2 * module, z), one / 4)


def test_least_teeth_of_a_pair_agree_with_the_constant() -> None:
    assert np.ceil(least_pinion_teeth(np.array(1.0))) == LEAST_TEETH


@given(ratio=st.floats(1.0, 30.0))
def test_larger_gear_and_flatter_flank_ask_for_more_teeth(ratio: float) -> None:
    here = least_pinion_teeth(np.array(ratio))
    assert least_pinion_teeth(np.array(ratio + 1.0)) > here
    assert least_pinion_teeth(np.array(ratio), np.radians(25.0)) < here
    assert here < 2.0 / np.sin(PRESSURE_ANGLE) ** 2


@given(z_side=TEETH, z_planet=TEETH, alpha=st.floats(0.0, 0.5), part=st.tuples(SHARE, SHARE) | ALL)
def test_planet_pin_carries_both_tooth_forces(
    z_side: int, z_planet: int, alpha: float, part: tuple[float, float]
) -> None:
    """Slow twin: draw the gears, add the two tooth forces as vectors, for both hands of turning.

    Side gear at the origin, one planet on the x axis, its partner at the same radius with the
    pitch circles touching. On each mesh a force of 1 along the pitch circles and tan(alpha) away
    from the mate; on a planet that turns free both tangential forces turn it opposite ways.
    Of each a part comes to the support that is looked at.
    """
    r_s, r_p = z_side / 2, z_planet / 2
    psi = np.arcsin(r_p / (r_s + r_p))
    planet = np.array([r_s + r_p, 0.0])
    partner = (r_s + r_p) * np.array([np.cos(2 * psi), np.sin(2 * psi)])
    assert np.hypot(*(partner - planet)) == pytest.approx(2 * r_p)
    found = []
    for hand in (1.0, -1.0):
        total = np.zeros(2)
        for mate, turn, share in ((np.zeros(2), hand, part[0]), (partner, -hand, part[1])):
            away = (planet - mate) / np.hypot(*(planet - mate))
            # -away points from the planet's axis to the mesh; a quarter turn on is the circle.
            along = turn * np.array([away[1], -away[0]])
            total += share * (along + np.tan(alpha) * away)
        found.append(np.hypot(*total))
    z = np.array(float(z_side)), np.array(float(z_planet))
    ours = planet_pin_factor(*z, alpha, at_side=part[0], at_partner=part[1])
    assert ours == pytest.approx(max(found), rel=1e-9, abs=1e-12)
    if part == (1.0, 1.0):
        assert planet_pin_factor(*z, alpha) == ours


@given(n=st.integers(1, 4), z_side=TEETH, z_planet=TEETH)
def test_tip_room_shrinks_with_each_pair_and_each_planet_tooth(
    n: int, z_side: int, z_planet: int
) -> None:
    side, planet = np.array(float(z_side)), np.array(float(z_planet))
    room = planet_tip_fits(n, side, planet)
    assert room < 2 * np.pi
    assert planet_tip_fits(n + 1, side, planet) < room
    assert planet_tip_fits(n, side, planet + 1) < room


def test_tip_room_of_pairs_that_touch() -> None:
    """Slow twin by drawing: rim to rim from the cage axis, first pair's last tip to the next."""
    z_s, z_p = 20.0, 14.0
    r_c, r_tip, r_p = (z_s + z_p) / 2, z_p / 2 + 1.0, z_p / 2
    centres = 2 * np.arcsin(r_p / r_c)
    rim = np.linspace(0.0, 2 * np.pi, 100_001)
    seen = np.arctan2(r_tip * np.sin(rim), r_c + r_tip * np.cos(rim)).max()
    for n in (1, 2, 3):
        left = 2 * np.pi - n * (centres + 2 * seen)
        assert planet_tip_fits(n, np.array(z_s), np.array(z_p)) == pytest.approx(left, abs=1e-8)


def test_assembly_leaves_no_teeth_where_pairs_can_be_put_in() -> None:
    found = [
        (z, n)
        for z, n in itertools.product((18, 20, 21), (2, 3))
        if assembly_remainder(np.array(z), z, n) == 0
    ]
    assert found == [(18, 2), (18, 3), (20, 2), (21, 2), (21, 3)]


@given(columns((0.4, 1.5), (13.0, 60.0), (13.0, 40.0)))
def test_cage_is_the_sum_of_both_pitch_radii(inputs: list[Floats]) -> None:
    module, z_1, z_2 = inputs
    np.testing.assert_allclose(
        centre_distance(module, z_1, z_2),
        pitch_radius(module, z_1) + pitch_radius(module, z_2),
        rtol=1e-12,
    )


def test_bore_wall_of_a_small_side_gear() -> None:
    """Module 0.5, 20 teeth: foot circle 8.75; a 4 mm bore leaves 2.375."""
    assert bore_wall(np.array(0.5), 20.0, 4.0) == pytest.approx((8.75 - 4.0) / 2)


@given(m=st.floats(0.3, 2.0), z=st.floats(10.0, 90.0))
def test_teeth_round_a_radius_leave_no_wall(m: float, z: float) -> None:
    """The radius to which the teeth reach down, as a bore that leaves nothing; 20 teeth of module 0.5 to 4.375 mm."""
    assert float(least_teeth_round(np.array(0.5), 4.375)) == pytest.approx(20.0, rel=1e-12)
    r = bore_wall(np.array(m), z, 0.0)
    assert float(least_teeth_round(np.array(m), r)) == pytest.approx(z, rel=1e-9)
    assert float(bore_wall(np.array(m), z, 2.0 * r)) == pytest.approx(0.0, abs=1e-9)
