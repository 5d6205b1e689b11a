"""Two scorers, one answer: the package's against one written apart, plainly, from the same mechanics.

The second scorer (`tests/outside/second`) works with points, forces and free bodies, one drive and one
position at a time, and tries friction signs one by one.  It shares the names of a drive's values, the
bench's choices of size (which plate is the fork, how wide an eye is) and no formula.  Left out: room,
clearances and totals; lost motion and chain differentials' pieces have twins of their own in `tests/drives`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given

from explorer.brief.demand_build import build_demand
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.motion import Motion, StageMotion
from explorer.drives.shelf import Shelf
from explorer.drives.values import random_vectors, values_of
from tests.drives.random_drives import Sample, samples
from tests.factories import make_brief, make_stock, make_wrist
from tests.outside.second import compare, limits
from tests.outside.second.cases import cases
from tests.outside.second.compare import Both, Row, told
from tests.outside.second.equal import OutOfReachError
from tests.outside.second.free import free_rows
from tests.outside.second.plan import plan

CLOSE = 1e-9  # both work in double precision; angles near a stop lose a few digits more
SEED = 11
LAYERS = (
    compare.hand_rows,
    compare.equaliser_rows,
    compare.ratio_rows,
    compare.score_rows,
    compare.strength_rows,
    compare.wear_rows,
    compare.count_rows,
    compare.piece_rows,
    compare.limit_rows,
)


@cache
def drives() -> tuple[Both, ...]:
    return tuple(told(case) for case in cases(SEED, 50))


@pytest.mark.parametrize("rows", LAYERS)
def test_both_scorers_agree(rows: Callable[[Both], Iterator[Row]]) -> None:
    for both in drives():
        said = f"{both.case.plan.architecture}, {len(both.case.plan.m.brief.fingers)} fingers"
        assert not compare.off(rows(both), CLOSE), said


@given(samples(links=(12, 40)))
def test_both_move_alike_whatever_the_arms(sample: Sample) -> None:
    """Drives that no stock could make as well: any arm, offset and link."""
    try:
        rows = list(free_rows(sample))
    except OutOfReachError:
        assume(condition=False)
    assert not compare.off(rows, CLOSE)


@pytest.mark.parametrize("reverses", [True, False])
@pytest.mark.parametrize("second", ["bar", "chain"])
@pytest.mark.parametrize("first", ["linked_lever", "chain_winder"])
def test_shop_limits_agree_from_end_to_end_of_every_range(
    first: str, second: str, reverses: bool
) -> None:
    """Short arms with thick pins too, whose holes nearly meet; where bodies are is the package's word here."""
    for fingers in (2, 3, 4):
        brief = make_brief(fingers, wrist=make_wrist(reverses=reverses))
        stock = make_stock()
        fine = replace(stock.chains[0], offset_factor=0.0)  # an odd count of it cannot be closed
        stock = replace(stock, chains=(fine, *stock.chains[1:]))
        space = Space(Shelf(brief, stock, build_demand(brief)), f"{first}+{second}")
        X = random_vectors(space, 40, np.random.default_rng(fingers))
        drive = space.build(X)
        motion = space.move(drive)
        own = compare.left(space.first.limits(space.shelf, drive, motion))
        found = [
            compare.left(space.second.limits(space.shelf, drive, motion, k)) for k in space.pairs
        ]
        for i, x in enumerate(X):
            p = plan(brief, stock, space.architecture, space.single, values_of(space, x))
            ms = stopped(space, motion, i)
            for kind, slack in limits.first(p, ms).items():
                assert own[kind][i] == pytest.approx(slack, abs=1e-9), kind
            for k, theirs in zip(space.pairs, found, strict=True):
                for kind, slack in limits.second(p, ms, k).items():
                    assert theirs[kind][i] == pytest.approx(slack, abs=1e-9), kind


def stopped(space: Space, motion: Motion, i: int) -> list[Any]:
    """What the limits ask of each position of drive i: draws and turns."""

    def stage(s: StageMotion | None, p: int) -> SimpleNamespace | None:
        return s and SimpleNamespace(s_a=float(s.s_a[i, p]), s_b=float(s.s_b[i, p]))

    return [
        SimpleNamespace(
            at=at,
            shape=SimpleNamespace(
                theta=float(motion.theta[i, p]), Y=float(motion.Y[i, p]),
                first=stage(motion.first, p), second=[stage(s, p) for s in motion.second],
            ),
        )
        for p, at in enumerate(space.shelf.demand.positions)
    ]  # fmt: skip


def test_the_drives_are_of_all_kinds() -> None:
    plans = [b.case.plan for b in drives()]
    assert {p.architecture for p in plans} == set(ARCHITECTURES)
    assert {len(p.m.brief.fingers) for p in plans} == {2, 3, 4}
    assert {p.m.brief.wrist.reverses for p in plans} == {True, False}
    assert {p.m.brief.strength.lock for p in plans} == {"none", "input drawbar", "carriers"}


def test_a_difference_is_seen() -> None:
    """The comparison itself: a part in a million is named, a part in 1e12 is not."""
    rows = [("same", 1.0, 1.0), ("off", 2.0, 2.000002), ("rounded", 3.0, 3.000000000003)]
    assert [what for what, _, _ in compare.off(rows, CLOSE)] == ["off"]
    assert [what for what, _, _ in compare.off([("gone", 1.0, float("inf"))], CLOSE)] == ["gone"]


@pytest.mark.long
@pytest.mark.parametrize("seed", range(20))
def test_both_scorers_agree_on_two_thousand_drives(seed: int) -> None:
    for case in cases(1000 + seed, 100):
        both = told(case)
        for rows in LAYERS:
            found = compare.off(rows(both), CLOSE)
            assert not found, (case.plan.architecture, rows.__name__)
