"""Relation 11: the order of stock rows, grips, keys and candidates changes no score, to the bit.

What sums over rows of the stock or over grips does so in the order of their names.  Of two lines of one size
the stock's order does not choose either.
"""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import permutations
from typing import Any

import numpy as np

from explorer.brief.stock_records import Stock, of_size
from explorer.mechanics.types import Floats
from explorer.scoring.score import Scores
from tests.factories import make_stock
from tests.relations.cases import Case


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
