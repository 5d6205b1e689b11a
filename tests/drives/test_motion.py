"""The explicit form: balance of leaning strands, what is out of reach, what strands pay in.

The leaning form's agreement with the exact solver stands in test_exact.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from explorer.drives.bodies import GearSplit
from explorer.drives.exact_compare import explicit_pulls
from explorer.drives.motion import move, strand_lengths, worst_overshoot
from tests.drives.random_drives import Sample, make_sample, samples

few = settings(max_examples=60, deadline=None)


@given(samples(links=(12, 30)))
@few
def test_shares_add_up_and_leans_turn_arms(s: Sample) -> None:
    out, into = explicit_pulls(s.drive, s.moved())
    assert out.sum(axis=1) == pytest.approx(1.0, abs=1e-12)
    assert into.sum(axis=1) == pytest.approx((1 / s.moved().step)[0], rel=1e-12)


@pytest.mark.parametrize("fingers", [2, 3, 4])
@pytest.mark.parametrize("second", ["bar", "chain"])
@pytest.mark.parametrize("first", ["chain_winder", "chain_differential"])
def test_leaning_strands_balance_the_input_moment(first: str, second: str, fingers: int) -> None:
    """Strand force times mean arm, over the wheels, is F_in a1; both sides of a differential alike."""
    for seed in range(20):
        s = make_sample(seed, f"{first}+{second}", fingers, links=(10, 20))
        m = s.moved()
        F_out = m.a1 / m.a2
        cos = [np.sqrt(1.0 - q * q) for q in m.exit_sine]
        if isinstance(s.drive.first, GearSplit):
            sides = (m.first.share_a / cos[0], m.first.share_b / cos[1])
            for strand, r in zip(sides, (s.drive.first.r_a, s.drive.first.r_b), strict=True):
                np.testing.assert_allclose(F_out * strand * r, m.a1 / 2, rtol=1e-12)
        else:
            np.testing.assert_allclose(F_out / cos[0] * s.drive.ratio.a2, m.a1, rtol=1e-12)


@pytest.mark.parametrize("second", ["bar", "chain"])
@pytest.mark.parametrize("fingers", [3, 4])
def test_the_further_drawn_strand_of_the_first_wheel_is_shorter(second: str, fingers: int) -> None:
    """Strand a has lost half the difference of the draws, strand b has gained it; leans follow."""
    for seed in range(10):
        s = make_sample(seed, f"chain_winder+{second}", fingers, links=(10, 20))
        m, wheel = s.moved(), s.drive.first
        half = (m.first.s_a - m.first.s_b) / 2
        free_a, free_b = (c.L_in + w for c, w in zip(s.drive.carriers, (-half, half), strict=True))
        to_a = m.first.x - wheel.D / 2 - m.carrier_x[0]
        to_b = m.carrier_x[1] - m.first.x - wheel.D / 2
        np.testing.assert_allclose(m.first.sine_a * free_a, to_a, atol=1e-9)
        np.testing.assert_allclose(m.first.sine_b * free_b, to_b, atol=1e-9)


@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_a_strand_of_a_differential_leans_from_its_wheel_to_its_carrier(fingers: int) -> None:
    """Its sine, + toward +x: the way across over what of it is free."""
    for seed in range(10):
        s = make_sample(seed, "chain_differential+bar", fingers, links=(10, 20))
        m = s.moved()
        assert len(m.exit_sine) == len(s.drive.carriers)
        for k, c in enumerate(s.drive.carriers):
            free = (s.drive.L_exit if fingers == 2 else c.L_in) - m.carrier_y[k]
            across = m.carrier_x[k] - s.drive.ratio.exits[k]
            np.testing.assert_allclose(m.exit_sine[k] * free, across, atol=1e-9)


@given(samples(links=(12, 30)))
@few
def test_what_was_given_is_left_as_it_was(s: Sample) -> None:
    before = s.draw.copy()
    s.moved()
    assert np.array_equal(s.draw, before)


def test_a_draw_out_of_reach_stays_finite_and_is_measured() -> None:
    s = make_sample(3, "linked_lever+bar", 4)
    far = np.array([[0.0, 90.0, 0.0, 90.0], [0.0, 2.0, 0.0, 2.0]])
    m = move(s.drive, far, s.pin_x)
    assert np.isfinite(m.a2).all()
    assert worst_overshoot(m)[0, 0] > 1.0
    assert worst_overshoot(m)[0, 1] == 0.0


@pytest.mark.parametrize(("turn", "lean", "tilt", "worst"), [
    (0.4, 0.0, 0.1, 0.4), (0.1, 1.45, 0.2, 0.5), (0.1, 0.9, 0.3, 0.3),
])  # fmt: skip
def test_the_worst_overshoot_is_the_worst_of_turn_lean_and_tilt(
    turn: float, lean: float, tilt: float, worst: float
) -> None:
    """Sines beyond the 0.95 that a joint can do."""
    m = make_sample(3, "linked_lever+bar", 4).moved()
    assert m.first is not None
    one = np.ones_like(m.Y)
    still = [None if s is None else replace(s, tilt_over=0.0 * one) for s in m.second]
    m = replace(
        m, turn_over=turn * one, lean_worst=lean * one, second=tuple(still),
        first=replace(m.first, tilt_over=tilt * one),
    )  # fmt: skip
    assert worst_overshoot(m) == pytest.approx(worst * one)


def test_only_a_finger_alone_leans_alone() -> None:
    """The cosine of its link; ones where a carrier is a pair."""
    s = make_sample(3, "linked_lever+bar", 3)
    m = s.moved()
    for k, c in enumerate(s.drive.carriers):
        if c.body is not None:
            assert (m.alone_cos[k] == 1.0).all()
        else:
            assert ((m.alone_cos[k] > 0.3) & (m.alone_cos[k] <= 1.0)).all()
            assert (m.alone_cos[k] < 1.0).any()


def test_strands_of_wheels_pay_in_on_the_further_drawn_side() -> None:
    """a gives half the difference to b; bars and fingers alone have no strands."""
    s = make_sample(3, "linked_lever+chain", 3)
    m = s.moved()
    (k,) = [k for k, c in enumerate(s.drive.carriers) if c.body is not None]
    c, at = s.drive.carriers[k], m.second[k]
    assert at is not None
    ((a, b),) = strand_lengths(s.drive, m)
    np.testing.assert_allclose(a, c.L_out[0] - (at.s_a - at.s_b) / 2.0, rtol=1e-12)
    np.testing.assert_allclose(b, c.L_out[1] + (at.s_a - at.s_b) / 2.0, rtol=1e-12)
    bars = make_sample(3, "linked_lever+bar", 4)
    assert strand_lengths(bars.drive, bars.moved()) == ()
