"""The pull that carries a load, with little friction and with more than any drive can work against."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.brief.demand import Demand
from explorer.brief.demand_build import build_demand
from explorer.drives.pulls import Shares, carried_pull
from tests.factories import make_brief


def one_finger_carries() -> Demand:
    """Two fingers, of which only the first has hold of anything."""
    demand = build_demand(make_brief(2))
    assert (demand.carried > 0.0).any()
    assert (demand.carried == 0.0).any()
    return replace(demand, engaged=np.broadcast_to([True, False], demand.engaged.shape))


def halves(demand: Demand, skew: float) -> Shares:
    """One carrier, half of it for each finger, give or take `skew`."""
    one = np.ones((1, len(demand.positions)))
    side = (0.5 * one, 0.5 * one)
    return Shares((one,), 0.0 * one, side, (skew * one, skew * one), (0, 0), (1.0, -1.0))


@pytest.mark.parametrize(("skew", "left"), [
    (0.0, 0.5), (0.125, 0.375), (0.5, 1.0), (0.75, 1.0),
])  # fmt: skip
@pytest.mark.usefixtures("strict_numpy")
def test_the_least_share_carries_the_load_and_the_spring(skew: float, left: float) -> None:
    """Load and spring over the share that friction leaves.

    Where it leaves none no pull would do: the drive is refused for its grip, and the number stays finite.
    """
    demand = one_finger_carries()
    m = np.ones(demand.engaged.shape)
    found = carried_pull(demand, halves(demand, skew), m)
    lifts = demand.carried > 0.0
    expected = np.where(lifts, (demand.carried + demand.spring[:, 0]) / left, 0.0)
    np.testing.assert_allclose(found[0], expected, rtol=1e-12)
