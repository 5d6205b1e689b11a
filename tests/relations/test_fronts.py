"""Relations 10 to 13 on fixed sets of drives: a limit more, candidates in any order, more stock, other units.

Random drives hardly ever fit a real palm, so the hand's limits are eased until many do; webs and gears, which
no brief can ease enough, are left out of what must hold.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import radians

import numpy as np
import pytest

from explorer.brief.records import Aim, Brief
from explorer.brief.stock_records import Stock
from explorer.mechanics.types import Floats
from explorer.scoring.score import Scores, score
from explorer.search.archive import added, empty, front, merged
from explorer.search.measure import hypervolume
from explorer.search.problem import Rows
from explorer.search.ranks import clipped
from explorer.study.problem import Aims, aims_of
from tests.drives.spaces import vectors
from tests.outside.second.cases import USEFUL
from tests.relations.cases import Case, drawn
from tests.relations.conftest import HANDS, params
from tests.relations.test_order import check_equal

AIMS = (Aim("grip", None), Aim("pieces", None), Aim("room", None), Aim("pin_margin", 1.0))
NOT_EASED = {"web", "gears"}
N = 200


def eased(b: Brief) -> Brief:
    """A palm without walls, a shop that can make anything, metals that stand a lot."""
    wide = {"x0": -500.0, "x1": 500.0, "y0": -500.0, "y1": 500.0, "z0": -500.0, "z1": 500.0}
    limits = replace(
        b.limits, lean=radians(80.0), tilt=radians(85.0), transmission=radians(85.0), wrap=50.0,
        share_error=5.0, grip_ratio=0.05, finger_floor=0.0, input_drag=0.01, min_wheel_teeth=1,
    )  # fmt: skip
    shop = replace(
        b.shop, min_web=0.01, edge_over_thickness=0.1, hole_over_thickness=0.1, smallest_drill=0.1,
        largest_turned=1e3, gap=0.05, chain_side_gap=0.05,
    )  # fmt: skip
    strength = replace(
        b.strength, overload=0.1, design_factor=0.1, chain_factor=0.01, lock="input drawbar"
    )
    return replace(
        b,
        aims=AIMS,
        cavity=replace(b.cavity, box=replace(b.cavity.box, **wide), keepouts=(), clearance=0.0),
        wrist=replace(b.wrist, travel=radians(150.0)),
        grips=tuple(replace(g, floor=(0.0,) * len(g.floor)) for g in b.grips),
        limits=limits,
        shop=shop,
        strength=strength,
        fatigue=replace(b.fatigue, factor=0.05),
    )


@cache
def many(architecture: str, fingers: int, seed: int, n: int) -> Case:
    """A fixed set of random drives on an eased hand, scored once."""
    case = drawn(architecture, fingers, seed, n)
    easy = case.but(brief=eased(case.brief))
    return easy.but(X=vectors(easy.space, N, np.random.default_rng(5), USEFUL))


@pytest.fixture(params=params(HANDS))
def pool(request: pytest.FixtureRequest) -> Case:
    """Drives many of which fit."""
    return many(*request.param)


def aims(case: Case) -> Aims:
    return aims_of(case.brief, case.searched.aims.keys())


def rows(case: Case) -> Rows:
    """What an archive sees of them."""
    s = case.searched
    kept = Scores(
        s.aims, {k: v for k, v in s.slacks.items() if k not in NOT_EASED}, s.margins, s.check_names
    )
    return Rows(case.X, aims(case).small(s), kept.violation, s.aims["pieces"])


def front_of(case: Case) -> Rows:
    seen = rows(case)
    assert seen.feasible.sum() > 1, "too few fit to say anything"
    return merged(added(empty(case.X.shape[1], aims(case).enough), seen)).kept


def check_no_better(one: Rows, two: Rows, of: Aims) -> None:
    """Every row of `two` is weakly dominated by one of `one`, which covers as much or more."""
    a, b = clipped(one.F, of.enough), clipped(two.F, of.enough)
    assert (a[None, :, :] <= b[:, None, :]).all(axis=2).any(axis=1).all()
    covered = [hypervolume(r.F, of.enough, of.box) for r in (one, two)]
    assert covered[1] <= covered[0] * (1.0 + 1e-12)


@pytest.mark.parametrize("limit", ["mass", "cost", "service_weeks"])
def test_a_limit_more_never_helps(pool: Case, limit: str) -> None:
    """Relation 10, at the middle of what fits: the new front is nowhere before the old.

    What fits now is the part of what fitted that keeps the new limit, and no other.
    """
    was = rows(pool)
    value = pool.searched.aims["weeks" if limit == "service_weeks" else limit]
    middle = float(np.median(value[was.feasible]))
    limits = replace(pool.brief.limits, **{limit: middle})
    limited = pool.but(brief=replace(pool.brief, limits=limits))
    now = rows(limited)
    np.testing.assert_array_equal(was.F, now.F)
    keeps = value >= middle if limit == "service_weeks" else value <= middle
    np.testing.assert_array_equal(now.feasible, was.feasible & keeps)
    assert now.feasible.sum() < was.feasible.sum()
    check_no_better(front_of(pool), front_of(limited), aims(pool))


def test_the_order_of_the_candidates_does_not_matter(pool: Case) -> None:
    """Relation 11: the same drives on the front with the same scores."""
    order = np.random.default_rng(6).permutation(N)
    one, two = front_of(pool), front_of(pool.but(X=pool.X[order]))

    def listed(r: Rows) -> Floats:
        table = np.column_stack([r.X, r.F])
        return table[np.lexsort(table.T)]

    np.testing.assert_array_equal(listed(one), listed(two))


def enumerated(case: Case) -> Case:
    """Some of the drives in every sheet of the stock, bare and bushed."""
    few = case.X[np.argsort(rows(case).violation, kind="stable")[:6]]
    keys = [v.key for v in case.space.variables]
    plates = len(case.stock.plates)
    X = np.repeat(few, 2 * plates, axis=0)
    X[:, keys.index("plate")] = np.tile(np.repeat(np.arange(plates), 2), len(few))
    X[:, keys.index("bushed")] = np.tile([0.0, 1.0], len(few) * plates)
    return case.but(X=X)


def with_plate(stock: Stock, thickness: float) -> Stock:
    """One sheet more, at the end of the list."""
    last = stock.plates[-1]
    new = replace(last, name=f"{last.metal} {thickness:g}", thickness=thickness)
    return replace(stock, plates=(*stock.plates, new))


def test_more_stock_never_hurts(pool: Case) -> None:
    """Relation 12: a sheet more; those that do not use it score as before, and the front is no worse."""
    before = enumerated(pool)
    more = before.but(stock=with_plate(pool.stock, 2.5))
    check_equal(before.searched, score(more.space, before.X))
    after = every_sheet(before, more)
    check_no_better(front_of(after), front_of(before), aims(pool))


def test_stock_that_never_fits_changes_nothing(pool: Case) -> None:
    """Relation 12: a sheet as thick as a house is on no front."""
    before = enumerated(pool)
    after = every_sheet(before, before.but(stock=with_plate(pool.stock, 5000.0)))
    assert not rows(after).feasible[len(before.X) :].any()
    one, two = front_of(before), front_of(after)
    np.testing.assert_array_equal(one.X, two.X)
    np.testing.assert_array_equal(one.F, two.F)


def every_sheet(before: Case, more: Case) -> Case:
    """The enumerated set and the same drives in the new sheet."""
    keys = [v.key for v in more.space.variables]
    plate = keys.index("plate")
    new = before.X[before.X[:, plate] == 0.0].copy()
    new[:, plate] = len(more.stock.plates) - 1.0
    return more.but(X=np.concatenate([before.X, new]))


def test_units_and_copies_change_no_front(pool: Case) -> None:
    """Relation 13: mm3 for cm3, a zero put elsewhere, every candidate twice."""
    r, enough = rows(pool), aims(pool).enough
    fits = r.take(r.feasible)
    kept = front(fits.F, enough, fits.tie).tolist()
    scale, shift = np.array([1e3, 0.3937, 25.4, 4.0]), np.array([3.0, -1.0, 0.0, 0.5])
    moved = front(fits.F * scale + shift, enough * scale + shift, fits.tie).tolist()
    assert moved == kept
    twice = front(np.tile(fits.F, (2, 1)), enough, np.tile(fits.tie, 2)).tolist()
    assert twice == kept
