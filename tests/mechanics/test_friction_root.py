"""Whatever the supports, what is found satisfies the balance it was found from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.mechanics.friction import Supports, _step, holding, pulling
from explorer.mechanics.types import Floats

N = 4000


def drawn(seed: int) -> tuple[list[Floats], Supports]:
    """Arms, drawbar friction and two supports loaded from any direction."""
    rng = np.random.default_rng(seed)

    def u(low: float, high: float) -> Floats:
        return rng.uniform(low, high, (N, 1))

    loads = [(u(-1, 1), u(-1, 1)) for _ in range(4)]
    s = Supports(*(tuple(pair) for pair in loads), u(0.0, 0.6))
    return [u(8.0, 30.0), u(8.0, 30.0), u(0.0, 0.5), u(0.0, 0.5)], s


def rubbing(f: Floats, s: Supports) -> Floats:
    total = np.zeros((N, 1))
    for px, py, qx, qy in zip(s.px, s.py, s.qx, s.qy, strict=True):
        total += np.hypot(f * px + qx, f * py + qy)
    return s.c * total


@pytest.mark.parametrize("seed", range(3))
def test_the_balance_closes_both_ways(seed: int) -> None:
    """F_in (a1 -+ m_in) -+ sum c |f p + q| = F_out (a2 +- m_out)."""
    (a1, a2, m_in, m_out), s = drawn(seed)
    f = pulling(a1, a2, m_in, m_out, s).f
    assert f * (a1 - m_in) - rubbing(f, s) == pytest.approx(a2 + m_out, rel=1e-11)
    f = holding(a1, a2, m_in, m_out, s).f
    assert f * (a1 + m_in) + rubbing(f, s) == pytest.approx(a2 - m_out, rel=1e-11)


@pytest.mark.parametrize("seed", range(3))
def test_a_thick_pivot_between_pull_and_push_is_found(seed: int) -> None:
    """Straight rockers whose pivot turns its load round about where the root lies; the root is given.

    Few of these need more than the first steps, and they are mixed among those that do not.
    """
    rng = np.random.default_rng(seed)

    def u(low: float, high: float) -> Floats:
        return rng.uniform(low, high, (N, 1))

    one, zero = np.ones((N, 1)), np.zeros((N, 1))
    near = 10.0 ** u(-9.0, 0.0)
    root = 1.0 + near * u(-3.0, 3.0)
    a1, m_in, m_out = u(5.0, 12.0), u(0.0, 0.8), u(0.0, 0.8)
    s = Supports((zero,), (-one,), (near,), (one,), u(0.1, 2.4))
    rub = rubbing(root, s)
    a2 = root * (a1 - m_in) - rub - m_out
    assert pulling(a1, a2, m_in, m_out, s).f == pytest.approx(root, rel=2e-12)
    a2 = root * (a1 + m_in) + rub + m_out
    assert holding(a1, a2, m_in, m_out, s).f == pytest.approx(root, rel=2e-12)


@pytest.mark.parametrize("least", [-np.inf, 1e-3, 200.0])
def test_a_root_stays_where_it_is_however_steep_its_step_is_held(least: float) -> None:
    """Where a drive locks the slope is held above its own: steps go less far, and from the root nowhere."""
    (arm, f, *_), s = drawn(4)
    for sign in (1.0, -1.0):
        with_sign = replace(s, c=sign * s.c)
        load = f * arm + rubbing(f, with_sign)
        assert _step(f, arm, load, with_sign, least) == pytest.approx(f, rel=1e-12)
