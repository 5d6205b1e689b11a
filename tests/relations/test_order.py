"""Relation 11: the order of stock rows, grips, keys and candidates changes no score, to the bit.

What sums over rows of the stock or over grips does so in the order of their names.  Of two lines of one size
the stock's order does not choose either.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import fields, replace
from itertools import permutations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from explorer.brief.builds import Build, builds_of
from explorer.brief.parse import parse_file
from explorer.brief.read import read_study
from explorer.brief.stock_records import Stock, of_size
from explorer.mechanics.types import Floats
from explorer.scoring.score import Scores
from explorer.show.facts import facts_of
from explorer.show.find import opened
from explorer.show.plain import Json
from tests.factories import make_stock
from tests.relations.cases import Case
from tests.scoring.orchard import STUDY, study

DRIVES = Path(__file__).parents[1] / "build" / "drives.toml"


def crowded(stock: Stock) -> Stock:
    """Each spacer takes its own minutes, and of bushes and rings there are two lines of each size."""
    spacers = tuple(replace(s, minutes=1.0 + s.bore) for s in stock.spacers)
    bushes = tuple(
        replace(b, name=f"{b.name} thick", outside=b.outside + 0.5, price=b.price + 0.1)
        for b in stock.bushes
    )
    rings = tuple(
        replace(r, name=f"{r.name} thick", thickness=r.thickness + 0.1) for r in stock.rings
    )
    return replace(
        stock, spacers=spacers, bushes=(*stock.bushes, *bushes), rings=(*stock.rings, *rings)
    )


def shuffled(stock: Stock, seed: int) -> Stock:
    """Every list in another order."""
    rng = np.random.default_rng(seed)

    def mixed(rows: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(rows[i] for i in rng.permutation(len(rows)))

    lists = {f.name: getattr(stock, f.name) for f in fields(stock)}
    return replace(stock, **{k: mixed(v) for k, v in lists.items() if isinstance(v, tuple)})


def renumbered(case: Case, other: Case) -> Floats:
    """The same drives by the names of their options (N,V)."""
    X = case.X.copy()
    for j, (v, w) in enumerate(zip(case.space.variables, other.space.variables, strict=True)):
        if v.options != w.options:
            place = np.array([w.options.index(name) for name in v.options], dtype=np.float64)
            X[:, j] = place[case.X[:, j].astype(int)]
    return X


def check_equal(one: Scores, two: Scores) -> None:
    """Aims, limits and margins, to the bit."""
    for before, after in ((one.aims, two.aims), (one.slacks, two.slacks)):
        assert before.keys() == after.keys()
        for name, value in before.items():
            np.testing.assert_array_equal(after[name], value, err_msg=name)
    np.testing.assert_array_equal(two.margins, one.margins)


def test_the_order_of_the_stock_does_not_matter(case: Case) -> None:
    one = case.but(stock=crowded(case.stock))
    other = one.but(stock=shuffled(one.stock, 3))
    other = other.but(X=renumbered(one, other))
    assert not np.array_equal(one.X, other.X)
    check_equal(one.scores, other.scores)


def test_of_two_lines_of_one_size_the_cheaper_is_taken() -> None:
    """Then the first by name, in any order of the file."""
    a, b = make_stock().bushes[:2]
    same = [
        replace(b, name="x", price=2.0),
        replace(b, name="z", price=1.0),
        replace(b, name="y", price=1.0),
    ]
    for order in permutations((a, *same)):
        found = of_size(order, "bore", b.bore)
        assert found is not None
        assert found.name == "y"
    assert of_size((a,), "bore", b.bore) is None


def test_the_order_of_the_grips_does_not_matter(case: Case) -> None:
    for order in ([3, 1, 5, 0, 2, 4], [5, 4, 3, 2, 1, 0]):
        grips = tuple(case.brief.grips[i] for i in order)
        check_equal(case.scores, case.but(brief=replace(case.brief, grips=grips)).scores)


def some_builds() -> list[object]:
    """One drive of each architecture; four of them with -m long only."""
    daily = ("linked_lever+bar", "chain_differential+chain")
    return [
        pytest.param(b, marks=() if b.architecture in daily else pytest.mark.long)
        for b in builds_of(parse_file(DRIVES))
    ]


# of equals the first that was declared is named; a selector's detents are an order themselves
DECLARED = {"worst_position", "position", "selector"}


def canonical(value: Json) -> Json:
    """Lists sorted, so that only what stands in them counts."""
    if isinstance(value, dict):
        return {k: canonical(v) for k, v in sorted(value.items()) if k not in DECLARED}
    if isinstance(value, list):
        return sorted((canonical(v) for v in value), key=lambda v: json.dumps(v, sort_keys=True))
    return value


@pytest.mark.parametrize("build", some_builds(), ids=lambda b: b.architecture)
def test_nothing_that_is_shown_differs_but_the_declared_order(build: Build) -> None:
    """All that `show` and the report know of a drive, with stock and grips shuffled."""
    plain, rng = study(), np.random.default_rng(1)
    grips = tuple(plain.brief.grips[i] for i in rng.permutation(len(plain.brief.grips)))
    assert grips != plain.brief.grips
    mixed = replace(plain, stock=shuffled(plain.stock, 3), brief=replace(plain.brief, grips=grips))
    one, two = (canonical(facts_of(opened(s, build))) for s in (plain, mixed))
    assert one == two


def mixed_keys(value: Any, rng: np.random.Generator) -> Any:  # noqa: ANN401 - TOML
    """Keys in another order, plain ones before tables, as TOML asks."""
    if isinstance(value, list):
        return [mixed_keys(v, rng) for v in value]
    if not isinstance(value, dict):
        return value
    keys = [list(value)[i] for i in rng.permutation(len(value))]
    nested = [k for k in keys if _is_table(value[k])]
    return {k: mixed_keys(value[k], rng) for k in (*(set(keys) - set(nested)), *nested)}


def _is_table(value: object) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and any(isinstance(v, dict) for v in value)
    )


def test_the_order_of_keys_does_not_matter(tmp_path: Path) -> None:
    """Both files of a study with every table's keys shuffled: the same hand, stock and hash."""
    rng = np.random.default_rng(5)
    for name in ("brief.toml", "stock.toml"):
        table = tomllib.loads((STUDY / name).read_text(encoding="utf-8"))
        (tmp_path / name).write_text(tomlkit.dumps(mixed_keys(table, rng)), encoding="utf-8")
    mixed, plain = read_study(tmp_path), study()
    assert (tmp_path / "brief.toml").read_text() != (STUDY / "brief.toml").read_text()
    assert mixed.stock == plain.stock
    assert mixed.brief == plain.brief
