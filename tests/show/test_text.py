"""The plain text: a writer over the facts that rounds, aligns and adds nothing."""

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.read import Study
from explorer.show import readback
from explorer.show.layout import Columns, margin, number, paragraph, quantity
from explorer.show.plain import Table
from explorer.show.text import SECTIONS, lines, short_verdict


def rows(value: Any) -> list[dict[str, Any]]:  # noqa: ANN401
    return list(value)


def section(table: Table, heading: str) -> str:
    text = "\n".join(lines(table, "next"))
    start = text.index(f"\n{heading}\n")
    return text[start : text.find("\n\n", text.find("\n", start + 1))]


def cells(line: str) -> list[str]:
    return re.split(r" {2,}", line.strip())


def test_every_section_is_there_and_the_verdict_comes_last(every_facts: list[Table]) -> None:
    for table in every_facts:
        text = lines(table, "evener check x")
        assert [h for h, _ in SECTIONS] == [line for line in text if line in dict(SECTIONS)]
        assert text[-1] == "Next: evener check x"
        verdict = " ".join(text[text.index("", len(text) - 6) + 1 : -1])
        assert verdict.startswith(f"{table['drive']} ")
        assert "First to give" in verdict


def test_no_line_ends_in_blanks_or_holds_a_tab(every_facts: list[Table]) -> None:
    for table in every_facts:
        assert [x for x in lines(table, "n") if x != x.rstrip() or "\t" in x] == []


def test_the_grip_table_prints_the_facts_rounded(every_facts: list[Table]) -> None:
    for table in every_facts:
        printed = section(table, "What does it give?").splitlines()
        for grip in rows(table["grips"]):
            line = next(x for x in printed if cells(x)[0] == grip["name"])
            assert cells(line)[1:4] == [
                f"{grip['delivered_N'] + 0.0:.0f}".replace("-0", "0")
                if abs(grip["delivered_N"]) < 0.5
                else f"{grip['delivered_N']:.0f}",
                f"{grip['need_N']:.0f}",
                number(grip["of_need_ratio"], 2),
            ]


def test_failing_limits_come_first_and_each_limit_stands_once(every_facts: list[Table]) -> None:
    for table in every_facts:
        printed = section(table, "Does it fit?")
        names = [limit["id"] for limit in rows(table["limits"])]
        found = [cells(x)[:2] for x in printed.splitlines() if cells(x)[0] in names]
        found = [f for f in found if f[1] in {"ok", "FAILS"}]
        assert sorted(f[0] for f in found) == sorted(names)
        marks = [f[1] for f in found]
        assert marks == sorted(marks)  # FAILS before ok
        failing = {limit["id"] for limit in rows(table["limits"]) if not limit["fits"]}
        assert {f[0] for f in found if f[1] == "FAILS"} == failing


def test_the_first_rung_is_the_printed_one(every_facts: list[Table]) -> None:
    for table in every_facts:
        first = table["first_to_give"]
        assert isinstance(first, dict)
        rung = rows(first["wrist"])[0]
        line = section(table, "What gives first?").splitlines()[3]
        assert cells(line)[:3] == [rung["part"], rung["way"], f"{rung['gives_N']:.0f}"]
        assert rung["left"] in line


def test_the_parts_list_prints_every_piece(every_facts: list[Table]) -> None:
    for table in every_facts:
        printed = section(table, "What is it made of?")
        for part in rows(table["parts"]):
            assert re.search(
                rf"{part['number']} +{re.escape(part['words'])} +{part['pieces_count']} ", printed
            )


def test_the_bending_model_is_named(every_facts: list[Table]) -> None:
    text = " ".join(" ".join(lines(every_facts[0], "n")).split())
    assert "M = F/2 (t_fork/2 + gap + t_mid/4); textbooks differ threefold" in text


def limit(name: str, slack: float) -> dict[str, Any]:
    return {"id": name, "slack": slack, "slack_unit": "mm", "fits": slack >= 0}


def test_the_short_verdict() -> None:
    grip = {"name": "jar", "delivered_N": 20.4, "of_need_ratio": 1.234}
    fits: Table = {"limits": [limit("stroke", 0.0)], "grips": [grip]}
    assert short_verdict(fits) == "fits: weakest grip jar, 20 N, 1.23 x what it needs."
    fails: Table = {"limits": [limit("stroke", 1.0), limit("cavity", -2.34)], "grips": [grip]}
    assert short_verdict(fails) == "does not fit: cavity -2.3 mm."
    many: Table = {"limits": [limit(n, -1.0) for n in "abcde"], "grips": []}
    assert short_verdict(many).endswith("and 2 more.")


@pytest.mark.parametrize(
    ("ms", "words"),
    [
        (0.63, "holds 1.6 x the load (MS 0.63)"),
        (0.0, "holds 1.0 x the load (MS 0.00)"),
        (-0.25, "only 0.8 x the load (MS -0.25)"),
        (None, "carries nothing"),
    ],
)
def test_a_margin_in_words(ms: float | None, words: str) -> None:
    assert margin(ms) == words


def test_quantities_round_by_their_unit() -> None:
    assert quantity(12.345, "N") == "12 N"
    assert quantity(12.345, "mm") == "12.3 mm"
    assert quantity(0.125, "-") == "12 %"
    assert quantity(-0.0001, "mm") == "0.0 mm"
    assert quantity(None, "mm") == "-"
    assert quantity(41.6, "credits") == "42 credits"


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_a_printed_number_is_within_half_its_last_digit(x: float, digits: int) -> None:
    assert abs(float(number(x, digits)) - x) <= 0.5 * 10.0**-digits * (1 + 1e-9) + 1e-9
    assert not number(x, digits).startswith("-") or float(number(x, digits)) < 0


@given(st.lists(st.tuples(st.text("abc ü", max_size=9), st.text("0123.", max_size=7)), min_size=1))
def test_columns_line_up(table: list[tuple[str, str]]) -> None:
    found = Columns(("name", "n")).lines(table)
    ends = {len(line) for line, (_, n) in zip(found[1:], table, strict=True) if n}
    assert len(ends) <= 1
    assert Columns(("name", "n")).lines([]) == []


@given(st.text("ab c", max_size=400))
def test_a_paragraph_loses_no_word(text: str) -> None:
    assert " ".join(paragraph(text)).split() == text.split()


def test_the_brief_is_read_back(study: Study) -> None:
    found = readback.checked(study)
    assert len(found.builds) == len(study.builds)
    sketch = readback.write_sketch(found)
    try:
        assert sketch.parent == study.folder
        assert sketch.read_text(encoding="utf-8").startswith("<svg")
        text = "\n".join(readback.lines(found, sketch))
    finally:
        sketch.unlink()
    demand = found.shelf.demand
    assert f"{demand.pull_peak:.0f} N peak" in text
    assert f"{demand.stroke:.1f} mm" in text
    assert f"{len(study.guesses)} values are guesses" in text
    for build in study.builds:
        assert f"\n  {build.name} " in text
    for grip in study.brief.grips:
        assert f"\n  {grip.name}: " in text or not grip.on
