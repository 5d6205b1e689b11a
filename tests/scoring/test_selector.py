"""Steps of the selector, by hand and as properties; the order of its grips moves nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.hand_records import Selector
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.scoring.score import score
from explorer.scoring.selector import (
    added,
    dial,
    grips_of,
    jumps,
    moved,
    removed,
    steps,
    worst_jump,
)
from tests.factories import make_brief
from tests.scoring.orchard import shelf, vectors


def test_steps_by_hand() -> None:
    """Six detents: first to last is one step round, five without."""
    assert steps(6, 0, 5, cycles=True) == 1
    assert steps(6, 0, 5, cycles=False) == 5
    assert steps(6, 1, 4, cycles=True) == 3
    assert steps(6, 4, 1, cycles=False) == 3


@given(st.integers(1, 24), st.data())
def test_steps_are_a_walk_along_the_detents(n: int, data: st.DataObject) -> None:
    """Counted click by click, both ways round."""
    i, j = (data.draw(st.integers(0, n - 1)) for _ in range(2))
    up = next(k for k in range(n) if (i + k) % n == j)
    down = next(k for k in range(n) if (i - k) % n == j)
    assert steps(n, i, j, cycles=True) == min(up, down) == steps(n, j, i, cycles=True)
    straight = up if j >= i else down
    assert steps(n, i, j, cycles=False) == straight
    assert steps(n, i, j, cycles=True) <= n // 2


def test_the_selector_is_the_briefs_own_order_unless_told_otherwise() -> None:
    brief = make_brief()
    names = tuple(g.name for g in brief.grips)
    assert tuple(d.grip for d in dial(brief).detents) == names
    two = replace(brief, selector=Selector(("twine", "apple"), cycles=False))
    found = dial(two)
    assert [(d.number, d.grip) for d in found.detents] == [(1, "twine"), (2, "apple")]
    assert found.detents[0].does == ("engaged", "engaged", "parked_closed", "parked_closed")
    assert found.left_out == tuple(n for n in names if n not in ("twine", "apple"))
    assert worst_jump(found) == jumps(found)[0]
    assert worst_jump(dial(removed(two, "apple"))) is None


def test_a_grip_that_is_off_has_no_detent() -> None:
    brief = make_brief()
    off = replace(brief, grips=(replace(brief.grips[0], on=False), *brief.grips[1:]))
    assert brief.grips[0].name not in grips_of(off)
    with pytest.raises(ValueError, match="lopper handle"):
        added(off, "lopper handle", 0)


@given(st.integers(0, 5), st.integers(0, 5))
def test_add_remove_and_reorder(k: int, to: int) -> None:
    brief = make_brief()
    name = grips_of(brief)[k]
    without = removed(brief, name)
    assert name not in grips_of(without)
    assert name in dial(without).left_out
    assert grips_of(added(without, name, k)) == grips_of(brief)
    other = moved(brief, name, to)
    assert grips_of(other)[to] == name
    assert sorted(grips_of(other)) == sorted(grips_of(brief))
    assert grips_of(moved(other, name, k)) == grips_of(brief)


@pytest.mark.parametrize("cycles", [True, False])
def test_the_worst_jump_is_the_largest_of_all(*, cycles: bool) -> None:
    brief = replace(make_brief(), selector=Selector(cycles=cycles))
    found = jumps(dial(brief))
    assert len(found) == 15
    worst = worst_jump(dial(brief))
    assert worst is not None
    assert worst.steps == max(j.steps for j in found) == (3 if cycles else 5)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_reordering_changes_steps_only(architecture: str) -> None:
    """Every score is the same to the last bit."""
    plain = shelf()
    turned = replace(plain, brief=moved(plain.brief, "pail", 0))
    assert jumps(dial(turned.brief)) != jumps(dial(plain.brief))
    X = vectors(architecture)[:3]
    a, b = (score(Space(s, architecture), X) for s in (plain, turned))
    for one, other in ((a.aims, b.aims), (a.slacks, b.slacks)):
        assert one.keys() == other.keys()
        for name, value in one.items():
            np.testing.assert_array_equal(value, other[name])
