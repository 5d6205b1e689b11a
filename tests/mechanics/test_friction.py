"""Friction of a ratio part: worked figures, a slow twin, limits."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from explorer.mechanics.friction import Balance, Supports, _carried, holding, pulling
from explorer.mechanics.types import Floats


def _one(x: float) -> Floats:
    return np.array([[x]])


def _rocker(sign: float, c: float, t_in: float = 0.0, t_out: float = 0.0) -> Supports:
    return Supports((_one(t_in),), (_one(sign),), (_one(t_out),), (_one(1.0),), _one(c))


def test_reversing_rocker_loses_at_all_three_pins() -> None:
    """26/13 with three 4 mm pins at mu 0.15: 0.934; F_in (a1 - m - m) = F_out (a2 + m + m)."""
    m = 0.15 / 2 * 4
    found = pulling(_one(26.0), _one(13.0), _one(m), _one(m), _rocker(1.0, m))
    assert found.f[0, 0] == pytest.approx((13 + 2 * m) / (26 - 2 * m), rel=1e-12)
    assert 0.5 / found.f[0, 0] == pytest.approx(0.934, abs=5e-4)


def test_straight_rocker_signs_follow_the_larger_pull() -> None:
    """F_out > F_in: - in the first bracket, + in the second becomes a2 + m_out + c, a1 - m_in + c."""
    m, c = 0.3, 0.2
    out_larger = pulling(_one(26.0), _one(13.0), _one(m), _one(m), _rocker(-1.0, c)).f[0, 0]
    # R = F_out - F_in: F_in (a1 - m + c) = F_out (a2 + m + c)
    assert out_larger == pytest.approx((13 + m + c) / (26 - m + c), rel=1e-12)
    in_larger = pulling(_one(13.0), _one(26.0), _one(m), _one(m), _rocker(-1.0, c)).f[0, 0]
    # R = F_in - F_out: F_in (a1 - m - c) = F_out (a2 + m - c)
    assert in_larger == pytest.approx((26 + m - c) / (13 - m - c), rel=1e-12)


def test_holding_turns_every_sign() -> None:
    """Reversing 26/13, pins 4, mu 0.15: eta_hold 0.9323."""
    m = 0.15 / 2 * 4
    found = holding(_one(26.0), _one(13.0), _one(m), _one(m), _rocker(1.0, m))
    assert found.f[0, 0] * 2 == pytest.approx(0.9323, rel=2e-4)


arms = st.floats(5.0, 40.0)
small = st.floats(0.0, 0.8)
tans = st.floats(-0.5, 0.5)


@given(arms, arms, small, small, small, tans, tans, st.sampled_from([1.0, -1.0]))
def test_newton_agrees_with_a_bracketing_solver(
    a1: float,
    a2: float,
    m_in: float,
    m_out: float,
    c: float,
    t_in: float,
    t_out: float,
    sign: float,
) -> None:
    """Any leans: the root of the moment balance by an independent method."""
    s = _rocker(sign, c, t_in, t_out)

    def off(f: float) -> float:
        return (
            f * (a1 - m_in) - c * float(np.hypot(f * t_in + t_out, f * sign + 1.0)) - (a2 + m_out)
        )

    expected = brentq(off, 0.0, 100.0, xtol=1e-14, rtol=1e-14)
    found = pulling(_one(a1), _one(a2), _one(m_in), _one(m_out), s)
    assert found.f[0, 0] == pytest.approx(expected, rel=1e-10)


@given(
    arms,
    st.floats(-0.3, 0.3),
    small,
    small,
    small,
    st.floats(-1e-3, 1e-3),
    st.sampled_from([pulling, holding]),
)
def test_a_pivot_that_hardly_carries_anything_holds_nothing_up(
    a: float,
    more: float,
    m_in: float,
    m_out: float,
    c: float,
    t_out: float,
    way: Callable[..., Balance],
) -> None:
    """A straight rocker with nearly equal pulls: the pivot's load turns about where the root lies."""
    s = _rocker(-1.0, c, 0.0, t_out)
    sign = 1.0 if way is pulling else -1.0

    def off(f: float) -> float:
        rubbing = m_in * f + m_out + c * float(np.sqrt(t_out * t_out + (1.0 - f) * (1.0 - f)))
        return f * a - (a + more) - sign * rubbing

    expected = brentq(off, 0.0, 100.0, xtol=1e-15, rtol=1e-14)
    found = way(_one(a), _one(a + more), _one(m_in), _one(m_out), s).f[0, 0]
    assert found == pytest.approx(expected, rel=1e-12)


@given(arms, arms, small, small, small)
def test_pulling_costs_and_holding_saves(
    a1: float, a2: float, m_in: float, m_out: float, c: float
) -> None:
    """More is needed to pull, less to hold, than without friction; both meet it as friction goes."""
    s = _rocker(1.0, c)
    plain = a2 / a1
    pull = pulling(_one(a1), _one(a2), _one(m_in), _one(m_out), s).f[0, 0]
    hold = holding(_one(a1), _one(a2), _one(m_in), _one(m_out), s).f[0, 0]
    assert hold <= plain * (1 + 1e-12) <= pull * (1 + 2e-12)
    none = _one(0.0)
    assert pulling(_one(a1), _one(a2), none, none, _rocker(1.0, 0.0)).f[0, 0] == plain


def test_two_bushes_count_each_by_itself() -> None:
    """Straight tracks, 200 N at z 3 and 280 N at z 9 of 12: the bushes carry 240 N in all, not 80."""
    near, far = 9 / 12, 3 / 12
    s = Supports(
        (_one(0.0),) * 2,
        (_one(-near), _one(-far)),
        (_one(0.0),) * 2,
        (_one(far), _one(near)),
        _one(1.0),
    )
    assert 280 * _carried(_one(200 / 280), s).total[0, 0] == pytest.approx(240.0)


def test_a_pivot_too_thick_for_its_arm_is_told() -> None:
    """Arm less than the friction circles: self-locking, `locks` <= 0."""
    assert pulling(_one(1.0), _one(5.0), _one(0.8), _one(0.1), _rocker(1.0, 0.5)).locks[0, 0] < 0.0
