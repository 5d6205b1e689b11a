"""Telling problems that were found between values: a place in, a line and a key path out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from explorer.brief.errors import RANK_ADVICE, RANK_BETWEEN, Problem, short

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from explorer.brief.parse import Parsed
    from explorer.brief.toml_lines import Loc


@dataclass(frozen=True)
class Teller:
    """Makes problems of one file with their lines."""

    parsed: Parsed

    def wrong(
        self, loc: Loc, value: object, message: str, *, allowed: str = "", mend: str = ""
    ) -> Problem:
        """An error at `loc`."""
        p = self.parsed
        shown = "" if value is None else short(value)
        return Problem(
            p.file, p.line(loc), p.path(loc), shown, allowed, mend, message, RANK_BETWEEN
        )

    def advice(self, loc: Loc, message: str, *, mend: str = "") -> Problem:
        """A warning at `loc`."""
        p = self.parsed
        path, line = p.path(loc), p.line(loc)
        return Problem(p.file, line, path, "", "", mend, message, RANK_ADVICE, "warning")


def repeated(names: Sequence[str], place: Loc, tell: Teller) -> Iterator[Problem]:
    """Names that stand in a list a second time."""
    seen: set[str] = set()
    for index, name in enumerate(names):
        if name in seen:
            yield tell.wrong(
                (*place, index, "name"),
                name,
                "is there twice.",
                allowed="names that differ",
                mend="Rename one, or take it out.",
            )
        seen.add(name)
