"""The stock: inches to mm, names made from sizes, what must agree, and the records."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from explorer.brief.errors import Problem
from explorer.brief.explain import nearest, validate
from explorer.brief.schema_stock import StockTable
from explorer.brief.tell import Teller
from explorer.brief.units import plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from explorer.brief.parse import Parsed
    from explorer.brief.schema_stock import LineTable

INCH = 25.4  # mm, exact by definition
KINDS = (
    "metal plate pin shaft bush washer ring spacer chain gear tool cord bearing".split()  # noqa: SIM905
)
_INCHES = re.compile(r"(?:(\d{1,3})[ -])?(\d{1,4})/(\d{1,4})|(\d{1,3}(?:\.\d{1,6})?)", re.ASCII)


@dataclass(frozen=True)
class Echo:
    """A size that was given in inches, as it was typed and in mm."""

    path: str
    typed: str
    mm: float


def read_stock_table(parsed: Parsed) -> tuple[StockTable | list[Problem], tuple[Echo, ...]]:
    """The checked table of stock.toml or its problems, and the sizes that were in inches."""
    raw, echoes, problems = _in_mm(parsed)
    told = [p.path for p in problems]
    result = validate(StockTable, raw, parsed)
    if isinstance(result, list):
        missed = [p for p in result if not any(_same_size(p.path, t) for t in told)]
        return [*problems, *missed], echoes
    problems += _stock_problems(result, parsed)
    return (problems or result), echoes


def _same_size(path: str, told: str) -> bool:
    return path.removesuffix("_mm") == told.removesuffix("_in")


def _in_mm(parsed: Parsed) -> tuple[dict[str, Any], tuple[Echo, ...], list[Problem]]:
    """A copy of the raw values in which every `..._in` has become `..._mm`."""
    raw = dict(parsed.raw)
    echoes: list[Echo] = []
    problems: list[Problem] = []
    for kind in KINDS:
        if isinstance(raw.get(kind), list):
            raw[kind] = [
                _line_in_mm(line, (kind, n), parsed, echoes, problems)
                for n, line in enumerate(raw[kind])
            ]
    return raw, tuple(echoes), problems


def _line_in_mm(
    line: object,
    loc: tuple[str, int],
    parsed: Parsed,
    echoes: list[Echo],
    problems: list[Problem],
) -> object:
    if not isinstance(line, dict):
        return line
    out: dict[str, Any] = {}
    for key, value in line.items():
        if not key.endswith("_in"):
            out[key] = value
            continue
        size = inches(value)
        mm_key = f"{key[:-3]}_mm"
        if size is None or mm_key in line:
            problems.append(
                Teller(parsed).wrong(
                    (*loc, key),
                    value,
                    "is no size in inches." if size is None else f"stands beside {mm_key}.",
                    allowed='inches as 0.125, "1/8" or "1 1/8", and mm or inches, not both',
                    mend="Retype it." if size is None else "Take one of the two out.",
                )
            )
            continue
        out[mm_key] = size * INCH
        echoes.append(Echo(parsed.path((*loc, key)), str(value), size * INCH))
    return out


def inches(value: object) -> float | None:
    """Inches as a number, or text such as 1/8, 1 1/8 or 0.125; None for anything else."""
    if isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        return float(value)
    match = _INCHES.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None:
        return None
    whole, top, bottom, decimal = match.groups()
    if decimal is not None:
        return float(decimal)
    if int(bottom) == 0:
        return None
    return float(int(whole or 0) + Fraction(int(top), int(bottom)))


def line_name(kind: str, line: LineTable) -> str:
    """The name of a line; where none is written, made from its size."""
    if line.name is not None:
        return line.name
    values = line.model_dump()
    sizes = {
        "plate": ("thickness_mm",),
        "ring": ("shaft_mm",),
        "gear": ("module_mm",),
        "washer": ("bore_mm", "outside_mm"),
        "bush": ("bore_mm", "outside_mm"),
        "spacer": ("bore_mm", "outside_mm"),
        "bearing": ("bore_mm", "outside_mm"),
    }.get(kind, ("d_mm",))
    size = "/".join(plain(values[s]) for s in sizes)
    what = {"plate": values.get("metal"), "tool": f"{values.get('kind')} {values.get('fit')}"}
    word = str(what.get(kind) or values.get("kind") or kind).strip()
    return f"{word} {size}"


def _stock_problems(stock: StockTable, parsed: Parsed) -> list[Problem]:
    tell = Teller(parsed)
    return [
        *_same_names(stock, tell),
        *_plate_metals(stock, tell),
        *_walls(stock, tell),
        *_odd_sizes(stock, tell),
    ]


def _same_names(stock: StockTable, tell: Teller) -> Iterator[Problem]:
    for kind in KINDS:
        seen: set[str] = set()
        for n, line in enumerate(getattr(stock, kind)):
            name = line_name(kind, line)
            if name in seen:
                yield tell.wrong(
                    (kind, n),
                    name,
                    "is in the stock twice.",
                    allowed="names that differ",
                    mend="Take one out, or give it a name.",
                )
            seen.add(name)


def _plate_metals(stock: StockTable, tell: Teller) -> Iterator[Problem]:
    metals = [m.name for m in stock.metal]
    for n, plate in enumerate(stock.plate):
        if plate.metal not in metals:
            yield tell.wrong(
                ("plate", n, "metal"),
                plate.metal,
                "there is no such metal.",
                allowed=", ".join(metals[:8]),
                mend=nearest(plate.metal, metals) or "Add a [[metal]].",
            )


def _walls(stock: StockTable, tell: Teller) -> Iterator[Problem]:
    for kind in ("bush", "washer", "spacer", "bearing"):
        for n, line in enumerate(getattr(stock, kind)):
            if line.outside_mm <= line.bore_mm:
                yield tell.wrong(
                    (kind, n, "outside_mm"),
                    line.outside_mm,
                    "is not larger than the bore.",
                    allowed=f"more than {plain(line.bore_mm)} mm",
                    mend="Are the two exchanged?",
                )


def _odd_sizes(stock: StockTable, tell: Teller) -> Iterator[Problem]:
    rules = [
        ("ring", "groove_mm", "shaft_mm", "the shaft"),
        ("chain", "pin_mm", "pitch_mm", "the pitch"),
        ("chain", "inner_width_mm", "overall_width_mm", "the overall width"),
        ("gear", "min_teeth", "max_teeth", "max_teeth"),
        ("metal", "yield_MPa", "ultimate_MPa", "the tensile strength"),
    ]
    for kind, small, large, words in rules:
        for n, line in enumerate(getattr(stock, kind)):
            low, high = getattr(line, small), getattr(line, large)
            if low > high or (low == high and kind in {"ring", "chain"}):
                yield tell.wrong(
                    (kind, n, small),
                    low,
                    f"is more than {words} ({plain(high)})."
                    if low > high
                    else f"is the same as {words}.",
                    allowed=f"less than {plain(high)}",
                    mend="Are the two exchanged?",
                )
