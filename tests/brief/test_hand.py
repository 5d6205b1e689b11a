"""Selector, ring and wrist joint in the brief: read as written, refused where they disagree, silent unwritten."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from explorer.brief.hand_records import OWN_ORDER, Place

if TYPE_CHECKING:
    from tests.brief.conftest import Bench

MOUNTS = "strip_length_mm = 80.0 # mm\n"
JOINT = """[wrist_joint]
at_mm = [1.0, -90.0, 12.0] # mm
axis = "z"
[[wrist_joint.stack]]
name = "own"
bearings = ["deep groove 10/19", "deep groove 10/19"]
at_mm = [-8.0, 8.0]
"""


def test_unwritten_they_are_assumed_and_leave_the_brief_its_name(bench: Bench) -> None:
    study = bench.read()
    assert study.brief.selector == OWN_ORDER
    assert study.brief.joint.at is None
    assert study.brief.mounts.ring_centre is None
    assert "selector" not in study.canonical
    assert "wrist_joint" not in study.canonical


def test_written_they_are_read_and_name_another_brief(bench: Bench) -> None:
    before = bench.read()
    ring = "ring_centre_mm = [0.0, -30.0, 14.0] # mm\n"
    selector = '[selector]\norder = ["bag", "card"]\ncycles = false\n'
    bench.swap(MOUNTS, MOUNTS + ring + selector + JOINT)
    brief = bench.read().brief
    assert brief.selector.order == ("bag", "card")
    assert not brief.selector.cycles
    assert brief.mounts.ring_centre == Place(0.0, -30.0, 14.0)
    assert (brief.joint.at, brief.joint.axis) == (Place(1.0, -90.0, 12.0), "z")
    assert brief.joint.stacks[0].at == (-8.0, 8.0)
    assert brief.hash6 != before.brief.hash6


@pytest.mark.parametrize(
    ("text", "path", "says"),
    [
        ('[selector]\norder = ["bagg"]\n', "selector.order[1]", "bag"),
        ('[selector]\norder = ["bag", "bag"]\n', "selector.order[2]", "twice"),
        ('[selector]\norde = ["bag"]\n', "selector.orde", "order"),
        (JOINT.replace("[-8.0, 8.0]", "[-8.0]"), "wrist_joint.stack.own.at_mm", "2 numbers"),
        (JOINT.replace('["deep groove 10/19"', '["deep grove 10/19"'),
         "wrist_joint.stack.own.bearings[1]", "deep groove 10/19"),
        (JOINT.replace("[1.0, -90.0, 12.0]", "[1.0, -90.0]"), "wrist_joint.at_mm", ""),
    ],
)  # fmt: skip
def test_what_disagrees_is_refused_where_it_stands(
    bench: Bench, text: str, path: str, says: str
) -> None:
    line = bench.swap(MOUNTS, MOUNTS + text)
    problem = bench.one_error()
    assert problem.path == path
    assert problem.line is not None
    assert problem.line > line
    assert says in f"{problem.message} {problem.allowed} {problem.mend}"


def test_a_grip_that_is_off_has_no_detent(bench: Bench) -> None:
    bench.swap(MOUNTS, MOUNTS + '[selector]\norder = ["bag"]\n')
    bench.swap('name = "bag"\n', 'name = "bag"\non = false\n')
    assert "switched off" in bench.one_error().message
