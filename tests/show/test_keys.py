"""The serialised result: every key documented, every number with its unit, strict JSON."""

import json
from collections.abc import Iterator
from typing import Any

from explorer.brief.read import Study
from explorer.show.broke import KEYS as BROKE
from explorer.show.facts import SCHEMA, as_json, facts_of
from explorer.show.find import opened
from explorer.show.keys import KEYS, UNITS, describe
from explorer.show.plain import Table
from tests.show.test_facts import small_hand

# Written only where there is something to write: a drive that broke, that has guessed values.
SOMETIMES = {
    *BROKE,
    "other_hands[].lost[].grip",
    "other_hands[].lost[].why",
    "guessed.drive[]",
    "exact.breaks[]",
    "asks.warnings[]",
    "asks.selector.left_out[]",
} - {"broke"}
NO_UNIT = {"schema"}  # a version


Leaf = tuple[str, Any, dict[str, Any]]


def leaves(value: object) -> Iterator[Leaf]:
    """Path, value and the table around every leaf; `[]` stands for any item of a list."""
    yield from _leaves(value, "", {})


def _leaves(value: object, path: str, around: dict[str, Any]) -> Iterator[Leaf]:
    if isinstance(value, dict) and value:
        for key, inside in value.items():
            yield from _leaves(inside, f"{path}.{key}" if path else key, value)
    elif isinstance(value, list):
        for inside in value:
            yield from _leaves(inside, f"{path}[]", around)
    else:
        yield path, value, around  # an empty table or list has no path to document


def has_unit(path: str, around: dict[str, Any]) -> bool:
    key = path.rpartition(".")[2].removesuffix("[]")
    return key in UNITS or key.rpartition("_")[2] in UNITS or f"{key}_unit" in around


def test_every_key_is_documented(every_facts: list[Table]) -> None:
    paths = {path for table in every_facts for path, _, _ in leaves(table)}
    assert sorted(path for path in paths if describe(path) is None) == []


def test_every_documented_key_is_written(every_facts: list[Table]) -> None:
    paths = {path for table in every_facts for path, _, _ in leaves(table)}
    paths = {"values.*" if p.startswith("values.") else p for p in paths}
    paths |= {path for path, _, _ in leaves(small_hand(3, "chain_winder+bar"))}
    missing = set(KEYS) - paths - SOMETIMES
    assert missing == set()


def test_every_number_says_its_unit(every_facts: list[Table]) -> None:
    bare = {
        path
        for table in every_facts
        for path, value, around in leaves(table)
        if isinstance(value, (int, float)) and not isinstance(value, bool)
        if not path.startswith("values.") and path not in NO_UNIT
        if not has_unit(path, around)
    }
    assert bare == set()


def test_the_unit_rule_sees_a_bare_number() -> None:
    assert not has_unit("grips[].force", {"force": 1.0})
    assert has_unit("grips[].force_N", {})
    assert has_unit("limits[].slack", {"slack_unit": "mm"})


def test_the_json_is_strict_and_reads_back_equal(every_facts: list[Table]) -> None:
    for table in every_facts:
        text = as_json(table)
        assert "NaN" not in text
        assert "Infinity" not in text
        assert json.loads(text) == table
        assert table["schema"] == SCHEMA


def test_a_drive_is_told_the_same_twice(study: Study, every_facts: list[Table]) -> None:
    again = facts_of(opened(study, study.builds[0]))
    assert as_json(again) == as_json(every_facts[0])
