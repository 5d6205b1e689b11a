"""Relations 4 and 5: two fingers of a pair change places, or the two carriers with all that hangs on them.

A finger takes the other's place across the palm, and brings with it everything else that is its own: sizes,
springs, what it does in each grip, its arm of the bar.  Leans depend on where a finger stands beside what
pulls it, so both hold on the parallel skeleton, to the bit for pulls, draws and tilts.  Not compared: room,
box, cavity, keep-outs and clearances, which are matters of place; neighbours at opposite ends, whose patterns
are fixed by place, are left out of the brief.  Of a chain differential with its carriers exchanged only what
no bush rubs at: its input wheel stays where it is on the shaft, nearer to carrier b.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace

import numpy as np

from explorer.brief.records import Brief, Grip
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail, scores_of
from tests.relations.cases import SINGLES, Case
from tests.relations.compare import check_close, records

PLACE = ("knuckle_x", "pin_dx")
OF_PLACE = {"room", "box", "cavity", "keepout", "clearance"}
WITHOUT_FRICTION = {"share_error", "share", "stroke", "neighbour", "tilt", "reach", "transmission"}


def in_order(b: Brief, order: Sequence[int]) -> Brief:
    """Fingers in another order, each at the place of the one that it stands for."""

    def grip(g: Grip) -> Grip:
        wished = g.wished
        if isinstance(wished, tuple):
            wished = tuple(wished[i] for i in order)
        does = tuple(g.does[i] for i in order)
        return replace(g, does=does, floor=tuple(g.floor[i] for i in order), wished=wished)

    fingers = tuple(
        replace(b.fingers[i], **{name: getattr(b.fingers[at], name) for name in PLACE})
        for at, i in enumerate(order)
    )
    return replace(b, fingers=fingers, grips=tuple(grip(g) for g in b.grips))


def exchanged(case: Case, columns: Mapping[str, str]) -> Floats:
    """Vectors with pairs of columns exchanged, where they are there."""
    at = {v.key: j for j, v in enumerate(case.space.variables)}
    X = case.X.copy()
    for a, b in columns.items():
        if a in at:
            X[:, [at[a], at[b]]] = case.X[:, [at[b], at[a]]]
    return X


def without_neighbours(case: Case) -> Case:
    b = case.brief
    return case.but(brief=replace(b, positions=replace(b.positions, neighbours="off")))


def check_pulls(one: Detail, two: Detail, order: Sequence[int]) -> None:
    """Draws and pulls of each finger, and of the whole, to the bit."""
    for at, i in enumerate(order):
        for name in ("low", "high", "plain"):
            same = getattr(one.shares, name)(i), getattr(two.shares, name)(at)
            np.testing.assert_array_equal(*same, err_msg=f"share of finger {i}")
        np.testing.assert_array_equal(one.strength.finger[i], two.strength.finger[at])
    for name in ("X", "Y", "theta", "a1", "a2"):
        np.testing.assert_array_equal(getattr(one.motion, name), getattr(two.motion, name))


def check_scores(one: Detail, two: Detail, compared: Callable[[str], bool]) -> None:
    was, now = scores_of(one), scores_of(two)
    for before, after in ((was.aims, now.aims), (was.slacks, now.slacks)):
        for name, value in before.items():
            if compared(name):
                check_close(value, after[name], name)


def check_loads(one: Detail, two: Detail, prefix: str, order: Sequence[int]) -> None:
    """Every joint's load and make, to the bit; `prefix` before the letters a and b that are exchanged.

    Of a chain differential the second stages alone: its own parts lie in a row on the shaft.
    """
    here, there = records(one.loads), records(two.loads)
    in_a_row = one.space.architecture.startswith("chain_differential")

    def twin_of(key: str) -> str:
        key = re.sub(rf"\b({prefix})([ab])\b", lambda m: m[1] + "ba"["ab".index(m[2])], key)
        return re.sub(r"\b(finger \w+ )(\d)", lambda m: m[1] + str(order.index(int(m[2]))), key)

    for (kind, key), record in here.items():
        if in_a_row and not re.match("carrier|finger", key):
            continue
        twin = there[kind, twin_of(key)]
        for f in fields(record):
            a, b = getattr(record, f.name), getattr(twin, f.name)
            if isinstance(a, np.ndarray):
                np.testing.assert_array_equal(a, b, err_msg=f"{key} {f.name}")


def test_two_fingers_of_a_pair_change_places(case: Case) -> None:
    case = without_neighbours(case)
    groups = case.space.groups
    for k in case.space.pairs:
        i, j = groups[k]
        order = list(range(case.fingers))
        order[i], order[j] = j, i
        side = ("index_", "little_")[k] if len(case.space.pairs) > 1 else ""
        columns = {f"bar_{side}arm_a_mm": f"bar_{side}arm_b_mm"}
        other = case.but(brief=in_order(case.brief, order), X=exchanged(case, columns))
        one, two = case.skeleton, other.skeleton
        check_pulls(one, two, order)
        m, n = one.motion.second[k], two.motion.second[k]
        assert m is not None
        assert n is not None
        np.testing.assert_array_equal(m.y, n.y)
        np.testing.assert_array_equal(m.tilt, -n.tilt)

        check_loads(one, two, f"carrier {'ab'[k]} end ", order)
        check_scores(one, two, lambda name: name not in OF_PLACE)


CARRIERS = {
    "lever_arm_a_mm": "lever_arm_b_mm",
    "wheel_a_teeth": "wheel_b_teeth",
    "bar_index_arm_a_mm": "bar_little_arm_a_mm",
    "bar_index_arm_b_mm": "bar_little_arm_b_mm",
}


def test_carriers_change_places(case_of_two: Case) -> None:
    case = without_neighbours(case_of_two)
    order = [i for group in case.space.groups[::-1] for i in group]
    other = case.but(
        brief=in_order(case.brief, order),
        X=exchanged(case, CARRIERS),
        single=SINGLES[1 - SINGLES.index(case.single)],
    )
    one, two = case.skeleton, other.skeleton
    check_pulls(one, two, order)
    assert one.motion.first is not None
    assert two.motion.first is not None
    np.testing.assert_array_equal(one.motion.first.y, two.motion.first.y)
    np.testing.assert_array_equal(one.motion.first.tilt, -two.motion.first.tilt)
    for a, b in zip(one.strength.carrier, two.strength.carrier[::-1], strict=True):
        np.testing.assert_array_equal(a, b)

    check_loads(one, two, "carrier |carrier link |carrier strand end |first lever end ", order)
    rubs = case.architecture.startswith("chain_differential")
    check_scores(one, two, lambda n: n in WITHOUT_FRICTION if rubs else n not in OF_PLACE)
