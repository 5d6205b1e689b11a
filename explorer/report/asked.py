"""What a grip asks of the hand, care and doubt of the drives that are told whole, in the words of `show`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from explorer.report.gather import Gathered
from explorer.show.doubt import doubt_lines
from explorer.show.plain import Json
from explorer.show.service import service_lines
from explorer.show.text_asks import SECTIONS as ASKS

Lines = Callable[[Mapping[str, Json]], list[str]]


@dataclass(frozen=True)
class Told:
    """One drive: named blocks of lines, as the terminal prints them."""

    name: str
    old: bool
    asks: tuple[tuple[str, str], ...]
    care: str
    doubt: str


def told_whole(g: Gathered, names: Iterable[str]) -> list[Told]:
    """The blocks of each drive."""
    out = []
    for name in names:
        w = g.whole[name]
        asks = tuple((title, _block(lines, w.facts)) for title, lines in ASKS)
        out.append(
            Told(
                name,
                w.entry.kind == "build",
                tuple((t, b) for t, b in asks if b),
                _block(service_lines, w.facts),
                _block(doubt_lines, w.facts),
            )
        )
    return out


def _block(lines: Lines, facts: Mapping[str, Json]) -> str:
    return "\n".join(line.rstrip() for line in lines(facts))
