"""Back-figuring on synthetic breakages: parts that gave under a known pull, figured back without it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest

from explorer.brief.builds import Broke, Build
from explorer.brief.records import Spread
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf
from explorer.drives.values import values_of
from explorer.scoring.backfigure import (
    METALS,
    PINS,
    SHARING,
    BackFigured,
    CannotTell,
    Range,
    back_figured,
    named,
    varied,
)
from explorer.scoring.ladder import wrist_everywhere, wrist_ladder
from explorer.scoring.open import open_drive
from explorer.scoring.score import detail
from tests.scoring.orchard import ALL, shelf, space, study, vectors

DRIVES, DRAWS = 5, 4  # of each of six architectures: 120 breakages


@dataclass(frozen=True)
class Breakage:
    """A drive of which one part gave at a pull, N, that only the test knows."""

    build: Build
    pull: float


def old(name: str) -> Build:
    return next(b for b in study().builds if name in b.name)


def broken(build: Build, part: str, how: str = "", metal: str = "") -> Build:
    return replace(build, broke=Broke(part, how, metal))


def figured(build: Build) -> BackFigured:
    found = back_figured(shelf(), build)
    assert isinstance(found, BackFigured), found
    return found


@cache
def breakages() -> tuple[Breakage, ...]:
    """Real drives differ from the brief by its spreads; each is pulled until something gives."""
    rng = np.random.default_rng(20)
    out = []
    for architecture in ALL:
        for x in vectors(architecture)[:DRIVES]:
            values = values_of(space(architecture), x)
            build = Build("synthetic", architecture, values, {})
            for _ in range(DRAWS):
                factors = {
                    s.path: max(0.05, rng.normal(1.0, s.relative)) for s in shelf().brief.spreads
                }
                real = Space(varied(shelf(), factors), architecture)
                first = wrist_ladder(detail(real, x[None, :]))[0]
                out.append(Breakage(broken(build, first.part), first.gives))
    return tuple(out)


@cache
def answers() -> tuple[BackFigured, ...]:
    known: dict[tuple[str, str], BackFigured] = {}
    out = []
    for b in breakages():
        assert b.build.broke is not None
        key = (repr(b.build.values), b.build.broke.part)
        if key not in known:
            known[key] = figured(b.build)
        out.append(known[key])
    return tuple(out)


def test_the_stated_range_holds_the_true_pull_at_least_95_times_in_100() -> None:
    held = [
        f.load.low <= b.pull <= f.load.high for b, f in zip(breakages(), answers(), strict=True)
    ]
    assert len(held) >= 100
    assert np.mean(held) >= 0.95


def test_the_range_is_no_wider_than_it_has_to_be() -> None:
    """A range from nothing to everything would hold every pull: half of the draws lie off its middle half."""
    spans = [f.load.high / f.load.low for f in answers()]
    assert np.median(spans) < 2.0
    logs = [
        np.log(b.pull / f.load.low) / np.log(f.load.high / f.load.low)
        for b, f in zip(breakages(), answers(), strict=True)
    ]
    assert np.quantile(logs, 0.95) - np.quantile(logs, 0.05) > 0.4


def test_the_part_that_broke_ranks_among_the_first_three() -> None:
    """98 of 100: where four parts lie within the spreads of each other, any of them may be first."""
    ranks = np.array([f.rank for f in answers()])
    assert (ranks <= 3).mean() >= 0.98
    assert (ranks == 1).mean() >= 0.8


def test_the_old_differentials_pins_gave_below_peak() -> None:
    """By its entry; a rough independent calculation of these pins gave 0.47 of peak."""
    found = figured(old("differential"))
    assert (found.part, found.rank) == ("cage pins", 1)
    assert found.of_peak.low < 0.52 < found.of_peak.high < 1.0
    assert found.by_peak
    assert found.causes[0].path == SHARING


def test_a_part_stronger_than_the_peak_asks_for_more_peak_or_more_shock() -> None:
    found = figured(broken(old("lever"), "rocker", "bent"))
    st, demand = shelf().brief.strength, shelf().demand
    assert found.way == "bends at the hole"
    assert not found.by_shock
    assert found.of_peak.mid == pytest.approx(found.load.mid / demand.pull_peak)
    assert found.peak_times.mid * st.overload == pytest.approx(found.of_peak.mid)
    # The peak that is proposed makes the part give at the brief's shock.
    assert demand.pull_peak * found.peak_times.mid * st.overload == pytest.approx(found.load.mid)


@pytest.mark.parametrize("metal", ["unknown", "Unknown", "not known", "?", "old brass"])
def test_an_unknown_metal_cannot_tell(metal: str) -> None:
    found = back_figured(shelf(), broken(old("differential"), "cage pins", "sheared", metal))
    assert isinstance(found, CannotTell)
    assert "not known" in found.why


def test_another_metal_scales_the_pull_by_its_yield() -> None:
    """Pins of 1200 MPa in the stock, of stainless sheet's 500 MPa in the hand."""
    stock = shelf().stock
    steel = next(m for m in stock.metals if m.name == "stainless")
    pin = next(p for p in stock.pins if p.name == "pin 1.5")
    hard = figured(old("differential"))
    soft = figured(broken(old("differential"), "cage pins", "sheared", "stainless"))
    assert soft.load.mid / hard.load.mid == pytest.approx(steel.yield_ / pin.yield_)


def test_nothing_broken_and_no_such_part() -> None:
    assert isinstance(back_figured(shelf(), old("lever")), CannotTell)
    found = back_figured(shelf(), broken(old("lever"), "cage pins"))
    assert isinstance(found, CannotTell)
    assert "rocker, " in found.why
    assert " more" in found.why


@pytest.mark.parametrize(
    ("asked", "part"),
    [("Rocker", "rocker"), ("cheek", "rocker cheeks"), ("pivot pin", "rocker pivot pin")],
)
def test_a_part_is_found_by_the_makers_name(asked: str, part: str) -> None:
    opened = open_drive(shelf(), old("lever"))
    ladder = wrist_ladder(detail(opened.space, opened.X))
    assert {r.part for r in named(asked, ladder)} == {part}
    assert named("", ladder) == ()


def test_the_makers_word_picks_the_way() -> None:
    bent = figured(broken(old("lever"), "rocker pivot pin", "bent"))
    oval = figured(broken(old("lever"), "rocker pivot pin", "holes worn oval"))
    assert bent.way == "pin bends"
    assert "hole" in oval.way
    assert figured(broken(old("lever"), "rocker pivot pin", "lost")).load.mid == pytest.approx(
        min(bent.load.mid, oval.load.mid)
    )


def test_no_spread_leaves_one_pull_and_more_spread_a_wider_range() -> None:
    build = old("differential")
    ranges = []
    for relative in (1e-12, 0.05, 0.10):
        brief = replace(shelf().brief, spreads=(Spread(PINS, relative),))
        found = back_figured(Shelf(brief, shelf().stock, shelf().demand), build)
        assert isinstance(found, BackFigured)
        ranges.append(found.load)
    none, some, more = ranges
    assert none.low == none.mid == none.high == pytest.approx(some.mid)
    assert more.low < some.low < none.low
    assert none.high < some.high < more.high
    # Strength and pull are in proportion: 2.5 spreads of 10 %.
    assert more.high == pytest.approx(1.25 * none.mid)
    assert more.low == pytest.approx(0.75 * none.mid)


def test_varying_changes_what_it_names_and_nothing_else() -> None:
    one = shelf()
    same = varied(one, {"wrist.torque": 2.0, "shop.pin_fit": 2.0})
    assert (same.brief, same.stock) == (one.brief, one.stock)
    strong = varied(one, {PINS: 2.0, "friction.bare": 0.5})
    assert [p.yield_ for p in strong.stock.pins] == [2.0 * p.yield_ for p in one.stock.pins]
    assert strong.stock.metals == one.stock.metals
    assert strong.brief.friction == replace(one.brief.friction, bare=0.5 * one.brief.friction.bare)
    assert varied(one, {METALS: 2.0}).stock.pins == one.stock.pins
    assert varied(one, {SHARING: 9.0}).brief.strength.circle_share == 1.0


def test_everywhere_holds_the_ladder() -> None:
    """The ladder is the least of each check over the positions, and `most` the most."""
    opened = open_drive(shelf(), old("lever"))
    d = detail(opened.space, opened.X)
    least: dict[tuple[str, str], float] = {}
    for r in wrist_everywhere(d):
        least[r.key, r.way] = min(r.gives, least.get((r.key, r.way), np.inf))
    assert least == {(r.key, r.way): r.gives for r in wrist_ladder(d)}
    found = figured(broken(old("lever"), "rocker", "bent"))
    assert found.most > found.load.mid
    assert found.most_position != found.position


def test_a_range_in_other_units() -> None:
    assert Range(1.0, 2.0, 4.0).times(0.5) == Range(0.5, 1.0, 2.0)
