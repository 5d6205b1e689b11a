"""What pull broke an old build: the entry's facts and words, and when they cannot tell."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from explorer.brief.builds import Broke
from explorer.scoring.backfigure import BackFigured, back_figured
from explorer.show.broke import KEYS, lines
from explorer.show.facts import as_json, facts_of
from explorer.show.find import opened
from explorer.show.keys import describe
from explorer.show.plain import Table
from explorer.show.text import lines as all_lines
from tests.scoring.orchard import study
from tests.show.test_keys import has_unit, leaves


@cache
def told(name: str, part: str, how: str = "", metal: str = "") -> Table:
    build = next(b for b in study().builds if name in b.name)
    broke = Broke(part, how, metal) if part else None
    return facts_of(opened(study(), replace(build, broke=broke)))


def figured(table: Table) -> dict[str, Any]:
    broke = table["broke"]
    assert isinstance(broke, dict)
    assert broke["cannot_tell"] is None
    return dict(broke["figured"])


def words(table: Table) -> str:
    return " ".join(" ".join(lines(table)).split())


def test_every_key_is_written_and_says_its_unit() -> None:
    found = list(leaves(told("differential", "cage pins", "sheared")))
    paths = {path for path, _, _ in found if path.startswith("broke")}
    assert paths == set(KEYS) - {"broke", "broke.figured"}
    assert all(describe(path) for path in paths)
    bare = [
        path
        for path, value, around in found
        if path in paths and isinstance(value, (int, float)) and not has_unit(path, around)
    ]
    assert bare == []


def test_the_facts_are_the_figures() -> None:
    table = told("lever", "rocker", "bent")
    build = next(b for b in study().builds if "lever" in b.name)
    one = opened(study(), replace(build, broke=Broke("rocker", "bent")))
    found = back_figured(one.opened.space.shelf, one.build)
    assert isinstance(found, BackFigured)
    f = figured(table)
    assert [f[f"load_{end}N"] for end in ("low_", "", "high_")] == [
        found.load.low,
        found.load.mid,
        found.load.high,
    ]
    # The ladder of the same facts says the same.
    first = table["first_to_give"]
    assert isinstance(first, dict)
    wrist = list(first["wrist"])
    assert f["load_N"] == min(r["gives_N"] for r in wrist if r["part"] == "rocker")
    peak_Nm = study().brief.wrist.torque_peak / 1000.0
    assert f["torque_peak_Nm"] == pytest.approx(peak_Nm * f["peak_ratio"])


def test_what_the_peak_explains_asks_for_nothing() -> None:
    table = told("differential", "cage pins", "sheared")
    assert figured(table)["explained_by"] == "peak"
    text = words(table)
    assert "cage pins (drive pins bend) give at 147 N" in text
    assert "Your peak alone can have done it." in text
    assert "torque_peak_Nm" not in text


def test_what_nothing_explains_proposes_peak_or_shock() -> None:
    table = told("lever", "rocker", "bent")
    f, text = figured(table), words(told("lever", "rocker", "bent"))
    assert f["explained_by"] == "more"
    assert f"your peak may be {f['peak_low_ratio']:.1f} to {f['peak_high_ratio']:.1f} x" in text
    assert f"shock factor {f['shock_low_ratio']:.1f} to {f['shock_high_ratio']:.1f}" in text
    assert f"{f['torque_peak_low_Nm']:.1f} to {f['torque_peak_high_Nm']:.1f}" in text


def test_an_unknown_metal_cannot_tell() -> None:
    table = told("lever", "rocker", "bent", "unknown")
    assert words(table) == "What load broke it: cannot tell; the metal of the rocker is not known."
    assert '"figured": null' in as_json(table)


def test_it_stands_under_what_gives_first_and_nowhere_for_a_whole_drive() -> None:
    text = "\n".join(all_lines(told("lever", "rocker", "bent"), "n"))
    start, end = text.index("\nWhat gives first?\n"), text.index("\nDoes it fit?\n")
    assert start < text.index("What load broke it") < end
    assert lines(told("lever", "")) == []
