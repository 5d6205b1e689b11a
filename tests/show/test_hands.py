"""The table of other hands: the facts are the scores, the words are the facts."""

from __future__ import annotations

from typing import Any

from explorer.brief.hands import HANDS
from explorer.brief.read import Study
from explorer.scoring.hands import hand_shelves, on_hands
from explorer.show.hands import lines
from explorer.show.plain import Table
from explorer.show.text import lines as all_lines


def rows(table: Table) -> list[dict[str, Any]]:
    return list(table["other_hands"])  # type: ignore[arg-type]


def test_the_facts_are_the_scores(study: Study, every_facts: list[Table]) -> None:
    shelves = hand_shelves(study.brief, study.stock)
    for build, table in zip(study.builds[:2], every_facts, strict=False):
        for found, row in zip(on_hands(shelves, build), rows(table), strict=True):
            assert row["grip_ratio"] == found.grip
            assert row["fits"] == found.fits
            assert [m["slack"] for m in row["missing"]] == [m.slack for m in found.missing]


def test_every_hand_has_a_line_that_says_whether_it_fits(every_facts: list[Table]) -> None:
    for table in every_facts:
        text = lines(table)
        assert len(rows(table)) == len(HANDS)
        for row, line in zip(rows(table), text[2:], strict=False):
            assert line.strip().startswith(row["name"])
            assert ("does not fit" in line) == (not row["fits"])
            assert all(m["limit"] in line for m in row["missing"][:2])


def test_it_stands_under_the_question_whether_it_fits(every_facts: list[Table]) -> None:
    text = "\n".join(all_lines(every_facts[0], "n"))
    start, end = text.index("\nDoes it fit?\n"), text.index("\nWhat is it made of?\n")
    assert start < text.index("on other hands") < end


def test_facts_without_hands_print_none() -> None:
    assert lines({}) == []
    assert lines({"other_hands": []}) == []


def test_a_grip_out_of_reach_is_named() -> None:
    row: dict[str, Any] = {
        "name": "child",
        "length_mm": 100.0,
        "breadth_mm": 50.0,
        "palm_mm": 58.0,
        "fits": False,
        "grip_ratio": None,
        "lost": [{"grip": "apple", "why": "too wide"}, {"grip": "apple", "why": "too wide"}],
        "missing": [
            {"limit": n, "slack": x, "slack_unit": "mm"}
            for n, x in (("a", -1.0), ("b", -0.01), ("c", -1.0), ("d", -1.0))
        ],
    }
    line = lines({"other_hands": [row]})[2]
    assert " ".join(line.split()) == (
        "child 100 x 50 does not fit - no apple, a -1.0 mm, b just, 2 more"
    )
