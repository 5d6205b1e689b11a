"""Relation 18: without offset, tilt, dogleg or coupling what is left is the law of the lever."""

from __future__ import annotations

from dataclasses import replace
from math import cos

import numpy as np
import pytest

from explorer.brief.demand_build import build_demand
from explorer.brief.records import Brief, Post, Sector
from explorer.drives.bodies import Bar, GearSplit, Wheel
from explorer.drives.motion import move
from explorer.drives.ratios import Rocker
from tests.factories import make_brief, make_grip
from tests.relations.cases import Case
from tests.relations.compare import check_close
from tests.relations.conftest import HANDS

STRAIGHT = ("lever_offset_mm", "bar_offset_mm", "dogleg_deg")


def straight(case: Case) -> Case:
    """No offset of a centre pin and no dogleg."""
    bent = [v.key in STRAIGHT for v in case.space.variables]
    return case.but(X=np.where(bent, 0.0, case.X))


def test_equal_draws_share_by_the_law_of_the_lever(case: Case) -> None:
    """To the bit: l_b/(l_a + l_b) of a bar, half of a wheel, r_b/(r_a + r_b) of a differential."""
    one = straight(case)
    drive, pin_x = one.space.build(one.X), one.space.shelf.demand.pin_x
    m = move(drive, np.array([[0.0], [3.0], [8.0]]) * np.ones(case.fingers), pin_x, skeleton=True)
    pairs = zip((drive.first, *(c.body for c in drive.carriers)), (m.first, *m.second), strict=True)
    for body, stage in pairs:
        if body is None:
            continue
        assert stage is not None
        if isinstance(body, Bar):
            a, b = body.l_b, body.l_a
        elif isinstance(body, GearSplit):
            a, b = body.r_b, body.r_a
        else:
            assert isinstance(body, Wheel)
            a = b = np.ones_like(body.D)
        np.testing.assert_array_equal(stage.share_a, a / (a + b) + 0.0 * stage.y)
        np.testing.assert_array_equal(stage.share_b, b / (a + b) + 0.0 * stage.y)


def test_a_straight_rocker_has_the_ratio_of_its_arms(case: Case) -> None:
    """X/Y = a1/a2 = r1/r2 in every position; of wheels that of their mean arms."""
    one = straight(case).skeleton
    m, r = one.motion, one.drive.ratio
    arms = (r.r1, r.r2) if isinstance(r, Rocker) else (r.a1, r.a2)
    check_close(arms[0] * m.Y, arms[1] * m.X, "draws")
    check_close(arms[0] * m.a2_0, arms[1] * m.a1_0, "arms")


def straight_fingers(n: int) -> Brief:
    """Fingers without a middle joint's bend on a flat thing that the post holds up to them."""
    brief = make_brief(n)
    fingers = tuple(replace(f, coupling=0.0, q2_rest=0.0) for f in brief.fingers)
    post = Post("thumb", 50.0, -60.0, 0.0, 1.0, 0.0)
    grip = make_grip("lid", ("engaged",) * n, shape="flat", width=20.0, post="thumb")
    pad = replace(brief.friction, pad=100.0)
    return replace(brief, fingers=fingers, posts={"thumb": post}, grips=(grip,), friction=pad)


@pytest.mark.parametrize("fingers", HANDS)
def test_a_straight_finger_is_a_lever_of_its_length(fingers: int) -> None:
    """The pad's force is the drawbar's times its arm over L1 + d."""
    brief = straight_fingers(fingers)
    demand = build_demand(brief)
    (p,) = demand.index("grip")
    for i, f in enumerate(brief.fingers):
        turn = demand.q1[p, i] - f.q1_rest
        r = f.drive.radius
        arm = r if isinstance(f.drive, Sector) else r * cos(f.drive.psi + turn)
        assert demand.m_ideal[p, i] == pytest.approx(arm / (f.L1 + f.pad_distance), rel=1e-12)
