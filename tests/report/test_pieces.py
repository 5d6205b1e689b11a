"""The small parts: which few are chosen, ticks, outlines, words, the table for spreadsheets."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.outline import Sector, Stadium
from explorer.report import contents, svg
from explorer.report.choose import SHORT, by_evenness, gives_all, regrets, short_row, to_begin_with
from explorer.report.csv_out import keepers_csv, safe
from explorer.report.figures_pairs import conflict
from explorer.report.gather import Entry, Gathered
from explorer.report.motion_data import motion_of
from explorer.report.outlines import path_d
from explorer.report.scales import AimScale, bare, words
from explorer.report.story import many, next_build
from explorer.scoring.limits import AIM_BY_NAME
from explorer.show.layout import quantity
from tests.mechanics.polygons import polygon_points

AIMS = tuple(AIM_BY_NAME[n] for n in ("grip", "pieces", "room"))


@dataclass(frozen=True)
class One:
    name: str
    aims: Mapping[str, float]


numbers = st.floats(0.1, 100.0)
drives = st.lists(st.tuples(numbers, numbers, numbers), min_size=1, max_size=30)


def named(rows: list[tuple[float, float, float]]) -> list[One]:
    return [
        One(f"WC-{i:02d}", dict(zip(("grip", "pieces", "room"), r, strict=True)))
        for i, r in enumerate(rows)
    ]


@given(drives)
def test_the_short_row_holds_the_first_on_each_aim(rows: list[tuple[float, float, float]]) -> None:
    keepers = named(rows)
    row = short_row(AIMS, {}, keepers, [])
    assert 1 <= len(row) <= min(SHORT, len(keepers))
    held = [k for k in keepers if k.name in {c.name for c in row}]
    for a in AIMS:
        pick = max if a.more else min
        assert pick(k.aims[a.name] for k in held) == pick(k.aims[a.name] for k in keepers)


@given(drives)
def test_the_one_to_start_with_is_least_far_from_the_best(
    rows: list[tuple[float, float, float]],
) -> None:
    keepers = named(rows)
    order = by_evenness(AIMS, {}, keepers)

    def worst(k: One) -> float:
        out = []
        for a in AIMS:
            values = [o.aims[a.name] for o in keepers]
            best, span = (max(values) if a.more else min(values)), max(values) - min(values)
            out.append(abs(best - k.aims[a.name]) / span if span else 0.0)
        return max(out)

    far = [worst(keepers[i]) for i in order]
    assert sorted(order) == list(range(len(keepers)))
    assert far == pytest.approx(sorted(far))


@given(drives)
def test_the_one_to_build_gives_all_that_is_needed_where_one_does(
    rows: list[tuple[float, float, float]],
) -> None:
    """Those that give all come first, and each of both kinds in the order of evenness among all keepers."""
    keepers = named(rows)
    even, order = by_evenness(AIMS, {}, keepers), to_begin_with(AIMS, {}, keepers)
    enough = {i for i, k in enumerate(keepers) if k.aims["grip"] >= 1.0}
    assert order == (*(i for i in even if i in enough), *(i for i in even if i not in enough))


@pytest.mark.parametrize("others", [0.9, 1.2])
def test_that_others_give_less_is_said_of_the_one_to_build(
    gathered: Gathered, others: float
) -> None:
    def with_grip(e: Entry) -> Entry:
        return replace(e, aims={**e.aims, "grip": 1.1 if e.name == gathered.start else others})

    g = replace(gathered, keepers=tuple(with_grip(e) for e in gathered.keepers))
    assert g.start is not None
    assert len(g.keepers) > 1
    told = " ".join(next_build(g))
    assert f"build {g.start} " in told
    assert ("give every powered grip all that it needs and can have a build pack" in told) == (
        others < 1.0
    )


def test_without_a_powered_grip_none_is_short_of_it() -> None:
    assert gives_all(One("X", {"pieces": 40.0}))
    assert gives_all(One("X", {"grip": 1.0}))
    assert not gives_all(One("X", {"grip": 0.999}))


def test_beyond_enough_nothing_is_gained() -> None:
    keepers = named([(1.0, 50.0, 30.0), (9.0, 50.0, 30.0)])
    assert regrets(AIMS, {"grip": 1.0}, keepers, keepers).tolist() == [[0.0] * 3, [0.0] * 3]


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e5))
def test_ticks_are_round_and_inside(low: float, wide: float) -> None:
    found = svg.ticks(low, low + wide)
    steps = np.diff(found)
    assert all(low - 1e-6 * wide <= t <= low + wide * (1.0 + 1e-6) for t in found)
    assert 1 <= len(found) <= 12
    for step in steps:
        lead = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
        assert min(abs(lead - r) for r in (1.0, 2.0, 5.0, 10.0)) < 1e-3


numbers_in = re.compile(r"-?\d+\.?\d*(?:e-?\d+)?")


@given(
    st.floats(-20, 20), st.floats(-20, 20), st.floats(1, 20), st.floats(-3, 3), st.floats(0.2, 3.0)
)
def test_a_sectors_path_turns_on_its_rim_and_hub(
    x: float, y: float, r: float, way: float, half: float
) -> None:
    """Corners of the path against the polygon that clearances are tested with."""
    hub = r / 2.0
    d = path_d("W", [x, y, hub, r, way, half])
    points = polygon_points(Sector(*(np.array(v) for v in (x, y, hub, r, way, half))), 8, ())
    start = [float(v) for v in numbers_in.findall(d)[:2]]
    away = np.hypot(points[:, 0] - start[0], points[:, 1] - start[1])
    assert away.min() < 0.02


def test_a_stadiums_path_stays_its_radius_off_its_middle_line() -> None:
    d = path_d("S", [0.0, 0.0, 10.0, 0.0, 2.0])
    assert d == "M0 -2L10 -2A2 2 0 0 1 10 2L0 2A2 2 0 0 1 0 -2Z"
    points = polygon_points(Stadium(*(np.array(v) for v in (0.0, 0.0, 10.0, 0.0, 2.0))), 4, ())
    assert {(0.0, -2.0), (10.0, -2.0), (10.0, 2.0), (0.0, 2.0)} <= {
        (round(a, 6) + 0.0, round(b, 6) + 0.0) for a, b in points
    }


@pytest.mark.parametrize(
    ("unit", "value"),
    [("x need", 0.914), ("pieces", 91.0), ("cm3", 70.66), ("weeks", 516.4), ("N", 279.6)],
)
def test_words_round_as_the_one_table_does(unit: str, value: float) -> None:
    told = words(value, unit)
    assert told.replace("×", "x").replace("³", "3") == quantity(value, unit)
    assert bare(value, unit) == told.split(" ")[0]


def test_what_has_no_end_is_said_in_words() -> None:
    assert words(math.inf, "weeks") == "no end in sight"
    assert words(None, "N") == "–"
    assert [many(n) for n in (7, 41_200, 4_210_000)] == ["7", "41\u00a0200", "4.2 million"]


def test_conflicts_are_told_from_ranks() -> None:
    x, y = (AimScale(AIM_BY_NAME[n], 0.0, 1.0, None, None, "") for n in ("grip", "pieces"))
    rows = [
        Entry(
            f"WC-{i:02d}",
            "chain_winder+chain",
            "keeper",
            {"grip": i, "pieces": 40.0 + i},
            fits=True,
        )
        for i in range(9)
    ]
    assert conflict(rows, x, y) == "more grip costs pieces"
    turned = [
        Entry(
            e.name, e.architecture, e.kind, {**e.aims, "pieces": 90.0 - e.aims["pieces"]}, fits=True
        )
        for e in rows
    ]
    assert conflict(turned, x, y) == "more grip goes with fewer pieces"
    assert "too few" in conflict(rows[:3], x, y)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx", '  =HYPERLINK("http://x")', '=a","b']
)
def test_words_are_kept_from_being_formulas(text: str) -> None:
    assert safe(text) == f"'{text}"
    assert safe("plain = text") == "plain = text"


def test_the_csv_reads_back_in_full(gathered: Gathered) -> None:
    rows = {r["drive"]: r for r in csv.DictReader(io.StringIO(keepers_csv(gathered), newline=""))}
    for k in gathered.result.keepers:
        for name, value in k.aims.items():
            cell = rows[k.name][f"aim {name}"]
            assert (cell == "" and math.isinf(value)) or float(cell) == value
        for name, value in k.slacks.items():
            assert float(rows[k.name][f"slack {name}"]) == value
    assert "'=old lever" in rows
    assert rows["'=old lever"]["kind"] == "build"


def test_the_page_says_by_which_algorithm_it_was_searched(gathered: Gathered) -> None:
    def line(algorithm: str) -> str:
        result = replace(gathered.result, algorithm=algorithm)
        return dict(contents._head(replace(gathered, result=result)))["search"]

    assert line("GDE3") == f"{line('')}; by GDE3, a stock algorithm"


def test_the_slider_ends_at_the_strength_case(gathered: Gathered) -> None:
    """The last stop's pull is the strength case's; pulls of the fingers add up to at least the output."""
    for name in [c.name for c in gathered.choices][:3]:
        whole = gathered.whole[name]
        m = motion_of(whole)
        pulls = dict(m.pulls)
        for grip in m.grips:
            last = grip.stops[-1]
            assert last.F_in == pytest.approx(float(whole.detail.strength.F_in[0, grip.position]))
            assert last.share == pytest.approx(1.0)
            fingers = sum(
                float(v[grip.position]) for k, v in pulls.items() if k.startswith("finger")
            )
            assert fingers >= 1.0 - 1e-9  # high sides
            shapes = [s.shape for s in grip.stops if s.part == "closing"]
            assert shapes == list(range(shapes[0], shapes[0] + len(shapes)))
