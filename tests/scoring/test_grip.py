"""Delivered grip, shares, carried loads, reopening: against sums written out by hand."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from explorer.drives.pulls import carried_pull, worst_sum
from explorer.scoring import grip as gr
from explorer.scoring.score import Detail
from tests.scoring.orchard import ALL, told


def _shares(d: Detail, i: int, p: int, signs: tuple[float, float, float]) -> list[float]:
    """Shares of F_out of the four fingers for one choice of the three friction signs."""
    first, second = d.motion.first, d.motion.second
    assert first is not None
    c_a = float(first.share_a[i, p])
    k = float(np.broadcast_to(first.skew, first.share_a.shape)[i, p])
    out = []
    for share, sign, m in zip(
        (c_a + signs[0] * k, 1 - c_a - signs[0] * k), signs[1:], second, strict=True
    ):
        assert m is not None
        c, q = float(m.share_a[i, p]), float(np.broadcast_to(m.skew, m.share_a.shape)[i, p])
        out += [share * (c + sign * q), share * (1 - c - sign * q)]
    return out


@pytest.mark.parametrize("architecture", ALL)
def test_a_carried_load_is_held_with_nothing_to_spare(architecture: str) -> None:
    """At F_out of the worst signs the pads carry W + springs exactly: sum m (T - T0 - k s) = W."""
    d = told(architecture)
    demand = d.space.shelf.demand
    F = carried_pull(demand, d.shares, demand.m_ideal)
    for p in np.nonzero(demand.carried > 0.0)[0]:
        for i in range(3):
            held = min(
                sum(
                    demand.m_ideal[p, f] * (F[i, p] * s[f] - demand.spring[p, f])
                    for f in range(4)
                    if demand.engaged[p, f]
                )
                for s in (_shares(d, i, int(p), signs) for signs in product((1.0, -1.0), repeat=3))
            )
            assert held == pytest.approx(float(demand.carried[p]), rel=1e-9)
    kg = gr.hook_kg(F, demand, d.shares, demand.m_ideal)
    carries = demand.carried > 0.0
    assert kg[:, carries] == pytest.approx(
        np.tile(demand.carried[carries] / gr.GRAVITY, (kg.shape[0], 1))
    )


def test_worst_sum_never_takes_both_carriers_low() -> None:
    """Equal weights: all friction signs give the same sum, the pull itself."""
    d = told("linked_lever+bar")
    one = np.ones(len(d.space.shelf.demand.positions))
    assert worst_sum(d.shares, (one,) * 4) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("architecture", ALL)
def test_more_drag_leaves_less_to_reopen(architecture: str) -> None:
    """Reopening pull is spring over share, carried to the input, less the drag; by hand at rest."""
    d = told(architecture)
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    for i in range(3):
        P = min(demand.spring[0, f] / float(d.shares.plain(f)[i, 0]) for f in range(4))
        by_hand = P * float(d.ways.hold[i, 0]) - brief.limits.input_drag
        assert d.reopen[i, 0] == pytest.approx(by_hand)
