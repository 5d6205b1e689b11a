"""Fatigue of every joint and part: its metal, its stress, its limit."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from explorer.brief.records import Fatigue
from explorer.drives import checks as chk
from explorer.drives import endurance as en
from explorer.drives import fatigue
from explorer.drives.assemble import Space
from explorer.drives.joints import Eye, Flexure, Loads
from explorer.drives.shelf import Shelf
from explorer.mechanics import fatigue as fg
from explorer.mechanics.gears import lewis_factor
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail, detail, score
from tests.scoring.orchard import ALL, at_position, shelf, space, told, vectors


def use_of(d: Detail) -> Loads:
    """Loads under the everyday pulls of a detail with all positions."""
    return d.space.loads(d.drive, d.motion, d.everyday)


def column(d: Detail, key: str, way: str) -> int:
    """Where one fatigue check stands."""
    return next(c for c, n in enumerate(d.tired.names) if (n.key, n.way) == (key, way))


@cache
def with_fatigue(**changes: float) -> Shelf:
    """The orchard with other words on fatigue or use."""
    s = shelf()
    own = {k: v for k, v in changes.items() if k in vars(Fatigue())}
    use = {k: v for k, v in changes.items() if k not in own}
    brief = replace(
        s.brief, fatigue=replace(s.brief.fatigue, **own), use=replace(s.brief.use, **use)
    )
    return Shelf(brief, s.stock, s.demand)


def yields() -> Floats:
    """Yield strength of every line of the endurance table."""
    stock = shelf().stock
    metals = {m.name: m.yield_ for m in stock.metals}
    rods = [p.yield_ for p in (*stock.pins, *stock.shafts)]
    sheets = [metals[p.metal] for p in stock.plates]
    return np.array([*sheets, *rods, *(g.yield_ for g in stock.gears), en.WHEEL_STRENGTH])


@pytest.mark.parametrize("architecture", ALL)
def test_a_part_is_as_tired_as_its_own_metal(architecture: str) -> None:
    """The line that fatigue reads has the yield strength that the strength check reads."""
    use, by_line = use_of(told(architecture)), yields()

    def check(line: Floats, sy: Floats) -> None:
        np.testing.assert_array_equal(by_line[line.astype(int)], sy)

    for j in use.pins:
        check(j.metal, j.sy_pin)
    for part in (*use.eyes, *use.flexures, *use.shafts, *use.teeth, *use.bores):
        check(part.metal, part.sy)
    for c in use.circles:
        check(c.metal, c.sy_pin)
        check(c.metal_1, c.sy_1)
        check(c.metal_2, c.sy_2)


@pytest.mark.parametrize("architecture", ALL)
def test_every_joint_and_part_but_chains_and_struts_is_checked(architecture: str) -> None:
    d = told(architecture)
    use = use_of(d)
    asked = {
        r.key
        for records in (use.pins, use.eyes, use.flexures, use.circles, use.shafts, use.teeth)
        for r in records
    }
    asked |= {r.key for r in use.bores}
    assert {n.key for n in d.tired.names} == asked


@pytest.mark.parametrize("architecture", ALL)
def test_the_stress_is_the_strength_checks_own_times_a_notch(architecture: str) -> None:
    """Smooth pins and shafts as they are; holes, feet of teeth and bores more, never by over K_t."""
    d = told(architecture)
    static = chk.evaluate(use_of(d), d.drive.n)
    plain = {(n.key, n.way): static.stress[:, c] for c, n in enumerate(static.names)}
    rows = {
        "pin cracks": ("pin bends", 1.0, 1.0),
        "shaft cracks": ("shaft bends", 1.0, 1.0),
        "drive pins crack": ("drive pins bend", 1.0, 1.0),
        "cracks at the hole": ("pulls apart at the hole", 1.0, np.inf),
        "cracks at the hole or the edge": ("bends at the hole", 0.75, 1.0),
        "tooth cracks at its foot": ("tooth breaks", 1.2, 2.0),
        "body cracks round the bore": ("body shears round the bore", 1.73, 1.74),
    }
    for c, n in enumerate(d.tired.names):
        if n.way in rows:
            way, low, high = rows[n.way]
            nominal = plain[n.key, way]
            assert (d.tired.stress[:, c] >= low * nominal * (1 - 1e-12)).all(), n
            assert (d.tired.stress[:, c] <= high * nominal * (1 + 1e-12) + 0.0).all(), n


def _by_hand(part: Eye | Flexure, sigma: float, kt: float, k_b: float, k_c: float) -> float:
    """Margin of one steel part by the handbook's steps, one number at a time."""
    brief, stock = shelf().brief, shelf().stock
    plate = stock.plates[int(part.metal[0, 0])]
    S_ut = next(m.ultimate for m in stock.metals if m.name == plate.metal)
    d = float(part.d[0, 0])
    k_a, k_e = 4.51 * S_ut**-0.265, 1 - 0.08 * 2.3263479
    S_e = k_a * k_b * k_c * k_e * 0.5 * S_ut
    f = float(fg.fatigue_fraction(np.array(S_ut)))
    b = -np.log10(f * S_ut / S_e) / 3.0
    use = brief.use
    N = use.grips_per_day * use.days_per_week * 365.25 / 7 * use.years
    S_f = (f * S_ut) ** 2 / S_e * N**b if N < 1e6 else S_e
    root = 1.24 - 2.25e-3 * S_ut + 1.60e-6 * S_ut**2 - 4.11e-10 * S_ut**3
    K_f = 1 + (kt - 1) / (1 + root / np.sqrt(d / 2))
    half = K_f * sigma / 2
    return 1 / (half / S_f + half / S_ut) / brief.fatigue.factor - 1


def test_margins_of_an_eye_and_a_lever_by_hand() -> None:
    """Steel eyes and levers of the orchard; K_t by the printed cubics, axial load factor 0.85."""
    checked = 0
    for i in range(40):
        d = detail(space("linked_lever+bar"), vectors("linked_lever+bar")[i : i + 1])
        use, stock = use_of(d), shelf().stock
        eye = next(e for e in use.eyes if e.key == "rocker in eye")
        bend = use.flexures[0]
        if stock.plates[int(eye.metal[0, 0])].metal != "stainless":
            continue
        w, hole, t = (float(v[0, 0]) for v in (eye.w, eye.d, eye.t))
        x = hole / w
        if 0.15 <= x <= 0.6:
            kt = 12.882 - 52.714 * x + 89.762 * x**2 - 51.667 * x**3
            sigma = float(np.abs(eye.load).max()) / ((w - hole) * t)
            got = d.tired_margins[0, column(d, eye.key, "cracks at the hole")]
            assert got == pytest.approx(_by_hand(eye, sigma, kt, 1.0, 0.85), rel=1e-6)
            checked += 1
        w, hole, t = (float(v[0, 0]) for v in (bend.w, bend.d, bend.t))
        M, inertia = float(np.abs(bend.moment).max()), t * (w**3 - hole**3) / 12
        d_e = 0.808 * np.sqrt(w * t)
        k_b = min(1.0, (d_e / 7.62) ** -0.107) if d_e > 2.79 else 1.0
        at = column(d, bend.key, "cracks at the hole or the edge")
        edge = _by_hand(bend, M * w / 2 / inertia, 1.0, k_b, 1.0)
        inside = _by_hand(bend, M * hole / 2 / inertia, 2.0, k_b, 1.0)
        assert d.tired_margins[0, at] == pytest.approx(min(edge, inside), rel=1e-6)
    assert checked > 3


def test_a_planet_tooth_by_hand() -> None:
    d = detail(space("chain_differential+bar"), vectors("chain_differential+bar")[:1])
    tooth = next(t for t in use_of(d).teeth if t.key == "planet tooth")
    F, z = float(np.abs(tooth.force).max()), float(tooth.teeth[0, 0])
    Y = float(lewis_factor(np.array(z)))
    lewis = F / (float(tooth.face[0, 0]) * float(tooth.module[0, 0]) * Y)
    K_f = float(fg.tooth_factor(np.array(z), np.array(Y)))
    c = column(d, "planet tooth", "tooth cracks at its foot")
    assert d.tired.stress[0, c] == pytest.approx(K_f * lewis, rel=1e-12)


@pytest.mark.parametrize("architecture", ALL)
def test_the_limit_breaks_mends_and_nearly_misses(architecture: str) -> None:
    """1 + MS falls with the design factor: at (1 + MS) times the factor nothing is left."""
    X = vectors(architecture)[:1]
    base = score(space(architecture), X)
    left = float(base.slacks["fatigue"][0])
    assert left == base.aims["fatigue"][0]
    spent = shelf().brief.fatigue.factor * (1.0 + left)

    def slack(factor: float) -> float:
        return float(
            score(Space(with_fatigue(factor=factor), architecture), X).slacks["fatigue"][0]
        )

    assert slack(spent * 1.001) < 0.0 < slack(spent * 0.999)
    assert slack(spent) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("architecture", ALL)
def test_more_grips_years_or_certainty_never_help(architecture: str) -> None:
    X = vectors(architecture)[:10]

    def margin(**changes: float) -> Floats:
        return score(Space(with_fatigue(**changes), architecture), X).slacks["fatigue"]

    base = margin()
    assert (margin(years=20.0) <= base).all()
    assert (margin(grips_per_day=4000.0) <= base).all()
    assert (margin(reliability=0.999) < base).all()
    assert (margin(years=0.2) > base).all()


def test_the_stocks_own_strengths_count_and_unwritten_ones_are_safe() -> None:
    """An unwritten tensile strength is the yield strength; a stated endurance limit is taken."""
    s = shelf()
    rod = replace(s.stock.pins[0], ultimate=None)
    at = int(en.endurance(s.brief, s.stock).pins)

    def line(pin: object) -> en.Endurance:
        return en.endurance(s.brief, replace(s.stock, pins=(pin, *s.stock.pins[1:])))  # type: ignore[arg-type]

    plain = line(rod)
    assert plain.S_ut[at] == rod.yield_
    assert line(replace(rod, ultimate=rod.yield_ + 200.0)).bent[at] > plain.bent[at]
    assert line(replace(rod, endurance=100.0)).bent[at] < plain.bent[at]
    same = float(fg.specimen_limit(np.array(rod.yield_)))
    assert line(replace(rod, endurance=same)).bent[at] == plain.bent[at]


def test_a_grooved_rod_is_weaker_at_a_deeper_groove_and_none_without_a_ring() -> None:
    s = shelf()
    at = int(en.endurance(s.brief, s.stock).pins)
    rod = s.stock.pins[0]
    rings = [r for r in s.stock.rings if r.shaft == rod.d]
    assert rings
    deep = tuple(replace(r, groove=0.8 * r.groove) if r in rings else r for r in s.stock.rings)
    none = tuple(r for r in s.stock.rings if r not in rings)
    as_is, deeper, bare = (
        en.endurance(s.brief, replace(s.stock, rings=r)).groove[at]
        for r in (s.stock.rings, deep, none)
    )
    assert deeper > as_is > 0.0
    assert bare == 0.0


def test_a_planet_pin_has_no_ring_and_no_groove() -> None:
    d = told("chain_differential+bar")
    ways = {n.way for n in d.tired.names if n.key == "planet pin"}
    assert ways == {"pin cracks"}


def test_one_position_alone_is_never_worse_than_the_worst() -> None:
    """Margins by position, as the strength checks give them: the least of them is the margin."""
    d = told("linked_lever+chain")
    table = d.space.shelf.endurance
    each = [
        fatigue.evaluate(use_of(d), d.drive.n, table, at_position(p)).stress
        for p in range(len(d.space.shelf.demand.positions))
    ]
    np.testing.assert_allclose(np.max(each, axis=0), d.tired.stress, rtol=1e-12)
