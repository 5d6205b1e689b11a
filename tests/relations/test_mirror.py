"""Relation 3: the hand mirrored, x to -x, with the order of its fingers and the arms of its drives.

Every scalar score is the same to 1e-12 (sums run the other way round), joints change places one to one,
and what lies along x changes its sign.  The chain differential's unit is no mirror image of any other: its
input wheel lies on the little side of the cage, its gears and bosses accordingly.  There the drive is
mirrored as a record, input wheel and all, which reaches to the grip; the loads and sizes of parts that a
mirrored unit would have cannot be asked of a family that does not build it.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from explorer.drives.motion import Motion, move
from explorer.drives.pulls import shares, strength_pulls, ways
from explorer.scoring import grip as gr
from tests.drives import random_drives
from tests.drives.random_drives import Sample
from tests.relations.cases import Case, drawn
from tests.relations.compare import check_close, records
from tests.relations.conftest import HANDS, params
from tests.relations.mirror import mirrored, mirrored_key, same_positions

BOTH_SIDES = [a for a in random_drives.ARCHITECTURES if not a.startswith("chain_differential")]


def test_a_mirrored_drive_moves_and_grips_as_its_mirror_image(case: Case) -> None:
    """Draws, arms, friction, shares and grip, of the record itself."""
    d, other = case.told, mirrored(case)
    demand, there = d.space.shelf.demand, other.space.shelf.demand
    at = same_positions(demand, there)
    drive = random_drives.mirrored(Sample(d.drive, demand.pin_x, demand.draw)).drive
    motion = move(drive, there.draw, there.pin_x)
    check_mirrored_motion(d.motion, motion, at)
    s = shares(drive, motion)
    w = ways(drive, motion, s)
    for f in range(case.fingers):
        g = case.fingers - 1 - f
        check_close(d.shares.low(f), s.low(g)[:, at], "least share")
        check_close(d.shares.high(f), s.high(g)[:, at], "largest share")
    for name in ("pull", "hold", "eta", "eta_hold"):
        check_close(getattr(d.ways, name), getattr(w, name)[:, at], name)
    given = gr.delivered(drive, motion, s, w, there, other.brief)
    check_close(d.delivered.force, given.force, "grip")
    check_close(d.share_error, gr.share_error(drive, s, there), "share error")
    pulls = strength_pulls(motion, s, there, other.brief)
    for one, two in zip(d.strength.finger, pulls.finger[::-1], strict=True):
        check_close(one, two[:, at][:, : one.shape[1]], "finger pull")


def check_mirrored_motion(one: Motion, two: Motion, at: np.ndarray) -> None:
    """Draws and arms stay, tilts and places along x turn their sign."""
    for name in ("X", "Y", "theta", "a1", "a2", "lean_worst"):
        check_close(getattr(one, name), getattr(two, name)[:, at], name)
    if len(one.exit_sine) == 1:  # of two strands it is the index side's
        check_close(one.exit_x, -two.exit_x[:, at], "exit_x")
    for name in ("exit_sine", "carrier_x"):
        for a, b in zip(getattr(one, name), getattr(two, name)[::-1], strict=True):
            check_close(a, -b[:, at], name)
    stages = zip((one.first, *one.second), (two.first, *two.second[::-1]), strict=True)
    for m, n in stages:
        if m is None or n is None:
            assert m is n
            continue
        check_close(m.tilt, -n.tilt[:, at], "tilt")
        check_close(m.share_a, n.share_b[:, at], "share")
        check_close(m.sine_a, n.sine_b[:, at], "lean")


@pytest.fixture(params=params(HANDS, BOTH_SIDES))
def either(request: pytest.FixtureRequest) -> Case:
    """Drives of the architectures that can be built for either side."""
    return drawn(*request.param)


def test_scores_are_those_of_the_mirror_image(either: Case) -> None:
    one, two = either.scores, mirrored(either).scores
    for was, now in ((one.aims, two.aims), (one.slacks, two.slacks)):
        assert was.keys() == now.keys()
        for name, value in was.items():
            check_close(value, now[name], name)


def test_joints_change_places(either: Case) -> None:
    other = mirrored(either)
    d, e = either.told, other.told
    at = same_positions(d.space.shelf.demand.forced, e.space.shelf.demand.forced)
    here, there = records(d.loads), records(e.loads)
    carriers = len(d.drive.carriers)
    assert len(here) == len(there)
    for (kind, key), record in here.items():
        twin = there[kind, mirrored_key(key, either.fingers, carriers)]
        for f in fields(record):
            a, b = getattr(record, f.name), getattr(twin, f.name)
            if isinstance(a, np.ndarray):
                b = b[:, at] if b.shape[1] > 1 else b
                check_close(a, b, f"{key} {f.name}")
