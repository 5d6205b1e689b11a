"""What a grip asks of the hand, care and doubt of the drives that are told whole, in the blocks of `show`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from explorer.report.gather import Gathered
from explorer.show.blocks import Block
from explorer.show.doubt import doubt_blocks
from explorer.show.service import service_blocks
from explorer.show.text_asks import SECTIONS as ASKS


@dataclass(frozen=True)
class Told:
    """One drive: blocks, named where there are several."""

    name: str
    old: bool
    asks: tuple[tuple[str, list[Block]], ...]
    care: list[Block]
    doubt: list[Block]


def told_whole(g: Gathered, names: Iterable[str]) -> list[Told]:
    """The blocks of each drive."""
    out = []
    for name in names:
        w = g.whole[name]
        asks = tuple((title, blocks(w.facts)) for title, blocks in ASKS)
        out.append(
            Told(
                name,
                w.entry.kind == "build",
                tuple((t, b) for t, b in asks if b),
                service_blocks(w.facts),
                doubt_blocks(w.facts),
            )
        )
    return out
