"""What may be left out of a batch is left out, and nothing else changes by it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.brief.records import Aim
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.picked import picked
from explorer.scoring import score as sc
from explorer.scoring.score import score, sieved
from explorer.search.space import spread
from explorer.study.problem import REACHES, STRONG, DriveProblem
from tests.scoring.orchard import shelf

N = 200


def _problem(architecture: str) -> DriveProblem:
    return DriveProblem(Space(shelf(), architecture))


def _drawn(problem: DriveProblem, seed: int) -> np.ndarray:
    return spread(problem.space, N, np.random.default_rng(seed))


@pytest.mark.parametrize("architecture", ARCHITECTURES)
@settings(max_examples=6)
@given(seed=st.integers(0, 999), share=st.floats(0.0, 1.0), chunk=st.sampled_from((64, 4000)))
def test_what_is_scored_is_scored_as_ever(
    architecture: str, seed: int, share: float, chunk: int
) -> None:
    """Whole scores are the same to the bit; what is left out misses by more than was asked for."""
    problem = _problem(architecture)
    X = _drawn(problem, seed)
    whole = score(problem.design, X)
    upto = np.full(N, np.quantile(whole.violation, share))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sc, "CHUNK", chunk)
        found = sieved(problem.design, X, upto)
    asked = {a.name for a in problem.design.shelf.brief.aims}
    assert asked <= found.scores.aims.keys() < whole.aims.keys()
    assert whole.slacks.keys() == found.scores.slacks.keys()
    for one, other in ((whole.aims, found.scores.aims), (whole.slacks, found.scores.slacks)):
        for name, value in other.items():
            np.testing.assert_array_equal(one[name][found.rows], value, err_msg=name)
    np.testing.assert_array_equal(whole.violation[found.rows], found.violation[found.rows])
    out = np.setdiff1d(np.arange(N), found.rows)
    assert (whole.violation[out] > upto[out]).all()
    assert (found.violation[out] > upto[out]).all()
    assert (found.violation[out] <= whole.violation[out]).all()
    assert set(np.flatnonzero(whole.violation <= upto)) <= set(found.rows.tolist())


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_the_ledger_does_not_depend_on_what_is_left_out(architecture: str) -> None:
    problem = _problem(architecture)
    X = _drawn(problem, 1)
    counts = [problem.judge(X, np.full(N, u)).counts for u in (np.inf, 5.0, 1.0, 0.0)]
    assert counts[0].reaches > counts[0].can_be_made
    assert counts == [counts[0]] * len(counts)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_a_first_look_tells_what_the_ledger_counts_of_it(architecture: str) -> None:
    """What is no stage of its own is told before room is looked at, and strength after it."""
    problem = _problem(architecture)
    laid = sieved(problem.design, _drawn(problem, 2), np.full(N, np.inf)).laid
    assert {"stroke", "reach", "lean"} <= set(laid) & set(REACHES)
    assert not set(laid) & set(STRONG)


def test_a_drive_left_out_has_aims_that_no_drive_has() -> None:
    problem = _problem("chain_winder+bar")
    X = _drawn(problem, 3)
    every, few = (problem.judge(X, np.full(N, u)).scored for u in (np.inf, 1.0))
    out = few.violation != every.violation
    assert out.any()
    assert (few.F[out] > every.F.max()).all()


def test_some_drives_of_a_batch_are_those_drives() -> None:
    """Laid out and moved alone they are the same, in memory too: (P,N) as the whole."""
    space = _problem("linked_lever+chain").design
    X = _drawn(_problem("linked_lever+chain"), 4)
    rows = np.array([3, 17, 150])
    drive = space.build(X)
    motion = space.move(drive)
    few: Drive = picked(drive, N, rows)
    moved: Motion = picked(motion, N, rows)
    again = space.move(space.build(X[rows]))
    assert few.n == len(rows)
    np.testing.assert_array_equal(moved.X, again.X)
    np.testing.assert_array_equal(moved.lean_worst, again.lean_worst)
    np.testing.assert_array_equal(few.columns["plate"], drive.columns["plate"][rows])
    np.testing.assert_array_equal(moved.draw, motion.draw)
    assert moved.X.flags.f_contiguous == motion.X.flags.f_contiguous
    assert motion.second[0] is not None
    assert moved.second[0] is not None
    np.testing.assert_array_equal(moved.second[0].tilt, motion.second[0].tilt[rows])


@pytest.mark.parametrize("name", ["mass", "part_numbers", "hours", "cost"])
def test_a_total_that_the_brief_asks_for_is_worked_out(name: str) -> None:
    """As an aim; and as a limit, where there is one."""
    problem = _problem("chain_differential+chain")
    X = _drawn(problem, 5)
    brief = shelf().brief
    whole, upto = score(problem.design, X), np.full(N, np.inf)
    as_aim = replace(brief, aims=(*brief.aims, Aim(name, None)))
    space = Space(replace(shelf(), brief=as_aim), "chain_differential+chain")
    found = sieved(space, X, upto).scores
    np.testing.assert_array_equal(found.aims[name], whole.aims[name])
    if name == "part_numbers":
        return
    middle = float(np.median(whole.aims[name]))
    capped = replace(brief, limits=replace(brief.limits, **{name: middle}))
    space = Space(replace(shelf(), brief=capped), "chain_differential+chain")
    found = sieved(space, X, upto).scores
    np.testing.assert_array_equal(found.slacks[name], middle - whole.aims[name])
