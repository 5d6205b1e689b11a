import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics import fatigue as fg
from explorer.mechanics.gears import lewis_factor
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

STRENGTH, RATIO, RADIUS, CYCLES = (300.0, 1600.0), (0.02, 0.98), (0.03, 5.0), (1e2, 1e9)


@given(columns(STRENGTH, RATIO, RADIUS, (2.5, 60.0), CYCLES))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    S, x, r, d, N = inputs
    for one in (fg.specimen_limit, fg.fatigue_fraction, fg.neuber_root, fg.neuber_root_torsion):
        check_elementwise(one, S)
    check_elementwise(fg.neuber_root_aluminium, S)
    check_elementwise(fg.size_factor, d)
    check_elementwise(fg.loaded_hole_kt, x)
    check_elementwise(fg.notch_sensitivity, x, r)
    check_elementwise(fg.groove_kt, d, d * x / 2, r)
    check_elementwise(fg.pulsating_strength, S * x, S)
    check_elementwise(fg.strength_at_life, S, S * x, fg.life_exponent(N, 1e6))
    check_elementwise(fg.tooth_factor, 12 + d, lewis_factor(12 + d))


@given(columns(STRENGTH), st.sampled_from(sorted(fg.FINISHES)), st.sampled_from(sorted(fg.ALLOYS)))
def test_marin_factors_only_take_away(inputs: list[Floats], finish: str, alloy: str) -> None:
    S = inputs[0]
    ka = fg.surface_factor(S, finish)
    assert ((ka > 0) & (ka <= 1)).all()
    assert ((fg.specimen_limit(S, alloy) > 0) & (fg.specimen_limit(S, alloy) < S)).all()
    # the two printed powers cross at 339 MPa, below the steels they were fitted to
    assert (fg.surface_factor(S, "ground") >= ka)[S > 340.0].all()


@given(st.floats(0.05, 60.0), st.floats(0.05, 60.0))
def test_larger_sections_are_never_stronger_and_small_ones_lose_nothing(d: float, e: float) -> None:
    small, large = sorted((d, e))
    kb = fg.size_factor(np.array([small, large]))
    assert kb[1] <= kb[0] <= 1.0
    assert small > fg.SMALL_ROUND or kb[0] == 1.0


@given(st.floats(0.5, 0.9999), st.floats(0.5, 0.9999))
def test_more_certainty_costs_strength(p: float, q: float) -> None:
    low, high = sorted((p, q))
    assert fg.reliability_factor(np.array(high)) <= fg.reliability_factor(np.array(low))
    assert fg.reliability_factor(np.array(0.5)) == 1.0


@given(columns(STRENGTH, RATIO))
def test_a_cycle_from_zero_just_at_its_strength_has_factor_one(inputs: list[Floats]) -> None:
    S_ut, x = inputs
    S_f = S_ut * x
    half = fg.pulsating_strength(S_f, S_ut) / 2
    np.testing.assert_allclose(fg.goodman_factor(half, half, S_f, S_ut), 1.0, rtol=1e-12)
    assert (half >= S_f / 2).all()  # half the range is never less than half of it reversed


@given(columns(STRENGTH), st.floats(2.0, 9.0))
def test_s_n_line_is_straight_on_logarithms_and_level_past_its_knee(
    inputs: list[Floats], log_n: float
) -> None:
    """The same line by Shigley's a N^b, eq. 6-14 and 6-15."""
    S = inputs[0]
    S_e, f = 0.3 * S, fg.fatigue_fraction(S)
    got = fg.strength_at_life(S, S_e, fg.life_exponent(10.0**log_n, 1e6))
    b = -np.log10(f * S / S_e) / 3
    N = min(max(10.0**log_n, 1e3), 1e6)
    np.testing.assert_allclose(got, (f * S) ** 2 / S_e * N**b, rtol=1e-9)


@given(columns(STRENGTH, RADIUS, (1.0, 6.0)))
def test_a_notch_costs_between_nothing_and_its_whole_concentration(inputs: list[Floats]) -> None:
    S, r, kt = inputs
    for root in (fg.neuber_root(S), fg.neuber_root_torsion(S), fg.neuber_root_aluminium(S)):
        kf = fg.notch_factor(kt, fg.notch_sensitivity(root, r))
        assert ((kf >= 1) & (kf <= kt)).all()
    assert np.array_equal(fg.notch_factor(kt, fg.notch_sensitivity(0.0, r)), kt)


@given(st.floats(0.01, 0.99), st.floats(1e-9, 1e-6))
def test_a_loaded_hole_is_never_kinder_than_an_empty_one_nor_jumps(x: float, step: float) -> None:
    at = np.array([x, min(x + step, 0.99)])
    loaded = fg.loaded_hole_kt(at)
    assert (loaded >= fg.empty_hole_kt(at)).all()
    assert abs(loaded[1] - loaded[0]) < 1e-4 * loaded[0] / x


@given(st.floats(0.01, 0.15))
def test_a_small_loaded_hole_peaks_at_one_multiple_of_its_bearing_stress(x: float) -> None:
    got = fg.loaded_hole_bearing_kt(np.array([x, 0.15]))
    assert got[0] == pytest.approx(got[1], rel=1e-9)


@given(st.floats(0.25, 50.0), st.floats(1.0, 25.0))
def test_a_groove_that_leaves_no_core_or_no_depth_has_no_concentration(q: float, D: float) -> None:
    """Where the core vanishes K_t is 1, whatever the radius; and a groove never relieves the bar."""
    h = np.array([D / 2, D / 10, D / 6])
    got = fg.groove_kt(np.array(D), h, h / q)
    assert got[0] == pytest.approx(1.0, abs=2e-2)
    assert (got > 0.99).all()


def test_both_halves_of_the_groove_chart_meet() -> None:
    deep = np.linspace(0.05, 0.45, 9)
    low, high = (fg.groove_kt(np.ones(9), deep, deep / q) for q in (2.0, 2.0 + 1e-9))
    np.testing.assert_allclose(low, high, rtol=0.03)  # two fits, each read to 3 % or so


@given(st.integers(12, 300))
def test_more_teeth_have_a_sharper_foot_in_step(z: int) -> None:
    """All lengths are multiples of the module; the foot's factor stays within the tested 1.2 to 2."""
    kf = fg.tooth_factor(np.array(float(z)), lewis_factor(np.array(z)))
    assert 1.2 < kf < 2.0


def test_metals_are_told_by_their_density() -> None:
    known = {7.85e-3: "steel", 2.81e-3: "aluminium", 4.43e-3: "titanium", 8.5e-3: "other"}
    assert {rho: fg.alloy_of(rho) for rho in known} == known


@pytest.mark.usefixtures("strict_numpy")
def test_nothing_divides_by_zero_inside_the_ranges() -> None:
    x = np.linspace(0.001, 0.999, 50)
    assert np.isfinite(fg.loaded_hole_kt(x)).all()
    assert np.isfinite(fg.groove_kt(np.ones(50), x / 2, x)).all()
    assert np.isfinite(fg.life_exponent(np.array([1e-3, 1e12]), 1e6)).all()
