"""Relation 17: metals of twice the yield strength and the same density.

That of bought chain wheels, which no stock states, is doubled with the others.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.brief.stock_records import Stock
from explorer.drives import chain_differential_parts as bought
from tests.relations.cases import Case
from tests.relations.compare import check_arrays, check_same

METALS = ("metals", "pins", "shafts", "gears")
# A strut gives by buckling and a chain at its tensile strength; neither is a matter of yield alone.
OTHER = {"strut", "chain"}
HIGH = (
    5000.0  # MPa, above twice any yield strength: a tensile strength below it would be raised to it
)


def stated(stock: Stock) -> Stock:
    """Every metal's tensile strength is stated: where it is not, the yield strength stands for it."""
    return replace(
        stock, **{m: tuple(replace(x, ultimate=HIGH) for x in getattr(stock, m)) for m in METALS}
    )


def twice_as_strong(stock: Stock) -> Stock:
    return replace(
        stock,
        **{m: tuple(replace(x, yield_=2.0 * x.yield_) for x in getattr(stock, m)) for m in METALS},
    )


def test_twice_the_yield_strength(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """Yield margins twice, to the bit; forces, sizes, wear, fatigue, chains and all other scores as before."""
    one = case.but(stock=stated(case.stock))
    two = one.but(stock=twice_as_strong(one.stock))
    with monkeypatch.context() as model:
        model.setattr(bought, "WHEEL_YIELD", 2.0 * bought.WHEEL_YIELD)
        assert two.told
    was, now = one.told.checks, two.told.checks
    by_yield = np.array([n.group not in OTHER for n in was.names])
    np.testing.assert_array_equal(
        2.0 * now.utilisation()[:, by_yield], was.utilisation()[:, by_yield]
    )
    chains = np.array([n.group == "chain" for n in was.names])
    np.testing.assert_array_equal(now.utilisation()[:, chains], was.utilisation()[:, chains])
    pin = [c.scores.aims["pin_margin"] + 1.0 for c in (one, two)]
    np.testing.assert_allclose(pin[1], 2.0 * pin[0], rtol=1e-12)
    strengths = {"sy", "sy_pin", "sy_fork", "sy_mid", "sy_1", "sy_2"}
    check_arrays(one, two, lambda path: int(path.split(".")[-1] in strengths))
    for name, aim in one.scores.aims.items():
        if name != "pin_margin":
            check_same(aim, two.scores.aims[name], 0, name)
    for name, slack in one.scores.slacks.items():
        if name != "strength":
            check_same(slack, two.scores.slacks[name], 0, name)
