"""What is told as blocks, a table or a paragraph each: the terminal's lines and the report's page are made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from explorer.show.layout import Columns, paragraph


@dataclass(frozen=True)
class Grid:
    """A table: heads, rows of words, and `left` those columns that hold words."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: frozenset[int] = frozenset({0})


@dataclass(frozen=True)
class Say:
    """A paragraph; `mark` where it must not be missed, `hang` what follows its first line is set in by."""

    text: str
    mark: bool = False
    hang: str = ""


Block = Grid | Say


def grid(
    heads: Sequence[str], rows: Sequence[Sequence[str]], left: frozenset[int] = frozenset({0})
) -> list[Block]:
    """A table, or nothing where it has no rows."""
    return [Grid(tuple(heads), tuple(tuple(r) for r in rows), left)] if rows else []


def as_lines(blocks: Sequence[Block]) -> list[str]:
    """Plain lines; a table that is not the first block stands after an empty line."""
    out: list[str] = []
    for b in blocks:
        if isinstance(b, Say):
            out += paragraph(b.text, hang=b.hang)
        else:
            out += [*([""] if out else []), *Columns(b.heads, b.left).lines(b.rows)]
    return out
