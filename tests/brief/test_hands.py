"""Briefs on hands of other sizes, against the survey and by plain invariants."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.demand_build import build_demand
from explorer.brief.hands import HANDS, LATERAL, PALM, PROXIMAL, Hand, on_hand, own_hand
from tests.factories import make_brief

# 2012 survey: mean and standard deviation of hand length, hand breadth, palm length, mm.
MEANS = {
    "male": ((193.28, 9.95), (88.26, 4.39), (116.46, 6.23)),
    "female": ((181.08, 10.06), (78.15, 3.84), (108.70, 5.94)),
}
Z = {5: -1.645, 50: 0.0, 95: 1.645}
# Index to little knuckle across the hand, mm, by sex at 5, 50 and 95: computed from the same survey
# and the lateral ratios by another hand than ours.
ROWS = {"male": (53.0, 57.6, 62.8), "female": (47.1, 51.0, 55.6)}


@pytest.mark.parametrize("hand", HANDS, ids=lambda h: h.name)
def test_percentiles_lie_where_mean_and_spread_put_them(hand: Hand) -> None:
    """Sizes are nearly normal: each percentile within 2 mm of mean + z sd of the same survey."""
    found = (hand.length, hand.breadth, hand.palm)
    for size, (mean, sd) in zip(found, MEANS[hand.sex], strict=True):
        assert size == pytest.approx(mean + Z[hand.percentile] * sd, abs=2.0)


@pytest.mark.parametrize("hand", HANDS, ids=lambda h: h.name)
def test_the_row_of_knuckles_has_the_surveyed_width(hand: Hand) -> None:
    there = on_hand(make_brief(4), hand)
    row = there.fingers[-1].knuckle_x - there.fingers[0].knuckle_x
    wide = ROWS[hand.sex][(5, 50, 95).index(hand.percentile)]
    assert row == pytest.approx(wide, abs=0.06)


@pytest.mark.parametrize("hand", HANDS, ids=lambda h: h.name)
def test_proximal_segments_add_up_to_the_surveyed_hands(hand: Hand) -> None:
    """Buchholz et al. 1992 (from memory): 0.245, 0.266, 0.244 and 0.204 of the hand's length."""
    there = on_hand(make_brief(4), hand)
    assert sum(f.L1 for f in there.fingers) == pytest.approx(sum(PROXIMAL) * hand.length)


@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_its_own_hand_leaves_the_brief_as_it_is(fingers: int) -> None:
    brief = make_brief(fingers)
    same = on_hand(brief, own_hand(brief))
    assert replace(same, name=brief.name) == brief


@given(st.floats(120.0, 240.0), st.floats(60.0, 110.0), st.floats(70.0, 140.0))
def test_a_brief_on_a_hand_suits_that_hand(length: float, breadth: float, palm: float) -> None:
    there = on_hand(make_brief(4), Hand("any", length, breadth, palm))
    found = own_hand(there)
    assert found.length == pytest.approx(length)
    assert found.breadth == pytest.approx(breadth)
    assert found.palm == pytest.approx(PALM * length)


@given(st.floats(120.0, 240.0), st.floats(60.0, 110.0), st.floats(70.0, 140.0))
def test_only_what_is_of_the_hand_changes(length: float, breadth: float, palm: float) -> None:
    brief = make_brief(4)
    there = on_hand(brief, Hand("any", length, breadth, palm))
    assert (there.limits, there.strength, there.friction, there.use, there.shop) == (
        brief.limits,
        brief.strength,
        brief.friction,
        brief.use,
        brief.shop,
    )
    assert there.wrist.torque_peak == brief.wrist.torque_peak
    assert [g.width for g in there.grips] == [g.width for g in brief.grips]
    for f, was in zip(there.fingers, brief.fingers, strict=True):
        # Knuckle, pin and drive keep their proportions: the pin stays on the drive's radius.
        assert pytest.approx(was.L2 / was.L1) == f.L2 / f.L1
        assert f.drive.radius / f.L1 == pytest.approx(was.drive.radius / was.L1)
        assert (f.knuckle_z - f.pin_z) * was.drive.radius == pytest.approx(
            (was.knuckle_z - was.pin_z) * f.drive.radius
        )
    box, was_box = there.cavity.box, brief.cavity.box
    assert (box.y1 - box.y0) / (was_box.y1 - was_box.y0) == pytest.approx(
        palm / own_hand(brief).palm
    )


def test_twice_the_hand_closes_on_twice_the_object_at_the_same_angles() -> None:
    """All lengths of the finger and of the object doubled: angles stay, draws double."""
    brief = make_brief(4)
    own = own_hand(brief)
    big = on_hand(brief, Hand("giant", 2 * own.length, 2 * own.breadth, 2 * own.palm))
    big = replace(
        big,
        grips=tuple(replace(g, width=2.0 * g.width) for g in big.grips),
        fingers=tuple(replace(f, pad_thickness=2.0 * f.pad_thickness) for f in big.fingers),
        use=replace(big.use, squeeze=2.0 * big.use.squeeze),
    )
    one, two = build_demand(brief), build_demand(big)
    assert two.q1 == pytest.approx(one.q1)
    assert two.draw == pytest.approx(2.0 * one.draw)
    assert two.pin_x == pytest.approx(2.0 * one.pin_x)
    assert two.m == pytest.approx(one.m)


def test_the_thumb_side_comes_first() -> None:
    """Index to little, as the briefs order their fingers."""
    assert list(LATERAL) == sorted(LATERAL, reverse=True)
