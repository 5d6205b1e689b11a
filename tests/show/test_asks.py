"""What each grip asks of the hand, as printed and as data: agreement with hand sums and with each other."""

from __future__ import annotations

from typing import Any

import pytest

from explorer.brief.read import Study
from explorer.brief.stock_default import default_bearings
from explorer.drives.assemble import ARCHITECTURES
from explorer.show.asks import asks, warnings
from explorer.show.plain import Table
from explorer.show.text import headings, lines
from explorer.show.text_asks import SECTIONS
from tests.show.test_facts import detail_of

EVERY = pytest.mark.parametrize("index", range(len(ARCHITECTURES)))


def of(table: Table, key: str) -> Any:  # noqa: ANN401
    asked: Any = table["asks"]
    return asked[key]


@EVERY
def test_effort_is_torque_over_torque(every_facts: list[Table], study: Study, index: int) -> None:
    wrist = study.brief.wrist
    for row in of(every_facts[index], "effort"):
        torque = row["torque_Nm"] * 1000.0
        assert row["of_peak_share"] == pytest.approx(torque / wrist.torque_peak, rel=1e-12)
        assert row["of_often_share"] == pytest.approx(torque / wrist.torque_often, rel=1e-12)
        assert row["above_often"] == (torque > wrist.torque_often)
        assert row["hold_locked_Nm"] == 0.0  # the made-up hand has a lock


def test_the_warning_fires_above_the_everyday_limit() -> None:
    """Just below nothing is said, just above it is; a long hold without a lock is said apart."""
    row: Table = {
        "name": "jar",
        "kind": "grip",
        "long_hold": True,
        "lock": None,
        "of_peak_share": 0.2,
    }
    below = {**row, "of_often_share": 0.999, "above_often": False, "hold_above_often": False}
    above = {**row, "of_often_share": 1.2, "above_often": True, "hold_above_often": True}
    assert warnings([below]) == []
    told = [str(w) for w in warnings([above])]
    assert told[0].startswith("jar: reaching the needed grip takes 1.2 x")
    assert "tires the wrist" in told[1]
    assert len(warnings([{**above, "lock": "input drawbar"}])) == 1


@EVERY
def test_the_truth_table_adds_up(every_facts: list[Table], index: int) -> None:
    for grip in of(every_facts[index], "truth"):
        for way in grip["ways"]:
            fingers = way["fingers"]
            assert sum(f["share_share"] for f in fingers) == pytest.approx(1.0, abs=1e-12)
            assert sum(f["pull_N"] for f in fingers) == pytest.approx(way["pull_N"], rel=1e-9)
            assert sum(f["swallowed_N"] for f in fingers) == pytest.approx(way["swallowed_N"])
            assert sum(f["force_N"] for f in fingers) == pytest.approx(way["force_N"])
            lost = [f for f in fingers if f["does"] != "engaged"]
            assert all(f["swallowed_N"] == f["pull_N"] for f in lost)


@EVERY
def test_lock_loads_are_share_x_pull_x_factor(every_facts: list[Table], index: int) -> None:
    rows = of(every_facts[index], "locks")
    assert rows
    for row in rows:
        share = 1.0 if row["share_share"] is None else row["share_share"]
        assert row["load_N"] == pytest.approx(share * row["pull_N"] * 1.5, rel=1e-12)
    assert [r["load_N"] for r in rows] == sorted((r["load_N"] for r in rows), reverse=True)


def test_the_selector_follows_the_brief(every_facts: list[Table], study: Study) -> None:
    for table in every_facts:
        found = of(table, "selector")
        assert [d["grip"] for d in found["detents"]] == [g.name for g in study.brief.grips]
        card = found["detents"][2]["fingers"]
        assert [f["does"] for f in card] == ["engaged"] * 2 + ["parked closed"] * 2
        assert found["worst_steps_count"] == max(j["steps_count"] for j in found["jumps"]) == 2


@EVERY
def test_what_the_mounts_carry_closes(every_facts: list[Table], index: int) -> None:
    """The wrist's pull and the forces on the mounts in one direction, and the sum said to close."""
    grips = of(every_facts[index], "mounts")["grips"]
    assert grips
    assert all(g["open_by_ratio"] < 1e-9 for g in grips)
    ring = {g["name"]: g for g in of(every_facts[index], "ring")["grips"]}
    for g in grips:
        along = sum(p["force_y_N"] for p in g["parts"])
        assert ring[g["name"]]["along_N"] == pytest.approx(along, rel=1e-9, abs=1e-9)


def test_without_an_exact_linkage_there_are_no_reactions(study: Study) -> None:
    found: Any = asks(detail_of(study, 0), None)
    assert found["mounts"]["grips"] == found["ring"]["grips"] == found["joint"]["grips"] == []
    assert found["effort"]


def test_both_usual_stacks_are_compared(every_facts: list[Table]) -> None:
    """The thrust pair holds squarer and, under the same load, is safer on its own."""
    for table in every_facts:
        three, four = of(table, "joint")["stacks"]
        assert (len(three["bearings"]), len(four["bearings"])) == (3, 4)
        assert three["tilt_play_deg"] < four["tilt_play_deg"]
        for stack in (three, four):
            assert stack["static_safety_ratio"] == min(
                b["static_safety_ratio"] for b in stack["bearings"]
            )


def test_a_stock_without_bearings_gets_ours() -> None:
    assert {b.kind for b in default_bearings()} == {"thrust", "deep groove"}


def test_every_section_prints(every_facts: list[Table]) -> None:
    names = [heading for heading, _ in SECTIONS]
    assert set(names) <= headings()
    for table in every_facts:
        text = lines(table, "next")
        assert [x for x in text if x in names] == names
        row = of(table, "effort")[0]
        printed = next(x for x in text[text.index(names[0]) :] if x.strip().startswith(row["name"]))
        assert f"{row['torque_Nm']:.2f}" in printed
        assert f"{100.0 * row['of_peak_share']:.0f} %" in printed
