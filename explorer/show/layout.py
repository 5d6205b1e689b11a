"""Plain lines: rounding by quantity, aligned columns, paragraphs."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from explorer.show.plain import Json

WIDTH = 100
# Digits behind the point, by the unit a key ends in: what a maker can measure, no more.
DIGITS: Mapping[str, int] = {
    "N": 0,
    "N*mm": 0,
    "mm": 1,
    "deg": 1,
    "kg": 1,
    "g": 0,
    "cm3": 1,
    "h": 1,
    "min": 0,
    "weeks": 0,
    "MS": 2,
    "MPa": 0,
    "x need": 2,
    "N at the wrist": 0,
    "teeth": 0,
    "links": 0,
    "money": 0,
    "pieces": 0,
    "parts": 0,
}
NONE = "-"


def number(value: Json, digits: int) -> str:
    """A number with fixed digits; null is a dash, minus nothing is nothing."""
    if value is None or isinstance(value, (str, bool)) or not isinstance(value, (int, float)):
        return NONE
    text = f"{value:.{digits}f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def percent(value: Json) -> str:
    """A share in whole percent."""
    return NONE if not isinstance(value, (int, float)) else f"{number(100.0 * value, 0)} %"


def quantity(value: Json, unit: str) -> str:
    """A number with its unit, rounded as that unit is; pure numbers of 1 as percent."""
    if value is None:
        return NONE
    return (
        percent(value)
        if unit == "-"
        else f"{number(value, DIGITS.get(unit, 0 if unit.isalpha() else 2))} {unit}"
    )


def margin(ms: Json) -> str:
    """A margin as a maker reads it: "holds 1.6 x the load (MS 0.63)"."""
    if not isinstance(ms, (int, float)):
        return "carries nothing"
    return (
        f"{'holds' if ms >= 0.0 else 'only'} {number(1.0 + ms, 1)} x the load (MS {number(ms, 2)})"
    )


@dataclass(frozen=True)
class Columns:
    """A table: heads, and `left` those columns that hold words."""

    heads: Sequence[str]
    left: frozenset[int] = frozenset({0})

    def lines(self, rows: Sequence[Sequence[str]]) -> list[str]:
        """Head and rows, aligned; nothing for no rows."""
        if not rows:
            return []
        table = [list(self.heads), *[list(row) for row in rows]]
        widths = [max(len(row[i]) for row in table) for i in range(len(self.heads))]
        return [
            "  "
            + "  ".join(
                cell.ljust(w) if i in self.left else cell.rjust(w)
                for i, (cell, w) in enumerate(zip(row, widths, strict=True))
            ).rstrip()
            for row in table
        ]


def paragraph(text: str, indent: str = "  ", hang: str = "") -> list[str]:
    """A sentence or more, wrapped; nothing is cut off."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent + hang,
        break_long_words=False,
        break_on_hyphens=False,
    )


def rows_of(value: Json) -> list[Mapping[str, Json]]:
    """The tables of a list."""
    if isinstance(value, str) or not isinstance(value, Sequence):
        return []
    return [row for row in value if isinstance(row, Mapping)]


def table_of(value: Json) -> Mapping[str, Json]:
    """A table, or an empty one."""
    return value if isinstance(value, Mapping) else {}


def words_of(value: Json) -> list[str]:
    """The words of a list."""
    if isinstance(value, str) or not isinstance(value, Sequence):
        return []
    return [str(v) for v in value]
