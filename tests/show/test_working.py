"""Every printed line of the working, worked out again from its own printed numbers."""

import ast
import math
import operator
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.checks import evaluate
from explorer.drives.joints import Loads as Carried
from explorer.drives.joints import Strut
from explorer.drives.values import random_vectors
from explorer.drives.worked import Factors, worked
from explorer.drives.workings import WORKINGS
from explorer.scoring.score import Detail, detail
from explorer.show import loads
from explorer.show.plain import Table
from explorer.show.text import lines
from explorer.show.working import digits, put_in, working
from tests.scoring import orchard

FOUR_DIGITS = 5e-5
CALLS: dict[str, Callable[..., float]] = {"sqrt": math.sqrt, "max": max, "min": min}
SIGNS: dict[type, Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


def redo(formula: str, values: dict[str, float] | None = None) -> float:
    """A second reader of the formulas: plain arithmetic, no names but pi, sqrt, max, min and symbols."""
    known = {"pi": math.pi, **(values or {})}

    def of(node: ast.AST) -> float:
        match node:
            case ast.Expression(body=body):
                return of(body)
            case ast.Constant(value=value) if isinstance(value, (int, float)):
                return float(value)
            case ast.Name(id=name):
                return known[name]
            case ast.UnaryOp(op=ast.USub(), operand=inside):
                return -of(inside)
            case ast.BinOp(left=left, op=op, right=right):
                return SIGNS[type(op)](of(left), of(right))
            case ast.Call(func=ast.Name(id=name), args=args, keywords=[]):
                return float(CALLS[name](*(of(a) for a in args)))
        raise ValueError(formula)

    return of(ast.parse(formula.replace("^", "**"), mode="eval"))


def rows(value: Any) -> list[dict[str, Any]]:  # noqa: ANN401
    return list(value)


def agree(symbol: str, printed: float, again: float, tolerance: float) -> bool:
    """Within so many digits; a margin MS is a ratio less 1, and the ratio has the digits."""
    scale = 1.0 + abs(printed) if symbol == "MS" else abs(printed)
    return abs(printed - again) <= tolerance * scale


def retold(found: list[Table]) -> Iterator[tuple[dict[str, Any], float]]:
    """Every line of the data, and its result again from the numbers above it."""
    for w in rows(found):
        values = {e["symbol"]: e["value"] for e in w["entered"]}
        for line in w["lines"]:
            yield line, redo(line["formula"], values)
            values[line["symbol"]] = line["value"]


@pytest.mark.parametrize("index", range(len(ARCHITECTURES)))
def test_every_line_of_the_data_gives_the_scorers_own_number(
    every_facts: list[Table], index: int
) -> None:
    found = list(retold(rows(every_facts[index]["working"])))
    assert len(found) > 30
    wrong = [line for line, again in found if not agree(line["symbol"], line["value"], again, 1e-9)]
    assert wrong == []


def printed_lines(table: Table) -> list[str]:
    """The lines of the working in the text, with wrapped ones put together."""
    text = lines(table, "next")
    start = text.index("How is it worked out?") + 1
    out: list[str] = []
    for line in text[start : text.index("", start)]:
        if line.startswith("      "):
            out[-1] += " " + line.strip()
        else:
            out.append(line)
    return out


@pytest.mark.parametrize("index", range(len(ARCHITECTURES)))
def test_every_printed_line_is_redone_from_its_own_numbers(
    every_facts: list[Table], index: int
) -> None:
    """symbol = formula = numbers = result unit; four digits."""
    found = [line.split(" = ") for line in printed_lines(every_facts[index]) if "; " not in line]
    sums = [parts for parts in found if len(parts) == 4]
    assert len(sums) == sum(len(w["lines"]) for w in rows(every_facts[index]["working"]))
    for symbol, _, numbers, result in sums:
        assert agree(symbol.strip(), float(result.split()[0]), redo(numbers), FOUR_DIGITS)


@pytest.mark.parametrize("index", range(len(ARCHITECTURES)))
def test_the_working_is_of_the_smallest_margin_of_each_way(
    every_facts: list[Table], index: int
) -> None:
    least: dict[str, float] = {}
    for check in rows(every_facts[index]["checks"]):
        if check["margin_MS"] is not None:
            least[check["way"]] = min(check["margin_MS"], least.get(check["way"], math.inf))
    shown = {w["way"]: w["lines"][-1] for w in rows(every_facts[index]["working"])}
    assert {way: line["value"] for way, line in shown.items()} == least
    assert {line["symbol"] for line in shown.values()} == {"MS"}
    assert all(w["source"] for w in rows(every_facts[index]["working"]))


def told(d: Detail) -> list[Table]:
    return working(d, loads.checks(d))


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_bad_drives_are_worked_out_as_well(architecture: str) -> None:
    """Holes wider than their plates and other nonsense: the check's guards stand in the working too."""
    space = orchard.space(architecture)
    for x in random_vectors(space, 4, np.random.default_rng(11)):
        for line, again in retold(told(detail(space, x[None, :]))):
            assert agree(line["symbol"], line["value"], again, 1e-9), (line, again)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_every_way_of_failing_has_a_working_and_every_joint_its_own_key(architecture: str) -> None:
    """A check without a working would be left out of what is shown."""
    d = orchard.told(architecture)
    assert {name.way for name in d.checks.names} <= set(WORKINGS)
    for way in {name.way for name in d.checks.names}:
        keys = [name.key for name in d.checks.names if name.way == way]
        assert len(keys) == len(set(keys))


@given(st.floats(5.0, 400.0), st.floats(1.0, 8.0))
def test_a_strut_long_or_short(length: float, d: float) -> None:
    """Both formulas of buckling; orchards hold short struts alone."""
    one = np.ones((1, 1))
    strut = Strut("s", "strut", "nothing", 90.0 * one, length * one, d * one, 2e5 * one, 500 * one)
    found = Carried(struts=(strut,))
    checks = evaluate(found, 1)
    (only,) = worked(found, checks, checks.margin(1.5, 1.5, 3.0), Factors(1.5, 1.5, 3.0))
    values = {e.symbol: e.value for e in only.entered}
    for line in only.lines:
        assert line.value == pytest.approx(redo(line.formula, values), rel=1e-9, abs=1e-9)
        values[line.symbol] = line.value


def test_a_wrong_formula_is_seen() -> None:
    values = {"F": 100.0, "d": 2.0}
    right, wrong = redo("F/(pi*d^2/4)", values), redo("F/(pi*d^2/2)", values)
    assert right == pytest.approx(100.0 / math.pi)
    assert not agree("tau", right, wrong, FOUR_DIGITS)
    assert not agree("MS", 0.5000, 0.5002, FOUR_DIGITS)
    with pytest.raises((KeyError, ValueError)):
        redo("__import__('os')")


@given(st.floats(1e-6, 1e9))
def test_printed_digits_hold_seven(x: float) -> None:
    assert float(digits(x)) == pytest.approx(x, rel=5.1e-7)
    assert put_in("max(F, 2)*pi/F_E", {"F": x, "F_E": 2.0}) == f"max({digits(x)}, 2)*pi/2"
