"""From brief to demand: positions, flags, numbers; and every way in which a grip cannot be had."""

from dataclasses import replace
from math import atan, cos, degrees, radians, sin, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.demand import Demand
from explorer.brief.demand_build import build_demand
from explorer.brief.errors import BadInput, Problem
from explorer.brief.records import Brief, Crank, Finger, Positions, Post
from tests.factories import G, make_brief, make_grip, make_posts


def with_finger(brief: Brief, i: int, **changes: Any) -> Brief:  # noqa: ANN401
    fingers = tuple(replace(f, **changes) if j == i else f for j, f in enumerate(brief.fingers))
    return replace(brief, fingers=fingers)


def with_grip(brief: Brief, i: int, **changes: Any) -> Brief:  # noqa: ANN401
    grips = tuple(replace(g, **changes) if j == i else g for j, g in enumerate(brief.grips))
    return replace(brief, grips=grips)


def problems_of(brief: Brief) -> tuple[Problem, ...]:
    with pytest.raises(BadInput) as caught:
        build_demand(brief)
    return caught.value.problems


def row_of(demand: Demand, name: str) -> int:
    return next(i for i, p in enumerate(demand.positions) if p.name == name)


# --- positions


@pytest.mark.parametrize(
    ("n", "patterns"),
    [
        (2, ["01", "10"]),
        (3, ["010", "101"]),
        (4, ["0101", "1010", "1100", "0011"]),
    ],
)
def test_positions_stand_in_order(n: int, patterns: list[str]) -> None:
    brief = make_brief(n)
    demand = build_demand(brief)
    grips = [g.name for g in brief.grips]
    squeezed = [f"{g.name}, squeezed" for g in brief.grips if g.kind == "powered"]
    neighbours = [f"neighbours {p}" for p in patterns]
    expected = ["open", *grips, *squeezed, "empty fist", *neighbours]
    assert [p.name for p in demand.positions] == expected
    assert demand.draw.shape == (len(expected), n)
    for p, pattern in zip(demand.positions[-len(patterns) :], patterns, strict=True):
        drawn = demand.draw[row_of(demand, p.name)] == demand.full_draw
        assert [int(x) for x in drawn] == [int(x) for x in pattern]


def test_what_is_switched_off_leaves_no_position_and_no_complaint() -> None:
    brief = make_brief(positions=Positions("report", "off", "off"))
    brief = with_grip(brief, 0, on=False, width=300.0)
    demand = build_demand(brief)
    kinds = {p.kind for p in demand.positions}
    assert kinds == {"open", "grip", "squeeze", "carry"}
    assert "lopper handle" not in [p.name for p in demand.positions]
    assert not demand.positions[0].must
    assert [p.grip for p in demand.positions if p.kind == "grip"] == [1, 2, 3]


def test_must_marks_follow_the_brief() -> None:
    demand = build_demand(make_brief(positions=Positions("must", "report", "must")))
    must = {p.kind: p.must for p in demand.positions}
    assert must == {
        "open": True, "grip": True, "carry": True, "squeeze": True, "fist": False,
        "neighbours": True,
    }  # fmt: skip


def test_parked_and_free_fingers() -> None:
    brief = with_grip(make_brief(), 2, does=("engaged", "engaged", "free", "parked_closed"))
    demand = build_demand(brief)
    twine, knife = row_of(demand, "twine"), row_of(demand, "pruning knife")
    assert demand.free[twine].tolist() == [False, False, True, False]
    assert demand.parked_closed[twine].tolist() == [False, False, False, True]
    assert np.array_equal(demand.draw[twine, 2:], demand.full_draw[2:])
    assert demand.draw[knife, 3] == 0.0
    assert demand.parked_open[knife].tolist() == [False, False, False, True]
    assert np.array_equal(demand.m[twine, 2:], [0.0, 0.0])
    # A latched finger has nothing to reopen it; a free one has to come back.
    assert demand.must_open[twine].tolist() == [True, True, True, False]


def test_each_finger_does_one_thing_where_there_is_a_grip() -> None:
    demand = build_demand(make_brief())
    flags = np.stack([demand.engaged, demand.parked_open, demand.parked_closed, demand.free])
    gripping = demand.index("grip", "squeeze", "carry")
    assert np.all(np.count_nonzero(flags[:, gripping], axis=0) == 1)


def test_only_reported_positions_need_not_reopen() -> None:
    demand = build_demand(make_brief())
    assert not np.any(demand.must_open[demand.index("neighbours")])
    assert np.all(demand.must_open[demand.index("open", "fist")])


# --- numbers


def straight_brief() -> Brief:
    """One bar of 60 mm per finger (no coupling): the pad meets a face 30 mm below at 30 degrees."""
    brief = make_brief(2)
    body = {"L1": 40.0, "L2": 30.0, "coupling": 0.0, "q2_rest": 0.0, "pad_distance": 20.0}
    for i in (0, 1):
        brief = with_finger(brief, i, **body, pad_thickness=0.0, efficiency=0.9)
    post = Post("bench", 50.0, -40.0, 0.0, 1.0, 0.0)
    grip = make_grip("slat", ("engaged", "engaged"), shape="flat", width=10.0, post="bench")
    return replace(brief, posts={"bench": post}, grips=(grip,))


def test_a_flat_grip_by_hand() -> None:
    demand = build_demand(straight_brief())
    slat = row_of(demand, "slat")
    r = np.array([10.5, 11.0])
    assert demand.q1[slat] == pytest.approx(radians(30.0), abs=1e-9)
    assert demand.draw[slat] == pytest.approx(r * radians(30.0), abs=1e-9)
    assert demand.m_ideal[slat] == pytest.approx(r / 60.0, rel=1e-9)
    assert demand.m[slat] == pytest.approx(0.9 * r / 60.0, rel=1e-9)
    assert demand.press[slat] == pytest.approx(sqrt(3.0) / 2.0, rel=1e-9)
    assert demand.spring[slat] == pytest.approx(1.5 + 0.15 * r * radians(30.0), rel=1e-9)
    assert demand.need[slat] == 36.0


def test_a_carried_load_by_hand() -> None:
    demand = build_demand(make_brief())
    pail = row_of(demand, "pail")
    little_arm = 10.5 * cos(radians(30.0))  # psi -40 deg turned by 70
    crate = row_of(demand, "fruit crate")
    assert demand.m_ideal[crate, 3] == pytest.approx(little_arm / 24.0)
    assert demand.m[crate, 0] == pytest.approx(0.95 * 10.5 / 24.0)
    assert demand.draw[pail] == pytest.approx([10.5 * radians(70.0), 11 * radians(70.0), 0.0, 0.0])
    assert demand.draw[crate, 3] == pytest.approx(10.5 * (sin(radians(30)) + sin(radians(40))))
    assert demand.press[crate].tolist() == [1.0] * 4
    assert demand.carried[pail] == pytest.approx(9.0 * G)


def test_the_wrist_by_hand() -> None:
    demand = build_demand(make_brief())
    pulls = (demand.pull_often, demand.pull_comfortable, demand.pull_peak)
    assert pulls == pytest.approx((52.0, 104.0, 280.0))
    assert demand.stroke == pytest.approx(25.85, abs=0.005)


def test_squeeze_draws_on_all_engaged_and_no_other() -> None:
    brief = make_brief()
    demand = build_demand(brief)
    for i in demand.index("squeeze"):
        of = demand.positions[i].of
        further = demand.draw[i] - demand.draw[of]
        assert further == pytest.approx(np.where(demand.engaged[of], brief.use.squeeze, 0.0))
        for forces in (demand.m, demand.m_ideal, demand.press, demand.need, demand.floor):
            assert np.all(forces[i] == 0.0)
    assert not np.any(demand.stopped)


def test_a_squeezed_finger_that_meets_its_stop_is_marked() -> None:
    brief = make_brief()
    demand = build_demand(replace(brief, use=replace(brief.use, squeeze=7.0)))
    squeezed = row_of(demand, "lopper handle, squeezed")
    contact = demand.positions[squeezed].of
    left = demand.full_draw - demand.draw[contact]
    assert demand.stopped[squeezed].tolist() == (left < 7.0).tolist()
    assert 0 < np.count_nonzero(demand.stopped[squeezed]) < 4
    assert np.all(demand.draw <= demand.full_draw)


def test_wished_shares() -> None:
    brief = with_grip(make_brief(), 0, wished="equal")
    brief = with_grip(brief, 1, wished=(0.3, 0.3, 0.2, 0.2))
    demand = build_demand(brief)
    assert demand.wished[row_of(demand, "lopper handle")].tolist() == [0.25] * 4
    assert demand.wished[row_of(demand, "apple")].tolist() == [0.3, 0.3, 0.2, 0.2]
    assert np.all(np.isnan(demand.wished[row_of(demand, "twine")]))
    demand = build_demand(with_grip(brief, 3, wished=(0.3, 0.2, 0.1)))  # one an engaged finger
    knife = demand.wished[row_of(demand, "pruning knife")]
    assert knife[:3].tolist() == [0.3, 0.2, 0.1]
    assert np.isnan(knife[3])


def test_the_angle_gives_back_the_draw() -> None:
    demand = build_demand(make_brief())
    sectors = np.array([10.5, 11.0, 10.5])
    assert demand.q1[:, :3] * sectors == pytest.approx(demand.draw[:, :3], abs=1e-12)
    crank = 10.5 * (np.sin(demand.q1[:, 3] - radians(40)) + sin(radians(40)))
    assert crank == pytest.approx(demand.draw[:, 3], abs=1e-12)


@given(st.floats(20.0, 60.0), st.floats(20.0, 60.0), st.floats(1.0, 20.0))
def test_a_parked_finger_s_own_sizes_do_not_matter(L1: float, L2: float, d: float) -> None:
    """A finger parked closed or open counts by its drive alone."""
    brief = make_brief()
    brief = replace(brief, grips=(brief.grips[2], brief.grips[5]))
    plain = build_demand(brief)
    other = build_demand(with_finger(brief, 3, L1=L1, L2=L2, pad_distance=d))
    for field in ("draw", "m", "m_ideal", "press", "spring", "q1"):
        assert np.array_equal(getattr(plain, field), getattr(other, field))


def twice(finger: Finger) -> Finger:
    sized = ("L1", "L2", "pad_distance", "pad_thickness", "d_min", "d_max")
    return replace(
        finger,
        **{s: 2 * getattr(finger, s) for s in sized},
        drive=replace(finger.drive, radius=2 * finger.drive.radius),
    )


def test_a_hand_of_twice_the_size_draws_twice_and_presses_the_same() -> None:
    brief = make_brief()
    posts = {k: replace(p, y=2 * p.y, z=2 * p.z) for k, p in make_posts().items()}
    grips = tuple(replace(g, width=2 * g.width, carry_h=2 * g.carry_h) for g in brief.grips)
    big = replace(brief, fingers=tuple(map(twice, brief.fingers)), posts=posts, grips=grips)
    small, large = build_demand(brief), build_demand(big)
    forces = small.index("open", "grip", "carry", "fist")
    assert large.draw[forces] == pytest.approx(2 * small.draw[forces], rel=1e-10)
    assert large.m == pytest.approx(small.m, rel=1e-10)
    assert large.press == pytest.approx(small.press, rel=1e-10)


# --- refusals, each with a near miss that passes


def test_cannot_close_that_far_names_finger_grip_and_nearest_width() -> None:
    brief = with_finger(make_brief(), 2, q1_max=radians(46.0))
    (problem,) = (p for p in problems_of(brief) if p.path == "grip.lopper handle.width_mm")
    assert "cannot close that far" in problem.message
    assert "ring finger" in problem.message
    assert '"lopper handle"' in problem.message
    nearest = float(problem.allowed.removeprefix("at least ").removesuffix(" mm"))
    assert f"{nearest:g} mm" in problem.message
    assert nearest > 28.0
    assert build_demand(only(with_grip(brief, 0, width=nearest), 0)).draw.size
    assert len(problems_of(only(with_grip(brief, 0, width=nearest - 0.2), 0))) == 1


def only(brief: Brief, *which: int) -> Brief:
    return replace(brief, grips=tuple(brief.grips[i] for i in which))


def test_an_object_wider_than_the_open_hand() -> None:
    brief = only(make_brief(), 3)
    rough = replace(brief.friction, pad=1.0)  # so wide an object is met at 40 degrees off its face
    brief = replace(brief, friction=rough)
    (first, *_) = problems_of(with_grip(brief, 0, width=90.0))
    assert "does not fit in the open hand" in first.message
    most = min(
        float(p.allowed.removeprefix("at most ").removesuffix(" mm"))
        for p in problems_of(with_grip(brief, 0, width=90.0))
    )
    assert build_demand(with_grip(brief, 0, width=most)).draw.size


def test_the_wrong_phalanx_is_named() -> None:
    brief = only(make_brief(), 0)
    (problem,) = problems_of(with_finger(brief, 1, d_min=12.0))
    assert "proximal phalanx touches first" in problem.message
    assert "middle finger" in problem.message
    (problem,) = problems_of(with_finger(brief, 3, d_max=12.0))
    assert "fingertip touches first" in problem.message
    assert build_demand(with_finger(brief, 1, d_min=6.0)).draw.size


def test_a_dead_point_inside_the_range() -> None:
    (problem,) = problems_of(with_finger(make_brief(), 3, drive=Crank(10.5, radians(6.0))))
    assert problem.path == "finger.little.drive"
    assert "little finger" in problem.message
    assert "dead point" in problem.message
    assert build_demand(with_finger(make_brief(), 3, drive=Crank(10.5, radians(4.0)))).draw.size


def test_an_object_that_slips_out() -> None:
    brief = only(make_brief(), 0)
    demand = build_demand(brief)
    steepest = float(np.arccos(np.min(demand.press[row_of(demand, "lopper handle")])))
    slippery = replace(brief.friction, pad=np.tan(steepest) - 0.01)
    (problem,) = problems_of(replace(brief, friction=slippery))
    assert "slips out" in problem.message
    assert "little finger" in problem.message
    assert f"{degrees(atan(slippery.pad)):.1f}°" in problem.message
    enough = replace(brief.friction, pad=np.tan(steepest) + 0.01)
    assert build_demand(replace(brief, friction=enough)).draw.size


def test_a_pull_that_does_not_press() -> None:
    """Fused far back on itself, the distal phalanx moves away from its palm side as it closes."""
    brief = with_grip(straight_brief(), 0, width=20.0)
    folded = with_finger(brief, 1, q2_rest=radians(170.0), pad_distance=5.0)
    found = problems_of(folded)
    assert all("middle finger" in p.message for p in found)
    # L1 cos q2 + d (1 + k) = 40 cos 170 + 5 = -34.4 mm
    assert any("does not press" in p.message and "-34.4 mm" in p.message for p in found)
    assert build_demand(brief).draw.size


def test_carrying_outside_the_flexion_range() -> None:
    brief = only(make_brief(), 4)
    found = problems_of(with_grip(brief, 0, carry_q1=radians(86.0)))
    assert {p.path for p in found} == {"grip.fruit crate.q1_deg"}
    assert len(found) == 4
    assert all("flexion range" in p.message for p in found)
    assert build_demand(with_grip(brief, 0, carry_q1=radians(84.9))).draw.size
    (problem,) = problems_of(with_grip(brief, 0, carry_h=40.0))
    assert "little finger" in problem.message


def test_all_problems_come_at_once() -> None:
    brief = with_finger(make_brief(), 3, drive=Crank(10.5, radians(6.0)))
    brief = with_grip(with_grip(brief, 1, width=300.0), 4, carry_q1=radians(90.0))
    paths = {p.path for p in problems_of(brief)}
    assert paths == {"finger.little.drive", "grip.apple.width_mm", "grip.fruit crate.q1_deg"}


def test_the_brief_is_left_as_it_was() -> None:
    brief = make_brief()
    build_demand(brief)
    assert brief == make_brief()
