"""What is said of doubt: counts of a hundred, and what to measure next."""

import re
from dataclasses import replace
from typing import Any

import pytest

from explorer.brief.read import Study
from explorer.brief.records import Provenance, Source
from explorer.scoring.open import shelf_for
from explorer.show.doubt import INPUTS, doubt_lines, measure_next, source_of
from explorer.show.facts import facts_of
from explorer.show.find import opened
from explorer.show.plain import Table
from explorer.show.text import lines


def said(table: Table) -> str:
    return " ".join(" ".join(doubt_lines(table)).split())


def row(key: str, grip: float, pins: float, source: str) -> dict[str, Any]:
    return {"key": key, "of_grip_share": grip, "of_pins_share": pins, "source": source}


def test_every_spread_of_a_brief_has_words_and_a_way_to_measure(study: Study) -> None:
    assert {s.path for s in study.brief.spreads} == set(INPUTS)


def test_the_text_says_what_the_facts_say(every_facts: list[Table]) -> None:
    for table in every_facts:
        x, text = table["doubt"], said(table)
        assert isinstance(x, dict)
        yields = round(100 * x["pins"]["yields_share"])
        found = re.search(r"In (\d+) of 100 hands like this a pin yields \(\+-(\d+)\)", text)
        assert found
        assert int(found[1]) == yields
        assert 0 <= int(found[2]) - 100 * x["pins"]["yields_error_share"] < 1
        assert f"reach {x['weakest_low_ratio']:.2f} x need" in text
        assert f"{x['hands_count']} hands drawn, seed {x['seed']}" in text
        assert str(x["next"]) in text
        whole = " ".join(" ".join(lines(table, "n")).split())
        assert text in whole


def test_the_low_grip_is_below_the_computed_one(every_facts: list[Table]) -> None:
    for table in every_facts:
        x = table["doubt"]
        assert isinstance(x, dict)
        assert 0.0 < x["weakest_low_ratio"] < x["weakest_ratio"]
        for g in x["grips"]:
            assert g["low_N"] < g["computed_N"]
        order = [max(i["of_grip_share"], i["of_pins_share"]) for i in x["inputs"]]
        assert order == sorted(order, reverse=True)


def test_a_guess_is_measured_before_what_is_measured_already() -> None:
    rows = [
        row("wrist.torque", 0.8, 0.1, "measured"),
        row("friction.bare", 0.1, 0.0, "handbook"),
        row("pin.yield_MPa", 0.0, 0.3, "guess"),
    ]
    key, sentence = measure_next(rows)
    assert key == "pin.yield_MPa"
    assert "a guess so far" in sentence
    assert "30 % of that in the pins" in sentence
    assert INPUTS["pin.yield_MPa"][1] in sentence


def test_where_all_is_measured_the_heaviest_is_measured_more_closely() -> None:
    rows = [row("wrist.torque", 0.8, 0.1, "measured"), row("friction.bare", 0.01, 0.0, "guess")]
    key, sentence = measure_next(rows)
    assert key == "wrist.torque"
    assert "more closely" in sentence


def test_nothing_to_measure_is_said() -> None:
    assert measure_next([row("friction.bare", 0.01, 0.0, "guess")])[0] is None
    assert measure_next([]) == (None, measure_next([])[1])


@pytest.mark.parametrize(
    ("sources", "known"),
    [
        (("measured", "measured"), "measured"),
        (("measured", "handbook"), "handbook"),
        (("measured", "guess"), "guess"),
        ((), "guess"),
    ],
)
def test_a_pull_is_known_as_well_as_its_worst_number(
    study: Study, sources: tuple[Source, ...], known: str
) -> None:
    keys = ("wrist.torque_often_Nm", "wrist.pull_peak_N")
    found = {k: Provenance(k, s) for k, s in zip(keys, sources, strict=False)}
    shelf = shelf_for(study)
    shelf = replace(shelf, brief=replace(shelf.brief, provenance=found))
    assert source_of(shelf, "wrist.torque") == known
    assert source_of(shelf, "shop.pin_fit") == "guess"


@pytest.mark.parametrize(
    ("text", "known"),
    [("measured on a strip", "measured"), ("maker's table", "handbook"), ("invented", "guess")],
)
def test_strength_is_known_as_the_stock_says(study: Study, text: str, known: str) -> None:
    shelf = shelf_for(study)
    metals = tuple(replace(m, source=text) for m in shelf.stock.metals)
    shelf = replace(shelf, stock=replace(shelf.stock, metals=metals))
    assert source_of(shelf, "metal.yield_MPa") == known


def test_without_spreads_nothing_is_doubted(study: Study) -> None:
    sure = replace(study, brief=replace(study.brief, spreads=()))
    text = said(facts_of(opened(sure, sure.builds[0])))
    assert "No input of the brief moves this drive enough" in text
    assert "(+-0)" in text
    assert "(+-0.00)" in text
