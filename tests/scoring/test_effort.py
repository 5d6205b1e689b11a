"""Effort, truth table and lock loads against hand sums and against the scorer seen from another side."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.records import TorqueAt
from explorer.drives.assemble import Space
from explorer.drives.pulls import Shares
from explorer.scoring.effort import effort
from explorer.scoring.score import Detail, detail
from explorer.scoring.truth import carry_locks, park_loads, table, ways_of
from tests.scoring.orchard import ALL, shelf, told, vectors

EVERY = pytest.mark.parametrize("architecture", ALL)


def with_brief(architecture: str, **changed: object) -> Detail:
    """The same drives for a brief with some sections replaced."""
    few = replace(shelf(), brief=replace(shelf().brief, **changed))  # type: ignore[arg-type]  # any section of the brief, by its name
    return detail(Space(few, architecture), vectors(architecture)[:4])


@EVERY
def test_the_share_of_peak_is_the_torque_ratio(architecture: str) -> None:
    """By hand: torque needed over the brief's 7 N*m, and over its 1.3 N*m."""
    found = effort(told(architecture))
    asked = ~np.isnan(found.torque)
    assert asked.any()
    np.testing.assert_allclose(found.of_peak[asked], found.torque[asked] / 7000.0, rtol=1e-12)
    np.testing.assert_allclose(found.of_often[asked], found.torque[asked] / 1300.0, rtol=1e-12)
    assert ((found.torque[asked] > 1300.0) == found.above_often[asked]).all()


@EVERY
def test_that_torque_gives_just_the_needed_grip(architecture: str) -> None:
    """The scorer at the found torque as comfortable torque delivers the need of that grip."""
    d = told(architecture)
    found, demand = effort(d), d.space.shelf.demand
    for g, p in enumerate(d.delivered.at):
        torque = float(found.torque[0, p])
        pull = torque / d.space.shelf.brief.wrist.arm
        few = replace(d.space.shelf, demand=replace(demand, pull_comfortable=pull))
        again = detail(Space(few, architecture), vectors(architecture)[:1])
        assert again.delivered.ratio[0, g] == pytest.approx(1.0, rel=1e-9)


@EVERY
def test_a_load_is_lifted_by_what_the_scorer_says_and_a_lock_takes_the_holding(
    architecture: str,
) -> None:
    d = told(architecture)
    found, carries = effort(d), d.space.shelf.demand.carried > 0.0
    np.testing.assert_array_equal(found.pull[:, carries], d.lift[:, carries])
    assert (found.hold[:, carries] < found.pull[:, carries]).all()
    assert not found.hold_locked[:, carries].any()
    free = effort(
        with_brief(architecture, strength=replace(d.space.shelf.brief.strength, lock="none"))
    )
    np.testing.assert_array_equal(free.hold_locked, free.hold)


@EVERY
def test_travel_by_hand(architecture: str) -> None:
    """(draw + lost motion + play)/(25 mm x 62 deg); the squeeze takes more."""
    d = told(architecture)
    found, demand = effort(d), d.space.shelf.demand
    whole = 25.0 * np.radians(62.0)
    for p, position in enumerate(demand.positions):
        by_hand = (d.motion.X[:, p] + 1.2 + d.play) / whole
        np.testing.assert_allclose(found.travel[:, p], by_hand, rtol=1e-12)
        if position.kind == "grip":
            assert (found.travel_squeezed[:, p] > found.travel[:, p]).all()


def test_a_wrist_that_is_weaker_at_an_angle_is_asked_for_more_of_its_strength() -> None:
    brief = shelf().brief
    half = replace(brief.wrist, torque_at=(TorqueAt(0.0, 0.5), TorqueAt(1.5, 0.5)))
    weak = replace(shelf(), brief=replace(brief, wrist=half))
    weak = replace(
        weak,
        demand=replace(
            weak.demand, torque_angle=np.array([0.0, 1.5]), torque_share=np.array([0.5, 0.5])
        ),
    )
    X = vectors(ALL[0])[:3]
    a, b = (effort(detail(Space(s, ALL[0]), X)) for s in (shelf(), weak))
    np.testing.assert_allclose(b.of_peak, 2.0 * a.of_peak, rtol=1e-12)
    np.testing.assert_array_equal(a.torque, b.torque)


@EVERY
def test_shares_sum_to_the_pull_in_every_way(architecture: str) -> None:
    for row in table(told(architecture)):
        np.testing.assert_allclose(row.share.sum(axis=-1), 1.0, rtol=0.0, atol=1e-12)
        F_out = row.pull.sum(axis=-1)
        np.testing.assert_allclose(row.pull, row.share * F_out[:, None], rtol=1e-9)
        engaged = told(architecture).space.shelf.demand.engaged[row.p]
        np.testing.assert_array_equal(row.swallowed[:, ~engaged], row.pull[:, ~engaged])
        assert not row.swallowed[:, engaged].any()


@EVERY
def test_each_fingers_extremes_are_among_the_ways(architecture: str) -> None:
    """Where a bar is not tilted so far that a share turns negative: in what must hold."""
    d = told(architecture)
    s, must = d.shares, [p.must for p in d.space.shelf.demand.positions]
    ways = ways_of(s)
    assert len(ways) == 4
    for f in range(4):
        every = np.array([w.share[f][:, must] for w in ways])
        np.testing.assert_allclose(every.min(axis=0), s.low(f)[:, must], rtol=1e-12)
        np.testing.assert_allclose(every.max(axis=0), s.high(f)[:, must], rtol=1e-12)


@EVERY
def test_no_way_gives_less_grip_than_the_delivered_one(architecture: str) -> None:
    """Delivered grip is the least over all eight sign choices, of which the table shows four."""
    d = told(architecture)
    at = {p: g for g, p in enumerate(d.delivered.at)}
    for row in table(d):
        if row.p in at:
            assert (row.force.sum(axis=-1) >= d.delivered.force[:, at[row.p]] - 1e-9).all()


share = st.floats(0.2, 0.8)
skew = st.floats(0.0, 0.1)


def hand(c: float, k: float, a: float, b: float, ka: float, kb: float) -> Shares:
    """Four fingers: the first equaliser's share and skew, and those of both pairs."""
    one = [np.array([[x]]) for x in (c, 1.0 - c, k, a, 1.0 - a, b, 1.0 - b, ka, kb)]
    return Shares(
        carrier=(one[0], one[1]),
        skew_first=one[2],
        finger=tuple(one[3:7]),
        skew_second=(one[7], one[7], one[8], one[8]),
        carrier_of=(0, 0, 1, 1),
        sign_of=(1.0, -1.0, 1.0, -1.0),
    )


@given(share, skew, share, share, skew, skew)
def test_swapping_labels_mirrors_the_row(
    c: float, k: float, a: float, b: float, ka: float, kb: float
) -> None:
    """The same hand told from the little side: shares in reverse order, signs turned."""
    plain = {(w.first, w.second): w.share for w in ways_of(hand(c, k, a, b, ka, kb))}
    turned = ways_of(hand(1.0 - c, k, 1.0 - b, 1.0 - a, kb, ka))
    assert {(w.first, w.second) for w in turned} == set(product((1, -1), (1, -1)))
    for w in turned:
        other = plain[(-w.first, -w.second)]
        for f in range(4):
            assert w.share[f] == pytest.approx(other[3 - f], rel=1e-12)


@EVERY
def test_a_park_lock_carries_share_x_pull_x_factor(architecture: str) -> None:
    """By hand: the little finger parked open for the knife: 280 N through arms a1 and a2, shock 1.5."""
    d = told(architecture)
    names = [p.name for p in d.space.shelf.demand.positions]
    p = names.index("pruning knife")
    found = [x for x in park_loads(d) if x.p == p]
    assert [(x.finger, x.place) for x in found] == [(3, "lock")]
    F_out = 7000.0 / 25.0 * d.motion.a1[:, p] / d.motion.a2[:, p]
    high = (d.shares.carrier[1] + d.shares.skew_first)[:, p] * (
        d.shares.finger[3] + d.shares.skew_second[3]
    )[:, p]
    np.testing.assert_allclose(found[0].share, high, rtol=1e-12)
    np.testing.assert_allclose(found[0].load, high * F_out * 1.5, rtol=1e-12)


@EVERY
def test_the_carry_lock_by_hand(architecture: str) -> None:
    """On the input drawbar F_out dY/dX, at the carriers at least 0.6 of F_out, both with shock 1.5."""
    d = told(architecture)
    found = {x.p: x for x in carry_locks(d)}
    assert {d.space.shelf.demand.positions[p].name for p in found} == {"fruit crate", "pail"}
    strength = d.space.shelf.brief.strength
    carriers = {
        x.p: x
        for x in carry_locks(with_brief(architecture, strength=replace(strength, lock="carriers")))
    }
    for p, lock in found.items():
        F_out = d.everyday.F_out[:, p]
        np.testing.assert_allclose(lock.load, F_out * d.motion.a2[:, p] / d.motion.a1[:, p] * 1.5)
        assert (carriers[p].load >= 0.6 * 1.5 * F_out[:4] - 1e-9).all()
    none = with_brief(architecture, strength=replace(strength, lock="none"))
    assert carry_locks(none) == ()
