"""Doubt: the sample is the scorer's own, repeats exactly, and its errors are what they say."""

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.records import Spread
from explorer.drives.assemble import Space
from explorer.drives.checks import PIN_GROUPS
from explorer.drives.shelf import Shelf
from explorer.mechanics.types import Floats
from explorer.scoring.doubt import (
    SURE,
    Doubt,
    _ranks,
    chance,
    doubt,
    factors,
    hands,
    influence,
    quantile,
)
from explorer.scoring.score import detail, score
from tests.scoring import orchard


@cache
def of_orchard(architecture: str, n: int = 400, seed: int = 20) -> Doubt:
    return doubt(orchard.space(architecture), orchard.vectors(architecture)[:1], n, seed)


def with_spreads(architecture: str, spreads: Sequence[Spread]) -> Space:
    shelf = orchard.shelf()
    brief = replace(shelf.brief, spreads=tuple(spreads))
    return Space(Shelf(brief, shelf.stock, shelf.demand), architecture)


def one_hand(space: Space, by: dict[str, float]) -> Space:
    """The plain twin: brief and stock written anew with one hand's numbers, no columns anywhere."""
    shelf = space.shelf
    brief, demand, stock = shelf.brief, shelf.demand, shelf.stock
    f = brief.friction
    share = min(brief.strength.circle_share * by["strength.drive_pins_sharing"], 1.0)
    brief = replace(
        brief,
        friction=replace(
            f,
            bushed=f.bushed * by["friction.bushed"],
            bare=f.bare * by["friction.bare"],
            chain=f.chain * by["friction.chain"],
        ),
        strength=replace(brief.strength, circle_share=share),
    )
    demand = replace(
        demand,
        pull_often=demand.pull_often * by["wrist.torque"],
        pull_comfortable=demand.pull_comfortable * by["wrist.torque"],
        pull_peak=demand.pull_peak * by["wrist.torque"],
    )
    metal, pin = by["metal.yield_MPa"], by["pin.yield_MPa"]
    stock = replace(
        stock,
        metals=tuple(replace(m, yield_=m.yield_ * metal) for m in stock.metals),
        gears=tuple(replace(g, yield_=g.yield_ * metal) for g in stock.gears),
        pins=tuple(replace(p, yield_=p.yield_ * pin) for p in stock.pins),
        shafts=tuple(replace(p, yield_=p.yield_ * pin) for p in stock.shafts),
    )
    return Space(Shelf(brief, stock, demand), space.architecture)


@pytest.mark.parametrize("architecture", orchard.ALL)
def test_a_batch_of_hands_is_each_hand_scored_alone(architecture: str) -> None:
    """To the last bit; as many hands as positions, where a column could pass for a row of positions."""
    space = orchard.space(architecture)
    X = orchard.vectors(architecture)[:1]
    n = len(space.shelf.scoring().demand.positions)
    by = factors(space.shelf.brief.spreads, n, 1)
    found = hands(space, X, by, n)
    for i in range(n):
        alone = one_hand(space, {k: float(v[i, 0]) for k, v in by.items()})
        d = detail(Space(alone.shelf.scoring(), architecture), X)
        assert found.ratio[i] == d.delivered.ratio[0].min()
        assert np.array_equal(found.force[i], d.delivered.force[0])
        pins = [c for c, name in enumerate(d.checks.names) if name.group in PIN_GROUPS]
        margin = d.checks.margin(alone.shelf.brief.strength.overload, 1.0, 1.0)[0, pins]
        assert found.margin[i] == margin.min()
        assert found.weakest[i] == d.checks.names[pins[int(margin.argmin())]]


@pytest.mark.parametrize("architecture", orchard.ALL)
def test_the_same_seed_repeats_exactly_and_another_does_not(architecture: str) -> None:
    again = doubt(orchard.space(architecture), orchard.vectors(architecture)[:1])
    assert again == of_orchard(architecture)
    assert of_orchard(architecture, 400, 21).ratio != again.ratio


@pytest.mark.parametrize("architecture", orchard.ALL)
def test_no_spread_no_doubt(architecture: str) -> None:
    X = orchard.vectors(architecture)[:1]
    keys = [s.path for s in orchard.shelf().brief.spreads]
    plain = score(orchard.space(architecture), X)
    for spreads in ([], [Spread(k, 0.0) for k in keys]):
        space = with_spreads(architecture, spreads)
        found = doubt(space, X, 50)
        assert found.ratio.value == plain.aims["grip"][0]
        estimates = (found.ratio, *found.force, *found.slips, found.yields, found.short)
        assert {e.error for e in estimates} == {0.0}
        assert {found.yields.value, found.short.value} <= {0.0, 1.0}
        assert set(found.on_ratio.share) | set(found.on_margin.share) <= {0.0}


@pytest.mark.parametrize("key", ["shop.pin_fit", "friction.pad", "metal.yield_MPa"])
def test_what_moves_no_force_puts_no_doubt_in_the_grip(key: str) -> None:
    space = with_spreads("linked_lever+bar", [Spread(key, 0.3)])
    found = doubt(space, orchard.vectors("linked_lever+bar")[:1], 100)
    assert found.ratio.error == pytest.approx(0.0, abs=1e-12)
    assert found.on_ratio.share == (0.0,)


def test_loose_pin_fits_eat_travel_and_slick_pads_let_slip() -> None:
    space = orchard.space("linked_lever+bar")
    X = orchard.vectors("linked_lever+bar")[:1]
    steps = np.array([[0.0], [1.0], [2.0]])
    travel = hands(space, X, {"shop.pin_fit": steps}, 3).travel
    play = detail(Space(space.shelf.scoring(), space.architecture), X).play[0]
    assert travel[:2] - travel[1:] == pytest.approx([play, play], rel=1e-9)
    slips = hands(space, X, {"friction.pad": np.array([[0.01], [1.0], [9.0]])}, 3).slips
    assert slips[0].any()  # the brief's own check lets no grip slip at the stated friction
    assert not slips[1:].any()


@given(st.floats(0.02, 0.6), st.integers(0, 99))
def test_factors_have_median_one_and_the_asked_spread(relative: float, seed: int) -> None:
    """Within five standard errors of a sample of 4000."""
    f = factors([Spread("a", relative)], 4000, seed)["a"][:, 0]
    assert (f > 0.0).all()
    sigma = math.sqrt(math.log1p(relative**2))
    assert abs(np.median(np.log(f))) < 5.0 * 1.2533 * sigma / math.sqrt(4000)
    assert np.log(f).std() == pytest.approx(sigma, rel=5.0 / math.sqrt(8000))


def test_an_inputs_draws_do_not_depend_on_the_others() -> None:
    a, b = Spread("friction.bare", 0.3), Spread("wrist.torque", 0.1)
    assert np.array_equal(factors([a, b], 9, 3)["wrist.torque"], factors([b], 9, 3)["wrist.torque"])


@pytest.mark.parametrize("p", [0.05, 0.3])
def test_the_stated_error_holds_and_falls_as_one_over_root_n(p: float) -> None:
    """Over 400 samples each of known normals: true value inside about 95 of 100 times, four-fold n halves it."""
    rng = np.random.default_rng(8)
    truth = {0.05: -1.6449, 0.3: -0.5244}[p]  # normal quantiles, from tables
    spread, stated = [], []
    for n in (200, 800, 3200):
        found = [quantile(rng.standard_normal(n), p) for _ in range(400)]
        inside = [abs(e.value - truth) <= e.error for e in found]
        assert 0.90 <= np.mean(inside) <= 0.99
        spread.append(np.std([e.value for e in found]))
        stated.append(np.mean([e.error for e in found]) / SURE)
    for errors in (spread, stated):
        assert errors[0] / errors[1] == pytest.approx(2.0, rel=0.15)
        assert errors[1] / errors[2] == pytest.approx(2.0, rel=0.15)


def test_the_error_of_a_chance_holds_and_falls_as_one_over_root_n() -> None:
    rng = np.random.default_rng(9)
    stated = []
    for n in (100, 400, 1600):
        found = [chance(rng.random(n) < 0.2) for _ in range(400)]
        assert 0.92 <= np.mean([abs(e.value - 0.2) <= e.error for e in found]) <= 0.98
        stated.append(np.mean([e.error for e in found]))
    assert stated[0] / stated[1] == pytest.approx(2.0, rel=0.03)
    assert stated[1] / stated[2] == pytest.approx(2.0, rel=0.03)
    assert chance(np.zeros(100, dtype=np.bool_)).error > 0.0  # none seen is not none


def test_a_drives_own_errors_fall_with_more_hands() -> None:
    few, many = of_orchard("linked_lever+bar", 200), of_orchard("linked_lever+bar", 3200)
    assert few.ratio.error / many.ratio.error == pytest.approx(4.0, rel=0.35)
    assert abs(few.ratio.value - many.ratio.value) < 2.0 * few.ratio.error


def linear(weights: Sequence[float], n: int = 400) -> tuple[Floats, Floats]:
    X = np.random.default_rng(4).standard_normal((n, len(weights)))
    return X, (X * np.array(weights)).sum(axis=1)


@given(st.permutations([0.0, 1.0, 2.0, 4.0, 8.0]))
def test_the_ranking_is_right_on_a_linear_fixture(weights: list[float]) -> None:
    """Variances of independent terms add up; for normals the ranks correlate by 6/pi asin(rho/2) (Pearson 1907)."""
    found = influence(*linear(weights))
    assert np.argsort(found.share)[1:].tolist() == np.argsort(weights)[1:].tolist()
    rho = np.abs(weights) / np.sqrt(np.sum(np.square(weights)))
    of_ranks = np.square(6.0 / np.pi * np.arcsin(rho / 2.0))
    assert found.share == pytest.approx((of_ranks / of_ranks.sum()).tolist(), abs=0.04)
    assert found.explained == pytest.approx(of_ranks.sum(), abs=0.03)
    assert sum(found.share) == pytest.approx(1.0)


def test_the_ranking_survives_a_bend_and_a_fall() -> None:
    """Ranks: any rising function of y gives the same shares; an input that lowers y counts as much."""
    X, y = linear([3.0, -2.0, 1.0])
    straight, bent = influence(X, y), influence(X, np.exp(3.0 * y))
    assert straight == bent
    assert np.argsort(straight.share).tolist() == [2, 1, 0]


@given(st.lists(st.integers(-3, 3) | st.floats(allow_nan=False), min_size=1, max_size=40))
def test_ranks_are_those_of_the_library(values: list[float]) -> None:
    from scipy.stats import rankdata  # half a second, which only this test is to pay

    x = np.array(values, dtype=np.float64)
    assert _ranks(x).tolist() == rankdata(x).tolist()


def test_a_number_that_does_not_move_has_no_influences() -> None:
    X, y = linear([1.0, 2.0])
    assert influence(X, np.ones_like(y)).share == (0.0, 0.0)
    assert influence(np.ones_like(X), y).share == (0.0, 0.0)
    assert influence(X, np.full_like(y, np.inf)).explained == 0.0
    assert quantile(np.full(9, np.inf)).value == np.inf


def test_a_doubt_is_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        of_orchard("linked_lever+bar").n = 1  # type: ignore[misc]  # that it is refused is the test
