"""Bearings against published numbers, statics done by hand, and the trade's own experience."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics import bearings as b


def a(x: float) -> np.ndarray:
    return np.array([x])


def test_published_life() -> None:
    """L10 = (C/P)^3: 16 kN over 2 kN is 512 million turns (sarthaks.com question 2642436, read)."""
    assert b.life(16.0, a(2.0))[0] == 512.0


def test_published_life_in_hours() -> None:
    """30 kN over 3 kN at 1500 per minute: 11,100 h (rounded there, so 0.2 %); over 4 kN 422 million turns.

    aionlinecalculator.com, bearing life calculator (read).
    """
    hours = b.cycles(b.life(30.0, a(3.0)), a(60.0 * 1500.0))[0]
    assert hours == pytest.approx(11_100.0, rel=0.002)
    assert b.life(30.0, a(4.0))[0] == pytest.approx(422.0, rel=0.001)


def test_static_equivalent_has_the_radial_load_for_a_floor() -> None:
    """Fr 500, Fa 300: 0.6 Fr + 0.5 Fa = 450 is below Fr: 500 (ISO 76, tribology-abc.com, read)."""
    assert b.static_equivalent(a(500.0), a(300.0))[0] == 500.0
    assert b.static_equivalent(a(500.0), a(600.0))[0] == 600.0


def test_static_safety_of_a_6000() -> None:
    """C0 1.96 kN (Mott table 14-3, read) over P0 500 N: 3.92 (cwbearing.com gives s0 = C0/P0, read)."""
    assert b.static_safety(1960.0, a(500.0))[0] == pytest.approx(3.92, rel=1e-12)
    assert b.static_safety(1960.0, a(0.0))[0] == math.inf


def test_thrust_factors() -> None:
    """Fa/C0 = 0.056: e 0.26, Y 1.71, X 0.56 (Mott table 14-5, read; X from memory): P = 1.415 kN."""
    found = b.dynamic_equivalent(a(1000.0), a(500.0), 500.0 / 0.056)[0]
    assert found == pytest.approx(1415.0, rel=1e-9)
    assert b.dynamic_equivalent(a(1000.0), a(250.0), 250.0 / 0.056)[0] == 1000.0  # below e


def test_the_table_of_factors_is_smooth_and_in_order() -> None:
    """e rises and Y falls with the axial load, and e x Y stays near 1 - X (the lines meet at e)."""
    assert list(b.E) == sorted(b.E)
    assert list(b.Y) == sorted(b.Y, reverse=True)
    for e, y in zip(b.E, b.Y, strict=True):
        assert b.X + y * e == pytest.approx(1.0, abs=0.02)


def test_two_bearings_carry_a_moment_by_their_distance() -> None:
    """M = 600 N*mm on 12 mm: 50 N each (statics)."""
    assert [x[0] for x in b.radial_loads(a(0.0), a(600.0), (-6.0, 6.0))] == [50.0, 50.0]


@given(
    st.floats(0.0, 500.0),
    st.floats(0.0, 5000.0),
    st.lists(st.floats(-20.0, 20.0), min_size=2, max_size=5, unique=True),
)
def test_radial_loads_balance_force_and_moment(F: float, M: float, at: list[float]) -> None:
    """With signs put back, they sum to F and turn by M."""
    mean = sum(at) / len(at)
    if max(abs(x - mean) for x in at) < 0.01:
        return
    found = [x[0] for x in b.radial_loads(a(F), a(M), at)]
    extra = [f - F / len(at) for f in found]
    signed = [e * math.copysign(1.0, x - mean) for e, x in zip(extra, at, strict=True)]
    assert sum(s + F / len(at) for s in signed) == pytest.approx(F, abs=1e-6 + 1e-9 * max(extra))
    turned = sum(s * (x - mean) for s, x in zip(signed, at, strict=True))
    assert turned == pytest.approx(M, rel=1e-9, abs=1e-9)


def test_the_tilt_factor_is_the_ring_of_balls_summed_up() -> None:
    """Balls give way as load^(2/3): Q = Q_max |cos|^1.5, so M = Z Q_max D/2 mean |cos|^2.5."""
    angle = (np.arange(100_000) + 0.5) * 2.0 * np.pi / 100_000
    by_sum = 2.0 / np.mean(np.abs(np.cos(angle)) ** 2.5)
    assert pytest.approx(by_sum, rel=0.001) == b.TILT_FACTOR


def test_a_thrust_pair_balances_the_moment_it_holds() -> None:
    """12 balls on 17 mm under the ball load that P0 stands for: their moment is M."""
    M, D, Z = 1000.0, 17.0, 3600
    Q_max = b.static_equivalent_thrust(a(0.0), a(M), D)[0] / Z
    angle = np.arange(Z) * 2.0 * np.pi / Z
    held = Q_max * np.abs(np.cos(angle)) ** 1.5 * np.abs(np.cos(angle)) * D / 2.0
    assert held.sum() == pytest.approx(M, rel=0.001)


def test_tilt_play_by_hand() -> None:
    """0.02 mm in both of two bearings 20 mm apart: 1 mrad; 0.005 mm in two thrust of 17 mm: 0.59 mrad."""
    assert b.tilt_play_radial((0.0, 20.0), (0.02, 0.02)) == pytest.approx(1e-3)
    assert b.tilt_play_thrust((0.005, 0.005), (17.0, 17.0)) == pytest.approx(0.01 / 17.0)
    assert b.tilt_play_radial((0.0,), (0.02,)) == math.inf
    assert b.tilt_play_thrust((0.005,), (17.0,)) == math.inf


@given(st.floats(0.0, 300.0), st.floats(0.0, 300.0), st.floats(0.0, 4000.0))
def test_a_stack_carries_all_that_comes(Fr: float, Fa: float, M: float) -> None:
    mixed = b.share(a(Fr), a(Fa), a(M), (True, False, True), (-7.0, 0.0, 7.0))
    assert sum(x[0] for x in mixed.radial) == pytest.approx(Fr)
    assert [x[0] for x in mixed.axial] == [Fa, 0.0, Fa]  # one of the pair, by its direction
    assert [x[0] for x in mixed.moment] == [M, 0.0, M]
    radial = b.share(a(Fr), a(Fa), a(M), (False,) * 4, (-9.0, -3.0, 3.0, 9.0))
    assert max(x[0] for x in radial.radial) == pytest.approx(Fr / 4 + M * 9.0 / 180.0)
    assert not any(x[0] for x in radial.moment)


def test_two_thrust_and_one_deep_groove_hold_a_wrist_squarer_than_four_radial() -> None:
    """Common practice, no source.  10 mm bearings in the same 23 mm, ratings from memory.

    Squarer in play, because a nut sets the play of a thrust pair and nothing that of radial bearings;
    and safer under a tilting moment.  With the play left in (0.02 mm each) the model says the reverse.
    """
    at, D_m, M = (-9.0, -3.0, 3.0, 9.0), (17.0, 17.0), a(2000.0)
    radial = b.tilt_play_radial(at, (0.02,) * 4)
    assert b.tilt_play_thrust((0.005, 0.005), D_m) < 0.6 * radial
    assert b.tilt_play_thrust((0.02, 0.02), D_m) > radial
    four = b.static_safety(830.0, b.radial_loads(a(0.0), M, at)[0])[0]
    two = b.static_safety(14_000.0, b.static_equivalent_thrust(a(0.0), M, 17.0))[0]
    assert two > 2.0 * four
