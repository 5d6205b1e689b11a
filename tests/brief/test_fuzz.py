"""Briefs spoilt at random are read or refused in words, never anything else."""

from __future__ import annotations

import string
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from explorer.brief.errors import BadInput, Problem
from explorer.brief.parse import parse_text
from explorer.brief.read import read_study
from explorer.brief.templates import template
from tests.brief.conftest import Bench

if TYPE_CHECKING:
    from pathlib import Path

SOURCES = {
    "brief.toml": "brief.toml",
    "stock.toml": "default_stock.toml",
    "builds.toml": "builds.toml",
}
TOKENS = [
    "nan", "-inf", "-0.0", "1e400", "true", '""', '"\\u0000"', "[]", "{}", "[[", "]", "=", "0",
    "-1", "1e9", "0x" + "f" * 70, "12,5", '"""', "'", "#", "\n", ".", "same_as", '"index"', "[wrist]",
    "[[finger]]", "1979-05-27", "\ufeff", "\u202e",
]  # fmt: skip
MUTATIONS = st.lists(
    st.tuples(
        st.integers(0, 40_000),
        st.sampled_from(["cut", "put", "line", "value", "double"]),
        st.one_of(st.sampled_from(TOKENS), st.text(string.printable, max_size=6)),
    ),
    min_size=1,
    max_size=4,
)


def spoilt(text: str, at: int, how: str, what: str) -> str:
    at %= len(text) + 1
    rows = text.split("\n")
    row = at % len(rows)
    if how == "cut":
        return text[:at] + text[at + 1 + len(what) :]
    if how == "put":
        return text[:at] + what + text[at:]
    if how == "line":
        return "\n".join(rows[:row] + rows[row + 1 :])
    if how == "double":
        return "\n".join(rows[: row + 1] + rows[row:])
    numbered = [n for n, r in enumerate(rows) if "=" in r.partition("#")[0]]
    row = numbered[at % len(numbered)] if numbered else row
    rows[row] = rows[row].partition("=")[0] + "= " + what
    return "\n".join(rows)


def refusal(folder: Path) -> BadInput | None:
    try:
        study = read_study(folder)
    except BadInput as refused:
        return refused
    assert len(study.brief.hash6) == 6
    return None


def read_or_refused_well(folder: Path) -> bool:
    refused = refusal(folder)
    return refused is None or (
        any(p.kind == "error" for p in refused.problems)
        and str(refused).replace("\n", "").isprintable()
        and all(p.file and p.message and len(p.value) <= 60 for p in refused.problems)
    )


def fine(bench: Bench, file: str, mutations: list[tuple[int, str, str]]) -> bool:
    text = template(SOURCES[file])
    for at, how, what in mutations:
        text = spoilt(text, at, how, what)
    bench.write(text, file)
    result = read_or_refused_well(bench.folder)
    bench.write(template(SOURCES[file]), file)
    return result


FUZZ = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@settings(FUZZ, max_examples=120)
@given(file=st.sampled_from(list(SOURCES)), mutations=MUTATIONS)
def test_spoilt_files(bench: Bench, file: str, mutations: list[tuple[int, str, str]]) -> None:
    assert fine(bench, file, mutations)


@pytest.mark.long
@settings(FUZZ, max_examples=20_000)
@given(file=st.sampled_from(list(SOURCES)), mutations=MUTATIONS)
def test_twenty_thousand(bench: Bench, file: str, mutations: list[tuple[int, str, str]]) -> None:
    assert fine(bench, file, mutations)


@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    problems: tuple[Problem, ...] = ()
    try:
        parsed = parse_text(text, "x.toml")
    except BadInput as refused:
        problems = refused.problems
    else:
        assert all(line >= 1 for line in parsed.lines.values())
    assert all(p.file == "x.toml" for p in problems)
