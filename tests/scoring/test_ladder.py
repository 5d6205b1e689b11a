"""First to give: rungs times the printed factor leave no margin; hook and wrist agree with free sums."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.drives import checks as chk
from explorer.drives.assemble import Space
from explorer.drives.pulls import carried_pull, strength_pulls
from explorer.drives.shelf import Shelf
from explorer.scoring import ladder
from explorer.scoring.grip import hook_kg
from explorer.scoring.open import open_drive
from explorer.scoring.score import Detail, detail
from tests.scoring.orchard import at_position, shelf, study


def _old(name: str) -> Detail:
    build = next(b for b in study().builds if name in b.name)
    opened = open_drive(shelf(), build)
    return detail(opened.space, opened.X)


@pytest.mark.parametrize("name", ["lever", "differential"])
def test_at_the_pull_that_gives_the_margin_is_zero(name: str) -> None:
    """Peak torque set to rung 1: stress reaches yield there and nowhere else, overload and factor 1."""
    d = _old(name)
    rung = ladder.wrist_ladder(d)[0]
    s = d.space.shelf
    st = replace(s.brief.strength, overload=1.0, design_factor=1.0, chain_factor=1.0)
    brief = replace(s.brief, strength=st)
    demand = replace(s.demand, pull_peak=rung.gives, carried=0.0 * s.demand.carried)
    again = detail(Space(Shelf(brief, s.stock, demand), d.space.architecture), _x(name))
    assert again.margins.min() == pytest.approx(0.0, abs=5e-3)
    worst = again.checks.names[int(again.margins[0].argmin())]
    assert (worst.key, worst.way) == (rung.key, rung.way)


def _x(name: str):  # noqa: ANN202 - an array
    build = next(b for b in study().builds if name in b.name)
    return open_drive(shelf(), build).X


def _one_by_one(d: Detail, *, wrist: bool) -> list[tuple[str, str, float, float, str]]:
    """The plain twin: check after check in one position after the other."""
    s = d.space.shelf
    demand, st = s.demand, s.brief.strength
    pulls = strength_pulls(d.motion, d.shares, demand, s.brief, wrist=wrist, hook=not wrist)
    loads = d.space.loads(d.drive, d.motion, pulls)
    F_hook = carried_pull(demand, d.shares, demand.m_ideal)
    out = []
    for p, x in enumerate(demand.positions):
        if not x.must or x.kind in {"open", "squeeze"} or not (wrist or x.kind == "carry"):
            continue
        found = chk.evaluate(loads, 1, at_position(p))
        for name, use in zip(found.names, found.utilisation()[0].tolist(), strict=True):
            if use > 0.0:
                factor = (
                    st.chain_factor if name.group == "chain" else st.overload * st.design_factor
                )
                of = [1.0 / use, 1.0 / use / factor]
                gives, allowed = (
                    pulls.F_in[0, p] * f
                    if wrist
                    else hook_kg(F_hook * f, demand, d.shares, demand.m_ideal)[0, p]
                    for f in of
                )
                out.append((name.key, name.way, gives, allowed, x.name))
    return out


def test_a_load_counts_by_its_size_whichever_way_it_acts() -> None:
    load = np.array([[3.0, -5.0, 0.0]])
    assert chk.each_position(load).tolist() == [[3.0], [5.0], [0.0]]
    assert chk.largest(load).tolist() == [[5.0]]


@pytest.mark.parametrize("name", ["lever", "differential"])
@pytest.mark.parametrize("wrist", [True, False])
def test_all_positions_at_once_give_what_each_alone_gives(name: str, wrist: bool) -> None:
    d = _old(name)
    each = _one_by_one(d, wrist=wrist)
    assert each
    told = ladder.wrist_ladder(d) if wrist else ladder.hook_ladder(d)
    ways = dict.fromkeys((key, way) for key, way, *_ in each)
    least = [min((r for r in each if r[:2] == w), key=lambda r: r[2]) for w in ways]
    rows = [(r.key, r.way, r.gives, pytest.approx(r.allowed), r.position) for r in told]
    assert rows == sorted(least, key=lambda r: r[2])
    if wrist:
        everywhere = ladder.wrist_everywhere(d)
        assert [(r.key, r.way, r.gives, r.position) for r in everywhere] == [
            (key, way, gives, position) for key, way, gives, _, position in each
        ]


def test_the_old_differential_gives_first_at_its_cage_pins_at_about_half_of_peak() -> None:
    """Common practice, no source: a small differential's drive pins are its weak point.

    A rough independent calculation of the same sizes gave 0.47 of peak.
    """
    d = _old("differential")
    rungs = ladder.wrist_ladder(d)
    assert rungs[0].part == "cage pins"
    assert 0.40 < rungs[0].gives / d.space.shelf.demand.pull_peak < 0.60
    assert rungs[0].leaves == "nothing is left in the hand"


def test_the_old_lever_gives_first_by_rocker_bending_well_above_peak() -> None:
    """A rough independent calculation gave 744 N for the rocker; the lever that lasted holds 2 x peak."""
    rungs = ladder.wrist_ladder(_old("lever"))
    assert "rocker" in rungs[0].part
    assert rungs[0].gives == pytest.approx(744.0, rel=0.02)


def test_allowed_is_what_gives_over_overload_and_factor() -> None:
    """Chains: over their own factor, which contains the overload."""
    d = _old("differential")
    st = d.space.shelf.brief.strength
    for r in ladder.wrist_ladder(d):
        share = st.chain_factor if r.way == "chain parts" else st.overload * st.design_factor
        assert r.gives / r.allowed == pytest.approx(share)


def test_hook_ladder_scales_with_the_load() -> None:
    """Twice the load on the hook, springs gone: the rung stays (kg that gives do not depend on the brief's kg)."""
    d = _old("lever")
    s = d.space.shelf
    demand = replace(s.demand, carried=2.0 * s.demand.carried)
    heavier = detail(Space(Shelf(s.brief, s.stock, demand), d.space.architecture), _x("lever"))
    one, two = ladder.hook_ladder(d), ladder.hook_ladder(heavier)
    assert [r.gives for r in one] == pytest.approx([r.gives for r in two], rel=1e-6)


def test_a_carriers_link_has_one_name_at_both_its_ends() -> None:
    """The link's own eyes and the eye that holds the bar are holes of one piece."""
    parts = {r.part: r.leaves for r in ladder.wrist_ladder(_old("lever"))}
    links = {part for part in parts if part.startswith("carrier link")}
    assert links == {"carrier link a", "carrier link b"}
    assert {parts[p] for p in links} == {"two fingers are left"}
