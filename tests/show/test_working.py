"""Every printed line of the working, worked out again from its own printed numbers."""

import ast
import math
import operator
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import cycle
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.checks import evaluate
from explorer.drives.endurance import MetalLine
from explorer.drives.joints import BodyBore, Eye, Strut
from explorer.drives.joints import Loads as Carried
from explorer.drives.values import random_vectors
from explorer.drives.worked import Factors, worked
from explorer.drives.workings import WORKINGS
from explorer.drives.workings_fatigue import FATIGUE, Tired
from explorer.drives.workings_life import Use
from explorer.scoring.open import shelf_for
from explorer.scoring.score import Detail, detail
from explorer.show import loads
from explorer.show.plain import Table
from explorer.show.text import lines
from explorer.show.working import digits, put_in, working
from tests.scoring import orchard

FOUR_DIGITS = 5e-5
CALLS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "max": max,
    "min": min,
    "log10": math.log10,
}
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
    fatigue = every_facts[index]["fatigue"]
    assert isinstance(fatigue, dict)
    for check in (*rows(every_facts[index]["checks"]), *rows(fatigue["checks"])):
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
def test_no_governing_check_is_left_without_a_working(architecture: str) -> None:
    """Smallest strength margin, smallest fatigue margin, first to give: of drives by chance and the least bad."""
    space = orchard.space(architecture)
    drives = [
        *random_vectors(space, 3, np.random.default_rng(5)),
        *orchard.vectors(architecture)[:2],
    ]
    for x in drives:
        d = detail(space, x[None, :])
        shown = {(w["key"], w["way"]): rows(w["lines"])[-1]["value"] for w in told(d)}
        for checks, margins in ((d.checks, d.margins), (d.tired, d.tired_margins)):
            c = int(margins[0].argmin())
            assert shown[checks.names[c].key, checks.names[c].way] == margins[0, c]
        first = loads.first_to_give(d)
        worked_out, gave = first["working"], rows(first["wrist"])[0]
        assert isinstance(worked_out, dict)
        assert (worked_out["key"], worked_out["way"]) == (gave["key"], gave["way"])
        ends = {n["symbol"]: n["value"] for n in rows(worked_out["lines"])}
        assert ends["gives"] == pytest.approx(gave["gives_N"], rel=1e-12)
        assert ends["allowed"] == pytest.approx(gave["allowed_N"], rel=1e-12)
        for line, again in retold([worked_out]):
            assert agree(line["symbol"], line["value"], again, 1e-9), line


@pytest.mark.parametrize("density", [7.85e-3, 2.7e-3, 4.5e-3, 8.8e-3])
@pytest.mark.parametrize("years", [1e-3, 0.3, 20.0])
@pytest.mark.parametrize("architecture", ["chain_winder+bar", "chain_differential+chain"])
def test_fatigue_of_every_kind_of_metal_and_life(
    density: float, years: float, architecture: str
) -> None:
    """All branches of the formulas: four kinds of metal, few grips and many, a limit that the stock states."""
    study = orchard.study()
    metals = tuple(
        replace(m, density=density, ultimate=m.ultimate * k, endurance=e)
        for m, k, e in zip(study.stock.metals, cycle((0.6, 1.0, 3.0)), cycle((None, 90.0, None)))
    )
    stock = replace(study.stock, metals=metals)
    brief = replace(study.brief, use=replace(study.brief.use, years=years))
    space = Space(shelf_for(replace(study, brief=brief, stock=stock)), architecture)
    for x in random_vectors(space, 2, np.random.default_rng(3)):
        found = told(detail(space, x[None, :]))
        assert sum("cracks" in str(w["way"]) for w in found) >= 4
        for line, again in retold(found):
            assert agree(line["symbol"], line["value"], again, 1e-9), (line, again)


def redone(made: Tired, sizes: dict[str, float]) -> int:
    """Every step of one entry, its record's numbers given by hand."""
    values = {
        n.symbol: n.value(SimpleNamespace(**sizes))
        for n in made.working.numbers
        if n.symbol not in sizes
    }
    values |= {s: np.array([[v]]) for s, v in sizes.items()}
    for step in made.working.steps:
        text = step.formula if isinstance(step.formula, str) else step.formula(values)
        got = float(step.value(values)[0, 0])
        again = redo(text, {s: float(v[0, 0]) for s, v in values.items()})
        assert got == pytest.approx(again, rel=1e-9, abs=1e-12), step.symbol
        values[step.symbol] = np.array([[got]])
    return len(made.working.steps)


@given(st.floats(0.02, 0.95), st.sampled_from(["machined", "ground", "hot-rolled", "as-forged"]))
def test_an_eye_of_any_width(x: float, finish: str) -> None:
    """Narrow, usual and wide eyes: three branches of K_t."""
    metal = MetalLine(650.0, 7.85e-3, None, finish)
    make, _, _ = FATIGUE["cracks at the hole"]
    sizes = {"F": 80.0, "w": 3.0 / x, "d": 3.0, "t": 1.5}
    assert redone(make((metal,), Use(2e6, 0.99, 1.5)), sizes) > 0


@given(st.floats(1.0, 200.0), st.floats(0.5, 0.99), st.floats(0.2, 4.0))
def test_a_groove_of_any_depth_and_rods_of_any_size(d: float, share: float, thick: float) -> None:
    ring = replace(orchard.study().stock.rings[0], shaft=d, groove=share * d, thickness=thick)
    metal = MetalLine(900.0, 7.85e-3, None, "machined", d, ring)
    make, _, _ = FATIGUE["pin cracks at its ring's groove"]
    assert redone(make((metal,), Use(3e4, 0.9, 1.5)), {"F": 80.0, "d": d}) > 0


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_every_way_of_failing_has_a_working_and_every_joint_its_own_key(architecture: str) -> None:
    """A check without a working would be left out of what is shown."""
    d = orchard.told(architecture)
    assert {name.way for name in d.checks.names} <= set(WORKINGS)
    assert {name.way for name in d.tired.names} <= set(FATIGUE)
    names = (*d.checks.names, *d.tired.names)
    for way in {name.way for name in names}:
        keys = [name.key for name in names if name.way == way]
        assert len(keys) == len(set(keys))


@pytest.mark.parametrize(("D", "d"), [(6.0, 4.0), (2.0, 2.0), (2.0, 3.0)])
def test_a_body_with_a_wall_or_without(D: float, d: float) -> None:
    """What limits refuse is worked out as it is checked, by strength and grip after grip."""
    one = np.ones((1, 1))
    body = BodyBore("b", "body", "nothing", 90.0 * one, D * one, d * one, 500.0 * one, one)
    found = Carried(bores=(body,))
    stress = evaluate(found, 1).stress.item()
    (formula,) = {_text(w.stress[1], D, d) for w in WORKINGS.values() if w.kind == "bores"}
    assert stress == pytest.approx(redo(formula, {"T": 90.0, "D": D, "d": d}), rel=1e-12)
    make, _, _ = FATIGUE["body cracks round the bore"]
    metal = MetalLine(650.0, 7.85e-3, None, "machined")
    assert redone(make((metal,), Use(2e6, 0.99, 1.5)), {"T": 90.0, "D": D, "d": d}) > 0


def _text(formula: Callable[[dict[str, np.ndarray]], object], D: float, d: float) -> str:
    return str(formula({"D": np.array([[D]]), "d": np.array([[d]])}))


@pytest.mark.parametrize(("edge", "left"), [(4.0, 2.5), (1.5, 1e-3), (1.0, 1e-3)])
def test_a_hole_through_the_end_leaves_a_thousandth_of_a_millimetre(
    edge: float, left: float
) -> None:
    """Hole 3, two planes of 1.5 each: the stress stays finite, and far beyond any metal."""
    one = np.ones((1, 1))
    eye = Eye(
        "e", "eye", "nothing", 90.0 * one, 8.0 * one, 3.0 * one, edge * one, 1.5 * one, one, one
    )
    checks = evaluate(Carried(eyes=(eye,)), 1)
    (tear,) = (c for c, n in enumerate(checks.names) if n.way == "tears out at the end")
    assert checks.stress[0, tear] == pytest.approx(90.0 / (2.0 * 1.5 * left), rel=1e-9)


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
