"""Each body balanced by itself, the whole hand against what comes from outside; ring and wrist joint by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
import pytest

from explorer.brief.demand_build import build_demand
from explorer.brief.hand_records import Place, Stack, WristJoint
from explorer.brief.records import Brief
from explorer.brief.stock_records import Bearing, Line, Stock
from explorer.drives.assemble import Space
from explorer.drives.exact import Exact, solve_exact
from explorer.drives.shelf import Shelf
from explorer.drives.values import random_vectors
from explorer.scoring.open import space_for
from explorer.scoring.reactions import Reactions, gripping, reactions, worst_gap, wrist_pull
from explorer.scoring.score import Detail, detail
from explorer.scoring.socket import SKIN, ring, ring_centre, skin_level
from explorer.scoring.wrench import Load, carried_to, moment, summed, vector
from explorer.scoring.wrist_joint import (
    JointLoad,
    check,
    fitted,
    joint_load,
    tilt_play,
    usual_stacks,
)
from tests.factories import make_brief, make_wrist
from tests.scoring.orchard import ALL, shelf, study, vectors
from tests.shelf import make_stock

EVERY = pytest.mark.parametrize("architecture", ALL)


def solved(space: Space, X: np.ndarray) -> tuple[Detail, Exact]:
    d = detail(space, X)
    demand = space.shelf.demand
    return d, solve_exact(d.drive, demand.draw, demand.pin_x)


def of_study(architecture: str, level: str = "comfortable") -> tuple[Detail, Exact, Reactions]:
    d, exact = solved(Space(shelf(), architecture), vectors(architecture)[:1])
    return d, exact, reactions(d, exact, wrist_pull(d, exact, level))  # type: ignore[arg-type]


def hands(fingers: int, brief: Brief, architecture: str, count: int = 6) -> list[Reactions]:
    """Random drives of a hand whose grips the exact linkage can hold."""
    s = Shelf(brief, make_stock(), build_demand(brief))
    space = space_for(s, architecture, "index side" if fingers == 3 else "")
    X = random_vectors(space, 40, np.random.default_rng(11))
    found: list[Reactions] = []
    for i in range(len(X)):
        d, exact = solved(space, X[i : i + 1])
        if len(gripping(s.demand, exact)) == len(s.demand.index("grip", "carry")):
            found.append(reactions(d, exact, wrist_pull(d, exact, "comfortable")))
        if len(found) == count:
            break
    return found


@EVERY
@pytest.mark.parametrize("level", ["comfortable", "peak"])
def test_the_whole_hand_closes(architecture: str, level: str) -> None:
    d, exact, r = of_study(architecture, level)
    demand = d.space.shelf.demand
    assert list(gripping(demand, exact)) == list(demand.index("grip", "carry"))
    assert worst_gap(r).max() < 1e-9
    gap = r.open_by()
    pull = r.F_in[:, None]
    assert (np.abs(gap.force) < 1e-9 * pull).all()
    assert (np.abs(gap.moment) < 1e-9 * pull * 100.0).all()  # arms of some 100 mm


@EVERY
@pytest.mark.parametrize("fingers", [2, 3, 4])
@pytest.mark.parametrize(
    "wrist",
    [
        {"reverses": False},
        {"reverses": True, "input_strut": "led from finger side", "input_far_x": 12.0},
        {"reverses": True, "input_length": 45.0, "input_far_x": 8.0},
    ],
    ids=["straight", "led round", "short strut"],
)
def test_every_kind_of_hand_closes(
    architecture: str, fingers: int, wrist: dict[str, object]
) -> None:
    """Straight and reversing, strut and strand led round, a short input drawbar; two to four fingers."""
    brief = make_brief(fingers, wrist=make_wrist(**wrist))
    found = hands(fingers, brief, architecture, 1)
    assert found
    for r in found:
        assert worst_gap(r).max() < 1e-9


@EVERY
@pytest.mark.parametrize("lock", ["none", "input drawbar", "carriers"])
def test_wherever_the_lock_is(architecture: str, lock: str) -> None:
    """A lock takes the place of the wrist: a load carried then has no other external."""
    strength = replace(make_brief().strength, lock=lock)
    found = hands(4, make_brief(strength=strength), architecture, 1)
    assert found
    demand = build_demand(make_brief())
    carries = [p.kind == "carry" for p in demand.positions]
    for r in found:
        assert worst_gap(r).max() < 1e-9
        carried = np.array([carries[p] for p in r.at])
        wrist = next(e for e in r.externals if e.kind == "wrist pull")
        locks = [m for m in r.mounts if m.kind == "lock" and "finger" not in m.name]
        locked = sum(np.abs(m.force[carried]).sum() for m in locks)
        assert (np.abs(wrist.force[carried]).sum() > 0.0) == (lock == "none")
        assert (locked > 0.0) == (lock != "none")
        assert (np.abs(wrist.force[~carried][:, 1]) == demand.pull_comfortable).all()


@EVERY
def test_zero_pull_gives_zero_reactions(architecture: str) -> None:
    d, exact, r = of_study(architecture)
    none = reactions(d, exact, np.zeros_like(r.F_in))
    for load in none.mounts + none.externals:
        assert not load.force.any(), load.name
        assert not load.couple.any(), load.name
    assert not ring(study().brief, none).pressure.any()


@EVERY
def test_a_wrong_arm_does_not_close(architecture: str) -> None:
    """The sum is a check: a finger whose pad force is 1 % off leaves a moment behind."""
    d, exact, r = of_study(architecture)
    demand = d.space.shelf.demand
    off = replace(d.space.shelf, demand=replace(demand, m_ideal=demand.m_ideal * 1.01))
    wrong = replace(d, space=Space(off, architecture))
    assert worst_gap(reactions(wrong, exact, r.F_in)).max() > 1e-5


def test_a_finger_by_hand() -> None:
    """One finger of the lopper grip: knuckle against drawbar, spring and pad, each from the brief."""
    d, exact, r = of_study("linked_lever+bar")
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    i, p = 0, r.at[0]
    by_name = {m.name: m for m in r.mounts}
    T = float(exact.pull_in[p, 0]) * 104.0
    S = 1.5 + 0.15 * float(demand.draw[p, 0])
    N = float(demand.m_ideal[p, 0]) * (T - S)
    finger = brief.fingers[0]
    angle = float(demand.q1[p, 0])
    a = angle + finger.q2_rest + finger.coupling * angle
    knuckle = by_name["knuckle of the index finger"]
    np.testing.assert_allclose(
        knuckle.force[i], [0.0, S - T + N * np.sin(a), N * np.cos(a)], rtol=1e-9, atol=1e-9
    )
    np.testing.assert_allclose(
        by_name["spring of the index finger"].force[i], [0.0, -S, 0.0], rtol=1e-12
    )
    lean = float(exact.lean[p, 0])
    np.testing.assert_allclose(
        by_name["guide of the index drawbar"].force[i], [-T * np.tan(lean), 0.0, 0.0], rtol=1e-9
    )


def test_the_pivot_is_the_vector_sum_of_both_drawbars() -> None:
    """Reversing: F_out + F_in along y, and the exit link's lean across; carried to its plate."""
    d, exact, r = of_study("linked_lever+bar")
    pivot = next(m for m in r.mounts if m.kind == "pivot")
    p = r.at[0]
    F_out = 104.0 * float(exact.out_per_in[p])
    lean = float(exact.exit_lean[0][p])
    expected = [F_out * np.tan(lean), 104.0 + F_out, 0.0]
    np.testing.assert_allclose(pivot.force[0], expected, rtol=1e-9, atol=1e-9)
    up = d.drive.z - d.space.shelf.brief.mounts.pivot_mount_z
    np.testing.assert_allclose(
        pivot.couple[0], [-up * expected[1], up * expected[0], 0.0], rtol=1e-9, atol=1e-9
    )


def test_stacked_tracks_load_their_bushes_apart() -> None:
    """Each chain at its own height: the bushes' sum is the net pull, not each of them."""
    d, exact, r = of_study("chain_winder+bar")
    bushes = [m for m in r.mounts if m.kind == "bush"]
    total = summed(bushes, np.zeros((len(r.at), 3)))
    F_out = r.F_in * exact.out_per_in[list(r.at)]
    powered = ~(d.space.shelf.demand.carried[list(r.at)] > 0.0)
    sign = 1.0 if d.space.shelf.brief.wrist.reverses else -1.0
    np.testing.assert_allclose(total.force[powered, 1], (F_out + sign * r.F_in)[powered], rtol=1e-9)


def test_moving_a_load_keeps_its_moment() -> None:
    row = np.ones(1)
    load = Load(
        "x",
        "pivot",
        vector(1.0, 2.0, 3.0, row),
        vector(4.0, 5.0, 6.0, row),
        vector(7.0, 8.0, 9.0, row),
    )
    np.testing.assert_array_equal(  # r x F by hand: (2*6-3*5, 3*4-1*6, 1*5-2*4)
        moment(load, np.zeros((1, 3))), [[-3.0 + 7.0, 6.0 + 8.0, -3.0 + 9.0]]
    )
    other = carried_to(load, vector(-5.0, 0.5, 11.0, row))
    about = vector(0.3, -0.7, 2.0, row)
    np.testing.assert_allclose(moment(other, about), moment(load, about), rtol=1e-12)


def pure(force: tuple[float, float, float], couple: tuple[float, float, float]) -> Reactions:
    """A hand whose mounts carry one force and one couple at the origin."""
    row = np.ones(1)
    load = Load(
        "all", "pivot", vector(0.0, 0.0, 0.0, row), vector(*force, row), vector(*couple, row)
    )
    return Reactions((0,), row, (load,), (load,))


def test_ring_by_hand() -> None:
    """30 N across and 4 N*m about its axis on a ring of radius 42, strip 15 x 70 mm.

    30 + 4000/84 = 77.6 N on 10.5 cm2: 7.39 N/cm2.
    """
    brief = make_brief()
    brief = replace(brief, mounts=replace(brief.mounts, ring_centre=Place(0.0, 0.0, 0.0)))
    found = ring(brief, pure((0.0, 5.0, 30.0), (0.0, 4000.0, 0.0)))
    assert found.turning[0] == 4000.0
    assert found.along[0] == 5.0
    assert found.strip[0] == pytest.approx(30.0 + 4000.0 / 84.0)
    assert found.pressure[0] == pytest.approx((30.0 + 4000.0 / 84.0) / 10.5)
    level = skin_level(float(found.pressure[0]))
    assert level is not None
    assert (level.words, level.known) == ("held for seconds", "guess")
    assert skin_level(0.1) is None
    assert [s.pressure for s in SKIN] == sorted(s.pressure for s in SKIN)


def test_an_unwritten_ring_stands_in_the_middle_of_the_cavity() -> None:
    assert ring_centre(make_brief()) == Place(0.0, -44.0, 15.0)


def test_the_joints_load_by_its_axis() -> None:
    brief = replace(make_brief(), joint=WristJoint(Place(0.0, 0.0, 0.0), "x"))
    found = joint_load(brief, pure((7.0, 3.0, 4.0), (900.0, 300.0, 400.0)))
    assert (found.radial[0], found.axial[0], found.tilt[0], found.turn[0]) == (
        5.0,
        7.0,
        500.0,
        900.0,
    )
    assert not found.assumed


def joint(radial: float, axial: float, tilt: float) -> JointLoad:
    one = [np.array([x]) for x in (radial, axial, tilt, 0.0)]
    return JointLoad(Place(0.0, 0.0, 0.0), False, *one)


def bearing(kind: Literal["thrust", "deep groove"], outside: float, C0: float, C: float) -> Bearing:
    line = Line(f"{kind} 10/{outside:g}", "buy", 0.0, 0.0, "from memory")
    width = 9.0 if kind == "thrust" else 5.0
    return Bearing(
        **vars(line), kind=kind, bore=10.0, outside=outside, width=width, static=C0, dynamic=C
    )


def stock_of(*bearings: Bearing) -> Stock:
    return replace(make_stock(), bearings=bearings)


PAIR = stock_of(bearing("deep groove", 19.0, 830.0, 1380.0), bearing("thrust", 24.0, 14e3, 10e3))


def test_the_usual_stacks_are_of_one_length() -> None:
    """23 mm: 9 + 5 + 9, and four of 5 with their outer middles 18 mm apart."""
    three, four = usual_stacks(PAIR)
    assert three.at == (-7.0, 0.0, 7.0)
    assert four.at == pytest.approx((-9.0, -3.0, 3.0, 9.0))
    assert usual_stacks(stock_of(PAIR.bearings[0])) == ()


def test_a_stack_by_hand() -> None:
    """100 N across, 60 N along, 850 N*mm of tilt; half of the grips turn the joint 0.2 turns, the others none.

    Deep groove: P0 100 (0.6 x 100 < 100), s0 8.3, L10 (1380/100)^3 million turns.
    Thrust: P0 60 + 4.37 x 850/17 = 278.5, s0 14,000/278.5.
    """
    load = joint(100.0, 60.0, 850.0)
    three = usual_stacks(PAIR)[0]
    found = check(three, PAIR, load, load, np.array([0.5]), np.array([0.2]))
    groove, thrust = found.bearings[1], found.bearings[0]
    assert (groove.equivalent, groove.s0) == (100.0, pytest.approx(8.3))
    assert groove.life_grips == pytest.approx(13.8**3 * 1e6 / 0.2 / 0.5)
    assert thrust.equivalent == pytest.approx(278.5)
    assert found.s0 == pytest.approx(8.3)
    assert found.tilt_play == pytest.approx(0.01 / 17.0)
    assert found.assumed


def test_the_trades_experience_of_a_wrist_joint() -> None:
    """Two thrust + one deep groove hold a wrist squarer than four radial (common practice, no source)."""
    three, four = (
        check(s, PAIR, joint(100.0, 30.0, 2000.0), joint(50.0, 10.0, 500.0), *np.ones((2, 1)))
        for s in usual_stacks(PAIR)
    )
    assert three.tilt_play < 0.7 * four.tilt_play
    tilting = joint(0.0, 0.0, 2000.0)
    s0 = [check(s, PAIR, tilting, tilting, *np.ones((2, 1))).s0 for s in usual_stacks(PAIR)]
    assert s0[0] > 2.0 * s0[1]


def test_written_clearances_count() -> None:
    """Bearings 20 mm apart with 0.03 and 0.01 mm: 1 mrad either way."""
    name = PAIR.bearings[0].name
    stack = Stack("own", (name, name), (-10.0, 10.0), (0.03, 0.01))
    assert tilt_play(fitted(stack, PAIR)) == pytest.approx(1e-3)
