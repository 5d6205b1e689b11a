"""What the facts say agrees with what the scorer computed, seen from another side."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from explorer.brief.builds import Build
from explorer.brief.demand_build import build_demand
from explorer.brief.read import Study
from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.shelf import Shelf
from explorer.drives.values import random_vectors, values_of
from explorer.scoring.open import open_drive, space_for
from explorer.scoring.score import Detail, detail, score
from explorer.show import made
from explorer.show.facts import cautions, facts_of
from explorer.show.find import Found, opened
from explorer.show.layout import table_of
from explorer.show.plain import Table, num
from explorer.show.proof import LEAST_PULL
from explorer.show.text_more import doubt
from tests.factories import make_brief
from tests.shelf import make_stock


def small_study(fingers: int, architecture: str, single: str = "little side") -> Found:
    """A hand with fewer fingers, without files."""
    brief = make_brief(fingers)
    shelf = Shelf(brief, make_stock(), build_demand(brief))
    space = space_for(shelf, architecture, single if fingers == 3 else "")
    values = values_of(space, random_vectors(space, 1, np.random.default_rng(5))[0])
    if fingers == 3:
        values["single"] = single
    build = Build("small", architecture, values, {})  # type: ignore[arg-type]
    study = Study(Path("small"), "small", brief, shelf.stock, (build,), (), (), {}, "")
    return Found(study, build, open_drive(shelf, build))


def small_hand(fingers: int, architecture: str, single: str = "little side") -> Table:
    return facts_of(small_study(fingers, architecture, single))


def detail_of(study: Study, index: int) -> Detail:
    found = opened(study, study.builds[index])
    return detail(found.opened.space, found.opened.X)


def rows(value: Any) -> list[dict[str, Any]]:  # noqa: ANN401
    return list(value)


def test_the_shown_scores_are_the_searchs_own(study: Study, every_facts: list[Table]) -> None:
    """One scorer: `show` works out every position, the search only those that count."""
    for build, table in zip(study.builds, every_facts, strict=True):
        drive = opened(study, build).opened
        found = score(drive.space, drive.X)
        assert {a["name"]: a["value"] for a in rows(table["aims"])} == {
            k: num(v[0]) for k, v in found.aims.items()
        }
        slacks = {s["id"]: s["slack"] for s in rows(table["limits"]) if s["slack"] is not None}
        assert slacks == {k: float(v[0]) for k, v in found.slacks.items() if k in slacks}
        assert len(slacks) > 10


EVERY = range(len(ARCHITECTURES))


@pytest.mark.parametrize("index", EVERY)
def test_the_fingers_parts_add_up_to_the_delivered_grip(
    every_facts: list[Table], index: int
) -> None:
    grips = rows(every_facts[index]["grips"])
    assert grips
    for grip in grips:
        parts = [finger["force_N"] for finger in grip["fingers"]]
        assert sum(parts) == pytest.approx(grip["delivered_N"], rel=1e-9, abs=1e-9)
        least = [finger["force_least_N"] for finger in grip["fingers"]]
        assert all(a <= b + 1e-9 for a, b in zip(least, parts, strict=True))


@pytest.mark.parametrize("index", EVERY)
def test_shares_without_friction_sum_to_one_and_pulls_to_the_output(
    every_facts: list[Table], index: int
) -> None:
    for position in rows(every_facts[index]["positions"]):
        shares = [f["share_plain_share"] for f in position["fingers"]]
        assert sum(shares) == pytest.approx(1.0, abs=1e-12)
        if position["F_out_N"] is not None:
            pulls = [f["pull_plain_N"] for f in position["fingers"]]
            assert sum(pulls) == pytest.approx(position["F_out_N"], rel=1e-12)


@pytest.mark.parametrize("index", EVERY)
def test_power_in_is_power_out_over_efficiency(every_facts: list[Table], index: int) -> None:
    """F_in dX eta = F_out dY at a grip; a polygon of links takes a few percent more."""
    for position in rows(every_facts[index]["positions"]):
        if position["kind"] == "grip":
            ideal = position["F_in_N"] * position["a1_mm"] / position["a2_mm"]
            kept = position["F_out_N"] / (ideal * position["efficiency_share"])
            assert 0.8 < kept <= 1.0 + 1e-12


@pytest.mark.parametrize("index", EVERY)
def test_the_worst_position_of_a_check_gives_its_margin(
    every_facts: list[Table], index: int
) -> None:
    """Equal where a check has one load; two loads that peak apart make the scorer's margin smaller."""
    for check in rows(every_facts[index]["checks"]):
        at = [a["margin_MS"] for a in check["at"] if a["margin_MS"] is not None]
        if check["margin_MS"] is None:
            assert at == []
        else:
            assert check["margin_MS"] <= min(at) + 1e-9
            if check["load_unit"] == "N":
                assert check["margin_MS"] == pytest.approx(min(at), rel=1e-9, abs=1e-9)
                by_hand = check["allowable"] / (check["factor_ratio"] * check["stress"]) - 1.0
                assert check["margin_MS"] == pytest.approx(by_hand, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("index", EVERY)
def test_the_first_rung_at_the_wrist_is_where_its_check_reaches_its_strength(
    every_facts: list[Table], index: int
) -> None:
    """Stress grows in step with the pull: at `gives` it is the allowable."""
    first = every_facts[index]["first_to_give"]
    assert isinstance(first, dict)
    ladder = rows(first["wrist"])
    assert [r["gives_N"] for r in ladder] == sorted(r["gives_N"] for r in ladder)
    rung = ladder[0]
    positions = {p["name"]: p for p in rows(every_facts[index]["positions"])}
    if positions[rung["position"]]["kind"] == "carry":
        return  # there the load on the hook may be larger than the wrist's pull
    checks = [
        a["load"] and a["stress"] / c["allowable"]
        for c in rows(every_facts[index]["checks"])
        if (c["part"], c["way"], c["key"]) == (rung["part"], rung["way"], rung["key"])
        for a in c["at"]
        if a["position"] == rung["position"]
    ]
    pull = positions[rung["position"]]["F_in_strength_N"]
    assert rung["gives_N"] == pytest.approx(pull / max(checks), rel=1e-9)
    assert rung["allowed_N"] < rung["gives_N"]


@pytest.mark.parametrize("index", EVERY)
def test_the_parts_list_counts_and_weighs_what_the_totals_say(
    every_facts: list[Table], index: int
) -> None:
    parts, totals = rows(every_facts[index]["parts"]), every_facts[index]["totals"]
    assert isinstance(totals, dict)
    assert sum(p["pieces_count"] for p in parts) == totals["pieces_count"]
    assert len({p["number"] for p in parts}) == totals["part_numbers_count"]
    mass = sum(p["pieces_count"] * p["mass_each_g"] for p in parts)
    assert mass == pytest.approx(totals["mass_g"], rel=1e-9)
    assert all(p["z_from_mm"] < p["z_to_mm"] for p in parts)


def test_parts_with_one_number_are_of_one_stock_line(study: Study) -> None:
    """A ring for the first shaft and one for the first pin are different parts."""
    build = next(b for b in study.builds if b.architecture == "chain_differential+bar")
    first = [f"shaft={study.stock.shafts[0].name}", f"bar_end_pin={study.stock.pins[0].name}"]
    lines: dict[str, set[tuple[str, str]]] = {}
    for p in rows(facts_of(opened(study, build, first))["parts"]):
        lines.setdefault(p["number"], set()).add((p["what"], p["stock_line"]))
    assert [number for number, found in lines.items() if len(found) > 1] == []


@pytest.mark.parametrize("index", EVERY)
def test_a_ring_is_of_the_size_of_its_pin(
    study: Study, every_facts: list[Table], index: int
) -> None:
    """Rings hold the index of their pin in a list that may be pins or shafts."""
    by_key = {p["key"]: p for p in rows(every_facts[index]["parts"])}
    rods = {p.name: p.d for p in (*study.stock.pins, *study.stock.shafts)}
    shafts = {r.name: r.shaft for r in study.stock.rings}
    rings = [p for p in by_key.values() if p["what"] == "ring"]
    for ring in rings:
        pin = by_key[ring["key"].removesuffix(" rings")]
        assert shafts[ring["stock_line"]] == pytest.approx(rods[pin["stock_line"]])


@pytest.mark.parametrize("index", EVERY)
def test_the_sum_of_travel_over_the_draw_is_the_input_travel(
    every_facts: list[Table], index: int
) -> None:
    ratio = every_facts[index]["ratio"]
    assert isinstance(ratio, dict)
    assert ratio["work_travel_mm"] == pytest.approx(ratio["X_at_longest_mm"], rel=1e-4)


@pytest.mark.parametrize("index", EVERY)
def test_clearances_and_wear_begin_with_the_worst(every_facts: list[Table], index: int) -> None:
    gaps = [c["least_mm"] for c in rows(every_facts[index]["clearances"])]
    assert gaps == sorted(gaps)
    weeks = [np.inf if w["weeks"] is None else w["weeks"] for w in rows(every_facts[index]["wear"])]
    assert weeks == sorted(weeks)


@pytest.mark.parametrize("index", EVERY)
def test_a_drive_fits_exactly_where_every_limit_does(every_facts: list[Table], index: int) -> None:
    limits = rows(every_facts[index]["limits"])
    assert every_facts[index]["fits"] == all(limit["fits"] for limit in limits)
    assert all(limit["fits"] == (limit["slack"] is None or limit["slack"] >= 0) for limit in limits)


def test_the_exact_witness_knows_the_drives_own_draws(
    study: Study, every_facts: list[Table]
) -> None:
    """At rest both forms stand where the drive was laid out."""
    for table in every_facts:
        exact = table["exact"]
        assert isinstance(exact, dict)
        rest = rows(exact["positions"])[0]
        if rest["solved"]:
            assert rest["X_exact_mm"] == pytest.approx(0.0, abs=1e-6)
            assert rest["X_explicit_mm"] == pytest.approx(0.0, abs=1e-9)
    assert len(every_facts) == len(study.builds)


@pytest.mark.parametrize("single", ["index side", "little side"])
def test_three_fingers_name_the_one_that_stands_alone(single: str) -> None:
    table = small_hand(3, "linked_lever+bar", single)
    assert table["single"] == single
    stages = [s["name"] for s in rows(rows(table["positions"])[0]["stages"])]
    assert stages == [
        "first lever",
        "bar middle-ring" if single == "index side" else "bar index-middle",
    ]


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_two_fingers_have_one_equaliser(architecture: str) -> None:
    table = small_hand(2, architecture)
    assert table["single"] is None
    assert [len(p["stages"]) for p in rows(table["positions"])] == [1] * len(
        rows(table["positions"])
    )


def test_part_numbers_tell_different_lengths_apart(study: Study) -> None:
    d = detail_of(study, 0)
    there = [p for p in d.pieces if p.count[0, 0] > 0]
    assert made.part_numbers([there[0], there[0]]) == [1, 1]
    other = next(p for p in there if p.what != there[0].what)
    assert made.part_numbers([there[0], other, there[0]]) == [1, 2, 1]


@pytest.mark.parametrize(
    ("exact", "told"),
    [
        ({"check_leans": True, "solved": False, "breaks": []}, "cannot be solved"),
        ({"check_leans": True, "solved": True, "breaks": ["tilt"]}, "these limits: tilt"),
        ({"check_leans": True, "solved": True, "breaks": []}, "more than 3 %"),
        ({"check_leans": False, "solved": True, "breaks": []}, ""),
    ],
)
def test_leans_to_check_are_a_caution(
    every_facts: list[Table], exact: dict[str, Any], told: str
) -> None:
    found = [str(c) for c in cautions({**every_facts[0], "exact": exact})]
    leans = [c for c in found if c.startswith("Check leans")]
    assert len(leans) == (1 if told else 0)
    assert all(told in c for c in leans)


def test_the_exact_mark_follows_what_it_was_made_from(every_facts: list[Table]) -> None:
    for table in every_facts:
        exact = table["exact"]
        assert isinstance(exact, dict)
        moved = [abs(p["grip_difference_share"]) for p in rows(exact["positions"]) if p["solved"]]
        bad = not exact["solved"] or exact["breaks"] or max(moved) > 0.03
        assert exact["check_leans"] == bool(bad)


def pull(name: str, scored: float, exact: float) -> dict[str, Any]:
    share = exact / scored - 1.0 if scored >= LEAST_PULL else None
    return {"name": name, "scored_N": scored, "exact_N": exact, "difference_share": share}


def position(*pulls: dict[str, Any]) -> dict[str, Any]:
    sizes = {
        f"{n}_{f}_{u}": 1.0
        for n, u in (("X", "mm"), ("lean", "deg"))
        for f in ("explicit", "exact")
    }
    return {
        "name": "pinch",
        "tilts": [],
        "grip_difference_share": 0.0,
        **sizes,
        "pulls": list(pulls),
    }


def test_of_pulls_that_are_nearly_nothing_no_share_is_told(every_facts: list[Table]) -> None:
    """0.02 N against 1.2 N is 5,900 %, and says nothing; 1 N against 1.1 N is 10 %, and does."""
    exact = table_of(every_facts[0]["exact"])
    for places, told in (
        ([position(pull("index", 0.02, 1.2), pull("ring", 1.0, 1.1))], True),
        ([position(pull("index", 1.0, 1.2))], False),
    ):
        text = " ".join(
            " ".join(doubt({**every_facts[0], "exact": {**exact, "positions": places}})).split()
        )
        assert ("index in pinch. Scored they pull less than 1 N" in text) is told
        assert "5900" not in text
        assert ("10.0 %" in text) is told


def test_the_share_of_a_pull_is_told_from_one_newton_on(every_facts: list[Table]) -> None:
    for table in every_facts:
        exact = table_of(table["exact"])
        pulls = [r for p in rows(exact["positions"]) for r in rows(p["pulls"])]
        assert pulls
        for r in pulls:
            assert (r["difference_share"] is None) == (r["scored_N"] < exact["least_pull_N"])
            if r["difference_share"] is not None:
                assert r["exact_N"] / r["scored_N"] - 1.0 == pytest.approx(
                    r["difference_share"], abs=1e-9
                )
