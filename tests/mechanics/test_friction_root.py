"""Whatever the supports, what is found satisfies the balance it was found from."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.mechanics.friction import Supports, holding, pulling
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


def hardly_loaded(seed: int) -> tuple[list[Floats], Supports]:
    """Straight rockers whose pivot turns its load round about where the root lies, among plain ones."""
    rng = np.random.default_rng(seed)
    a1, off = rng.uniform(8.0, 30.0, (N, 1)), rng.uniform(-1.0, 1.0, (N, 1))
    near = 10.0 ** rng.uniform(-9.0, -1.0, (N, 1)) * off
    easy = np.arange(N)[:, None] % 2 == 0
    one, zero = np.ones((N, 1)), np.zeros((N, 1))
    s = Supports((zero,), (-one,), (near,), (one,), rng.uniform(0.1, 0.8, (N, 1)))
    return [a1, a1 * np.where(easy, 2.0, 1.0) + near, zero, zero], s


@pytest.mark.parametrize("seed", range(3))
def test_a_pivot_between_pull_and_push_is_found_among_easy_ones(seed: int) -> None:
    (a1, a2, m_in, m_out), s = hardly_loaded(seed)
    for way, sign in ((pulling, -1.0), (holding, 1.0)):
        f = way(a1, a2, m_in, m_out, s).f
        assert f * a1 + sign * rubbing(f, s) == pytest.approx(a2, rel=1e-11)
