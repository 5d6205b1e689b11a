"""The tooth form seats the rollers, closes on itself, and its area is that of its own outline."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from explorer.mechanics import chain, tooth
from tests.mechanics.elementwise import check_elementwise, columns

PITCHES = st.floats(3.0, 16.0)
TEETH = st.integers(7, 60)


def arc(cx: float, cy: float, r: float, start: float, end: float) -> np.ndarray:
    t = np.linspace(start, end, 60, endpoint=False)
    return np.column_stack((cx + r * np.cos(t), cy + r * np.sin(t)))


def outline(p: float, z: int, d1: float) -> Polygon:
    """Points along half a gap and half a tooth, mirrored and turned round: no formula of the area."""
    f = tooth.tooth_form(np.array(p), np.array(float(z)), np.array(d1))
    half = np.vstack((
        arc(f.R, 0.0, f.seat, np.pi, np.pi - f.half),
        arc(f.ex, f.ey, f.flank, f.leaves, f.meets),
        arc(0.0, 0.0, f.tip, f.top, np.pi / z),
    ))  # fmt: skip
    one = np.vstack((half[:0:-1] * (1.0, -1.0), half))
    turns = (2.0 * np.pi * k / z for k in range(z))
    return Polygon(np.vstack([one @ np.array(((np.cos(a), np.sin(a)), (-np.sin(a), np.cos(a))))
                              for a in turns]))  # fmt: skip


@given(PITCHES, TEETH)
def test_the_area_is_that_of_the_points(p: float, z: int) -> None:
    """60 points an arc leave out less than a thousandth."""
    d1 = tooth.usual_roller(np.array(p))
    found = float(tooth.tooth_area(np.array(p), np.array(float(z)), d1))
    shape = outline(p, z, float(d1))
    assert shape.is_valid
    assert found == pytest.approx(shape.area, rel=1e-3)
    assert found < np.pi * float(chain.tip_radius(np.array(p), float(z))) ** 2


@given(PITCHES, TEETH)
def test_a_roller_in_every_gap_touches_nothing_and_nearly_seats(p: float, z: int) -> None:
    """Rollers a pitch apart on the pitch circle: 0.505 d1 is the radius of the seat, d1/2 the roller's."""
    d1 = float(tooth.usual_roller(np.array(p)))
    R = float(chain.pitch_radius(np.array(p), float(z)))
    rim = outline(p, z, d1).exterior
    places = [Point(R * np.cos(a), R * np.sin(a)) for a in (0.0, 2.0 * np.pi / z)]
    assert places[0].distance(places[1]) == pytest.approx(p, rel=1e-12)
    for at in places:
        assert rim.distance(at) == pytest.approx(0.505 * d1, rel=1e-3)


@given(PITCHES, TEETH)
def test_flanks_leave_the_seat_without_a_corner(p: float, z: int) -> None:
    """At the join both arcs have one point and one tangent: their centres lie on a line through it."""
    f = tooth.tooth_form(np.array(p), np.array(float(z)), tooth.usual_roller(np.array(p)))
    seat = f.R - f.seat * np.cos(f.half), f.seat * np.sin(f.half)
    flank = f.ex + f.flank * np.cos(f.leaves), f.ey + f.flank * np.sin(f.leaves)
    assert np.allclose(seat, flank, rtol=0.0, atol=1e-9)
    assert np.hypot(f.ex - f.R, f.ey) == pytest.approx(float(f.seat + f.flank), rel=1e-12)
    assert f.top <= np.pi / z + 1e-12


def test_circles_of_a_half_inch_wheel_of_17_teeth() -> None:
    """08B wheels of 17 teeth have a pitch circle of 69.11 mm and roots d - d1 = 60.6 (ISO 606, from memory).

    The seat is 0.005 d1 deeper than its roller.
    """
    f = tooth.tooth_form(np.array(12.7), np.array(17.0), np.array(8.51))
    assert 2.0 * float(f.R) == pytest.approx(69.11, abs=0.01)
    assert 2.0 * float(f.root) == pytest.approx(60.6, abs=0.1)


@pytest.mark.parametrize(("p", "d1"), tooth.ROLLERS)
def test_a_standard_pitch_has_its_own_roller(p: float, d1: float) -> None:
    assert float(tooth.usual_roller(np.array(p))) == d1
    assert float(tooth.usual_roller(np.array(p * 1.1))) == tooth.USUAL * (p * 1.1)


@given(columns((3.0, 16.0), (7.0, 60.0)))
def test_one_as_many(inputs: list[np.ndarray]) -> None:
    check_elementwise(lambda p, z: tooth.tooth_area(p, z, tooth.usual_roller(p)), *inputs)
