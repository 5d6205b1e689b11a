"""A parts list as CSV that a spreadsheet opens without obeying it."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from explorer.build.parts import Part

HEADER = (
    "balloon", "name", "count", "have", "stock_line", "file", "size", "material", "mass_each_g",
    "thickness_mm",
)  # fmt: skip
_OBEYED = ("=", "+", "-", "@", "\t", "\r")  # how a cell begins that a spreadsheet would run
NUMBERS = frozenset({"count", "mass_each_g", "thickness_mm"})


def parts_csv(parts: Sequence[Part]) -> str:
    """One row a part number."""
    return csv_text(HEADER, [_row(p) for p in parts])


def _row(p: Part) -> tuple[str | float, ...]:
    return (
        p.number, p.name, p.count, p.have, p.stock, f"{p.file}.dxf" if p.file else "", p.size,
        p.material, p.mass, p.thickness or "",
    )  # fmt: skip


def csv_text(header: Sequence[str], rows: Sequence[Sequence[str | float]]) -> str:
    """A table; text that would be obeyed gets an apostrophe in front, numbers stay as they are."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return stream.getvalue()


def _cell(value: str | float) -> str:
    if not isinstance(value, str):
        return repr(value)
    return f"'{value}" if value.lstrip(" ").startswith(_OBEYED) or value.startswith("'") else value


def read_csv(text: str) -> list[Mapping[str, str]]:
    """The rows as they were before `csv_text`: the apostrophe taken off again."""
    return [
        {key: cell.removeprefix("'") for key, cell in row.items()}
        for row in csv.DictReader(io.StringIO(text, newline=""))
    ]
