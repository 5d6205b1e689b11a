"""The working behind the smallest margin of each way of failing: as data, and as lines to redo by hand."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from explorer.drives.worked import Factors, worked
from explorer.drives.workings import NAMES
from explorer.scoring.score import Detail
from explorer.show.layout import paragraph, rows_of
from explorer.show.plain import Json, Table

_OF_ALL = frozenset({"overload", "design"})  # told once, not check by check
_READING = (
    "Of each way of failing the check with the smallest margin. Loads are the largest over the positions, "
    "by peak torque or the load carried; overload stands for shock, design for the design factor."
)
_SYMBOL = re.compile(r"\b[A-Za-z]\w*")

KEYS: Mapping[str, str] = {
    "working[].key": "the check's joint or section",
    "working[].part": "what lets go",
    "working[].way": "how; of each way the check with the smallest margin",
    "working[].position": "where the stress is largest",
    "working[].entered[].symbol": "symbol in the formulas",
    "working[].entered[].words": "what it is",
    "working[].entered[].value": "number that goes in",
    "working[].entered[].value_unit": "its unit",
    "working[].lines[].symbol": "what a line works out",
    "working[].lines[].formula": "plain arithmetic on the symbols: + - * / ^ pi sqrt min max",
    "working[].lines[].value": "its result; the scorer's own",
    "working[].lines[].value_unit": "its unit",
    "working[].source": "where the formula comes from",
}


def working(d: Detail, told: Sequence[Table]) -> list[Table]:
    """Of each way of failing the check with the smallest margin, worked out; the weakest first.

    `told` are the facts of all checks (`loads.checks`), in the order of the scorer's columns.
    """
    st = d.space.shelf.brief.strength
    factors = Factors(st.overload, st.design_factor, st.chain_factor)
    found = worked(d.loads, d.checks, d.margins, factors)
    return [
        {
            "key": d.checks.names[w.column].key,
            "part": d.checks.names[w.column].part,
            "way": d.checks.names[w.column].way,
            "position": told[w.column]["worst_position"],
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
        for w in sorted(found, key=lambda w: float(d.margins[0, w.column]))
    ]


def digits(value: Json) -> str:
    """A number with seven digits: whoever redoes a line from what is printed gets its result to four."""
    return f"{value:.7g}" if isinstance(value, (int, float)) else "-"


def put_in(formula: str, values: Mapping[str, Json]) -> str:
    """The formula with its numbers in place of its symbols."""
    return _SYMBOL.sub(lambda m: m[0] if m[0] in NAMES else digits(values[m[0]]), formula)


def working_lines(facts: Mapping[str, Json]) -> list[str]:
    """Numbers in, then line by line: symbol = formula = numbers = result unit."""
    found = rows_of(facts["working"])
    out = paragraph(_READING) if found else []
    for w in found:
        values = {str(e["symbol"]): e["value"] for e in rows_of(w["entered"])}
        out += paragraph(f"{w['part']}: {w['way']}, in {w['position']}", hang="  ")
        told = "; ".join(
            f"{e['symbol']} = {_with_unit(e)} ({e['words']})"
            for e in rows_of(w["entered"])
            if e["symbol"] not in _OF_ALL
        )
        out += paragraph(told, indent="    ", hang="  ")
        for n in rows_of(w["lines"]):
            symbol, formula = str(n["symbol"]), str(n["formula"])
            text = f"{symbol} = {formula} = {put_in(formula, values)} = {_with_unit(n)}"
            out += paragraph(text, indent="    ", hang="  ")
            values[symbol] = n["value"]
        out += paragraph(f"Source: {w['source']}.", indent="    ", hang="  ")
    return out


def _with_unit(row: Mapping[str, Json]) -> str:
    """A pure number stands alone."""
    unit = "" if row["value_unit"] == "-" else f" {row['value_unit']}"
    return f"{digits(row['value'])}{unit}"
