"""The chain table: every cut length in whole pitches, its ends, what hangs free and what run-in adds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.build.cut import at_rest
from explorer.build.parts import Part
from explorer.drives.motion import strand_lengths
from explorer.drives.pieces import Piece
from explorer.scoring.score import Detail


@dataclass(frozen=True)
class Chain:
    """One cut length: its part number, pitches, mm, and the part numbers of its end pieces.

    `odd`: it needs an offset link.  `run_in` mm that the adjuster must take up when the chain has run
    in; a new chain is hung without slack, so slack is 0 to `run_in`.  `free` mm of strand between wheel
    and pin on the shorter side, least over the positions that count; None where nothing floats.
    """

    key: str
    number: str
    name: str
    stock: str
    links: int
    pitch: float
    ends: tuple[str, ...]
    odd: bool
    run_in: float
    free: float | None

    @property
    def length(self) -> float:
        """mm."""
        return self.links * self.pitch


def chains_of(d: Detail, parts: Sequence[Part]) -> tuple[Chain, ...]:
    """Every chain of one drive."""
    numbers = {key: part.number for part in parts for key in part.keys}
    free = _free(d)
    return tuple(
        _chain(d, p, numbers, free) for p in d.pieces if p.what == "chain" and p.key in numbers
    )


def _chain(d: Detail, p: Piece, numbers: dict[str, str], free: dict[str, float]) -> Chain:
    shelf = d.space.shelf
    index, links = int(at_rest(p.number[0])), round(at_rest(p.number[1]))
    pitch = float(shelf.chains.pitch[index])
    ends = [
        numbers[q.key]
        for q in d.pieces
        if q.what == "end piece" and q.key in numbers and (p.body in q.joined or q.body == p.body)
    ]
    return Chain(
        p.key, numbers[p.key], p.words, shelf.chains.names[index], links, pitch,
        tuple(dict.fromkeys(ends)), links % 2 == 1, shelf.brief.shop.run_in * links * pitch,
        free.get(p.key),
    )  # fmt: skip


def _free(d: Detail) -> dict[str, float]:
    """Least strand from tangent to drawbar pin over the positions that count, by the chain's key."""
    must = np.array([q.must for q in d.space.shelf.demand.positions])
    floating = [k for k, c in enumerate(d.drive.carriers) if type(c.body).__name__ == "Wheel"]
    lengths = strand_lengths(d.drive, d.motion)
    return {
        f"carrier {'ab'[k]} chain": float(min(side[0][must].min() for side in both))
        for k, both in zip(floating, lengths, strict=True)
    }
