"""Service in words: rounded to the safe side, and what a maker does."""

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.show.plain import Table
from explorer.show.service import after, every, service_lines


def said(table: Table) -> str:
    return " ".join(" ".join(service_lines(table)).split())


def joints(table: Table) -> list[dict[str, Any]]:
    x = table["service"]
    assert isinstance(x, dict)
    return list(x["joints"])


@pytest.mark.parametrize(
    ("weeks", "words"),
    [
        (None, "once a year"),
        (500.0, "once a year"),
        (51.9, "every 51 weeks"),
        (1.9, "every week"),
        (0.5, "every 3 days"),
        (0.01, "every day"),
    ],
)
def test_how_often(weeks: float | None, words: str) -> None:
    assert every(weeks) == words


@pytest.mark.parametrize(
    ("weeks", "words"),
    [
        (None, "does not wear"),
        (261.0, "outlasts 5 years"),
        (259.0, "4.9 years"),
        (103.9, "103 weeks"),
        (0.5, "3 days"),
    ],
)
def test_how_long(weeks: float | None, words: str) -> None:
    assert after(weeks, 5.0) == words


@given(st.floats(1.0 / 7.0, 51.99))
def test_nobody_looks_later_than_computed(weeks: float) -> None:
    found = re.findall(r"\d+", every(weeks))
    count = int(found[0]) if found else 1
    assert count * (1.0 if "week" in every(weeks) else 1.0 / 7.0) <= weeks + 1e-12


def test_every_joint_is_a_line_with_its_limit(every_facts: list[Table]) -> None:
    for table in every_facts:
        lines = service_lines(table)
        for r in joints(table):
            line = next(x for x in lines if x.strip().startswith(f"{r['part']}  "))
            assert (
                f"{r['limit_mm']:.2f} mm more play" in line or f"{r['worn_mm']:.2f} mm over" in line
            )
            assert r["limit_mm"] >= 0.05
            assert r["tool"] == "caliper"
            assert line.endswith(f" {r['spares_count']}")


def test_it_says_how_to_measure_what_is_there(every_facts: list[Table]) -> None:
    for table in every_facts:
        text, rows = said(table), joints(table)
        assert ("Chain: pull it straight" in text) == any(r["new_mm"] is not None for r in rows)
        assert "Play: hold one plate" in text
        for change in {r["change"] for r in rows}:
            assert change in text


def test_a_drive_without_wear_says_nothing() -> None:
    assert service_lines({"service": {"joints": []}}) == []
