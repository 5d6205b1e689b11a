"""The working behind the smallest margin of each way of failing: as data, and as lines to redo by hand."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from explorer.drives import fatigue
from explorer.drives.checks import Checks, each_position, evaluate
from explorer.drives.endurance import cycles, metal_lines
from explorer.drives.pulls import loaded, strength_pulls
from explorer.drives.worked import Factors, Worked, in_position, rung, tired, worked
from explorer.drives.workings import NAMES
from explorer.drives.workings_life import Use
from explorer.mechanics.types import Floats
from explorer.scoring.ladder import Rung
from explorer.scoring.score import Detail
from explorer.show.layout import paragraph, rows_of
from explorer.show.plain import Json, Table

_OF_ALL = frozenset({"overload", "design"})  # told once, not check by check
PEAK = "strength, peak torque or load"
DAILY = "fatigue, everyday pulls"
_READING = (
    "Of each way of failing the check with the smallest margin. Loads are the largest over the positions, "
    "by peak torque or the load carried; overload stands for shock, design for the design factor."
)
_TIRING = (
    "Fatigue: every grip from zero to the comfortable torque or the load carried and back, so that amplitude "
    "s_a and mean s_m are each half of the largest stress; k_a finish, k_b size, k_c load, k_e reliability; "
    "n_f is the factor on the modified Goodman line."
)
_SYMBOL = re.compile(r"\b[A-Za-z]\w*")

_WORKED: Mapping[str, str] = {
    "key": "the check's joint or section",
    "part": "what lets go",
    "way": "how; of each way the check with the smallest margin",
    "position": "where the stress is largest",
    "entered[].symbol": "symbol in the formulas",
    "entered[].words": "what it is",
    "entered[].value": "number that goes in",
    "entered[].value_unit": "its unit",
    "lines[].symbol": "what a line works out",
    "lines[].formula": "plain arithmetic on the symbols: + - * / ^ pi sqrt min max log10",
    "lines[].value": "its result; the scorer's own",
    "lines[].value_unit": "its unit",
    "source": "where the formula comes from",
}
KEYS: Mapping[str, str] = {
    "working[].under": "strength under peak torque or load, or fatigue under everyday pulls",
    **{f"working[].{key}": words for key, words in _WORKED.items()},
    **{f"first_to_give.working.{key}": words for key, words in _WORKED.items()},
    "first_to_give.working.way": "how: the first rung at the wrist, worked out where it governs",
}


def working(d: Detail, told: Sequence[Table]) -> list[Table]:
    """Of each way of failing the check with the smallest margin, worked out; the weakest first.

    Strength, then fatigue.  `told` are the facts of all checks (`loads.checks`), in the order of the
    scorer's columns.
    """
    strength = worked(d.loads, d.checks, d.margins, _factors(d))
    places = [c["worst_position"] for c in told]
    return [
        *_tables(strength, d.checks, d.margins, places, PEAK),
        *_tables(_tired(d), d.tired, d.tired_margins, _tired_at(d), DAILY),
    ]


def _factors(d: Detail) -> Factors:
    st = d.space.shelf.brief.strength
    return Factors(st.overload, st.design_factor, st.chain_factor)


def _tired(d: Detail) -> tuple[Worked, ...]:
    shelf = d.space.shelf
    f = shelf.brief.fatigue
    use = Use(cycles(shelf.brief), f.reliability, f.factor)
    metals = metal_lines(shelf.brief, shelf.stock)
    return tired(d.use, d.tired, d.tired_margins, metals, use)


def _tired_at(d: Detail) -> list[Json]:
    """Where each fatigue check has its largest stress."""
    demand, table = d.space.shelf.demand, d.space.shelf.endurance
    heavy = [p for p in range(len(demand.positions)) if loaded(demand)[p]]
    if not heavy:
        return [None] * len(d.tired.names)
    found = fatigue.evaluate(d.use, len(demand.positions), table, each_position)
    worst = found.stress[heavy].argmax(axis=0)
    return [demand.positions[heavy[int(w)]].name for w in worst]


def _tables(
    found: Sequence[Worked], checks: Checks, margins: Floats, places: Sequence[Json], under: str
) -> list[Table]:
    return [
        {
            "under": under,
            **_head(checks, w.column, places[w.column]),
            **_body(w),
        }
        for w in sorted(found, key=lambda w: float(margins[0, w.column]))
    ]


def _head(checks: Checks, c: int, position: Json) -> Table:
    name = checks.names[c]
    return {"key": name.key, "part": name.part, "way": name.way, "position": position}


def _body(w: Worked) -> Table:
    return {
        "entered": [
            {"symbol": e.symbol, "words": e.words, "value": e.value, "value_unit": e.unit}
            for e in w.entered
        ],
        "lines": [
            {"symbol": n.symbol, "formula": n.formula, "value": n.value, "value_unit": n.unit}
            for n in w.lines
        ],
        "source": w.source,
    }


def rung_working(d: Detail, first: Rung | None) -> Table | None:
    """The working of the first rung at the wrist: at which pull that check gives in its position."""
    if first is None:
        return None
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    p = next(p for p, x in enumerate(demand.positions) if x.name == first.position)
    pulls = strength_pulls(d.motion, d.shares, demand, brief, wrist=True, hook=False)
    there = in_position(d.space.loads(d.drive, d.motion, pulls), p)
    checks = evaluate(there, d.drive.n)
    c = next(c for c, n in enumerate(checks.names) if n.key == first.key and n.way == first.way)
    found = rung(there, checks, _factors(d), float(pulls.F_in[0, p]), c)
    return {**_head(checks, c, first.position), **_body(found)}


def digits(value: Json) -> str:
    """A number with seven digits: whoever redoes a line from what is printed gets its result to four."""
    return f"{value:.7g}" if isinstance(value, (int, float)) else "-"


def put_in(formula: str, values: Mapping[str, Json]) -> str:
    """The formula with its numbers in place of its symbols."""
    return _SYMBOL.sub(lambda m: m[0] if m[0] in NAMES else digits(values[m[0]]), formula)


@dataclass(frozen=True)
class Redone:
    """A line of a working as words: symbol = formula = numbers = result."""

    symbol: str
    formula: str
    numbers: str
    result: str


def redone(w: Mapping[str, Json]) -> list[Redone]:
    """The lines of one working, numbers in place of symbols."""
    values = {str(e["symbol"]): e["value"] for e in rows_of(w["entered"])}
    out = []
    for n in rows_of(w["lines"]):
        symbol, formula = str(n["symbol"]), str(n["formula"])
        out.append(Redone(symbol, formula, put_in(formula, values), with_unit(n)))
        values[symbol] = n["value"]
    return out


def working_lines(facts: Mapping[str, Json]) -> list[str]:
    """Numbers in, then line by line: symbol = formula = numbers = result unit."""
    found = rows_of(facts["working"])
    out = paragraph(_READING) if found else []
    started = False
    for w in found:
        if w["under"] == DAILY and not started:
            out += paragraph(_TIRING)
            started = True
        out += paragraph(f"{w['part']}: {w['way']}, in {w['position']}", hang="  ")
        told = "; ".join(
            f"{e['symbol']} = {with_unit(e)} ({e['words']})"
            for e in rows_of(w["entered"])
            if e["symbol"] not in _OF_ALL
        )
        out += paragraph(told, indent="    ", hang="  ")
        for n in redone(w):
            text = f"{n.symbol} = {n.formula} = {n.numbers} = {n.result}"
            out += paragraph(text, indent="    ", hang="  ")
        out += paragraph(f"Source: {w['source']}.", indent="    ", hang="  ")
    return out


def with_unit(row: Mapping[str, Json]) -> str:
    """A pure number stands alone."""
    unit = "" if row["value_unit"] == "-" else f" {row['value_unit']}"
    return f"{digits(row['value'])}{unit}"
