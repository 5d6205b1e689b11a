"""Every limit is declared, asks a question, and a drive that breaks it says so in its own unit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.brief.records import Brief
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf
from explorer.mechanics.types import Floats
from explorer.scoring.limits import AIM_BY_NAME, BY_ID, RULES
from explorer.scoring.score import Scores, score
from tests.scoring.orchard import ALL, shelf, space, vectors


def _with(brief: Brief, architecture: str, X: Floats) -> Scores:
    s = shelf()
    return score(Space(Shelf(brief, s.stock, s.demand), architecture), X)


@pytest.mark.parametrize("architecture", ALL)
def test_every_slack_and_aim_is_declared(architecture: str) -> None:
    """No score without a rule: unit, question, what eases it."""
    found = score(space(architecture), vectors(architecture)[:5])
    assert set(found.slacks) <= set(BY_ID)
    assert set(found.aims) <= set(AIM_BY_NAME)
    assert all(r.question.endswith("?") and r.ease and r.unit and r.scale > 0.0 for r in RULES)


@pytest.mark.parametrize("architecture", ALL)
def test_limits_move_with_the_brief_by_what_was_given(architecture: str) -> None:
    """2 mm more palm: 2 mm more slack; the same for shares, grip, drag and clearance."""
    X = vectors(architecture)[:6]
    b = shelf().brief
    base = score(space(architecture), X).slacks
    box = b.cavity.box
    wide = replace(
        box, x0=box.x0 - 2, x1=box.x1 + 2, y0=box.y0 - 2, y1=box.y1, z0=box.z0 - 2, z1=box.z1 + 2
    )
    roomy = _with(replace(b, cavity=replace(b.cavity, box=wide)), architecture, X).slacks
    assert (roomy["cavity"] >= base["cavity"]).all()
    low = replace(
        b,
        limits=replace(
            b.limits,
            share_error=b.limits.share_error + 0.05,
            grip_ratio=b.limits.grip_ratio - 0.1,
            input_drag=b.limits.input_drag - 0.5,
        ),
    )
    eased = _with(low, architecture, X).slacks
    assert eased["share"] - base["share"] == pytest.approx(0.05)
    assert eased["grip"] - base["grip"] == pytest.approx(0.1)
    assert eased["reopen"] - base["reopen"] == pytest.approx(0.5)


def test_a_smaller_clearance_is_that_much_slack() -> None:
    """Levers and bars do not depend on the clearance (forks do: their plates stand by it)."""
    X = vectors("linked_lever+bar")[:6]
    b = shelf().brief
    near = _with(
        replace(b, cavity=replace(b.cavity, clearance=b.cavity.clearance - 0.2)),
        "linked_lever+bar",
        X,
    )
    assert near.slacks["clearance"] - score(space("linked_lever+bar"), X).slacks[
        "clearance"
    ] == pytest.approx(0.2)


@pytest.mark.parametrize("architecture", ALL)
def test_doubled_strength_doubles_what_margins_are_of(architecture: str) -> None:
    """Half the design factor: (MS + 1) x 2 exactly, chains (their own factor) untouched."""
    X = vectors(architecture)[:6]
    b = shelf().brief
    base = score(space(architecture), X)
    eased = _with(
        replace(b, strength=replace(b.strength, design_factor=b.strength.design_factor / 2)),
        architecture,
        X,
    )
    chain = np.array([n.group == "chain" for n in base.check_names])
    assert np.array_equal(eased.margins[:, chain], base.margins[:, chain])
    loaded = ~chain & np.isfinite(base.margins)  # what carries nothing has no end of margin
    assert (eased.margins[loaded] + 1) / (base.margins[loaded] + 1) == pytest.approx(2.0)


@pytest.mark.parametrize("architecture", ALL)
def test_grips_a_day_doubled_halve_the_weeks(architecture: str) -> None:
    """Wear is in step with use."""
    X = vectors(architecture)[:6]
    b = shelf().brief
    busy = _with(
        replace(b, use=replace(b.use, grips_per_day=2 * b.use.grips_per_day)), architecture, X
    )
    assert busy.aims["weeks"] * 2 == pytest.approx(score(space(architecture), X).aims["weeks"])


def test_optional_caps_become_limits_only_when_asked() -> None:
    """Weeks, mass, hours and cost are limits where the brief says so, with the slack in their unit."""
    X = vectors("linked_lever+bar")[:3]
    b = shelf().brief
    base = score(space("linked_lever+bar"), X)
    assert not {"mass", "hours", "cost"} & set(base.slacks)
    capped = _with(
        replace(b, limits=replace(b.limits, mass=40.0, hours=10.0, cost=100.0, service_weeks=26.0)),
        "linked_lever+bar",
        X,
    )
    for name, cap in (("mass", 40.0), ("hours", 10.0), ("cost", 100.0)):
        assert capped.slacks[name] == pytest.approx(cap - base.aims[name])
    assert capped.slacks["weeks"] == pytest.approx(base.aims["weeks"] - 26.0)


def test_a_search_gets_the_same_scores_as_show() -> None:
    """Report-only positions cost the search nothing and change nothing."""
    from explorer.scoring.score import detail, scores_of

    for architecture in ALL:
        X = vectors(architecture)[:4]
        full, quick = scores_of(detail(space(architecture), X)), score(space(architecture), X)
        assert all(np.array_equal(full.slacks[k], quick.slacks[k]) for k in quick.slacks)
        assert all(np.array_equal(full.aims[k], quick.aims[k]) for k in quick.aims)
