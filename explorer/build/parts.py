"""The parts list of one drive: one row a part number, with its size in words and, if it is cut, its blank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.names import slug
from explorer.build.blank import Blank
from explorer.build.cut import blank_of, is_cut, same_blank
from explorer.build.round import Round, round_of
from explorer.build.round_notes import round_notes
from explorer.build.sizes import size_of
from explorer.drives.pieces import Piece
from explorer.scoring.score import Detail
from explorer.show.made import parts as listed

SHEETS = "plates"


@dataclass(frozen=True)
class Part:
    """One part number: what it is called, how many, from which stock, and what to cut.

    `number` as in P07, `file` the stem of its drawings ("" for what is not drawn), `mass` g each,
    `thickness` mm, `keys` the pieces that it stands for.  A part from sheet has a `blank`, a turned or
    toothed one is `round`; `notes` are lines of its drawing.
    """

    number: str
    name: str
    count: int
    have: str
    stock: str
    size: str
    material: str
    mass: float
    keys: tuple[str, ...]
    what: str
    thickness: float
    blank: Blank | None
    file: str
    round: Round | None = None
    notes: tuple[str, ...] = ()

    @property
    def handed(self) -> bool:
        """True if left and right hands need it turned over."""
        return self.blank is not None and self.blank.handed


@dataclass(frozen=True)
class _Kind:
    """One piece with its entry of the drive's facts and its blank."""

    piece: Piece
    number: str
    have: str
    stock: str
    blank: Blank | None


def parts_of(d: Detail, *, left: bool) -> tuple[Part, ...]:
    """All part numbers of one drive, in the order of its pieces; blanks mirrored for a left hand."""
    groups: list[list[_Kind]] = []
    for kind in _kinds(d):
        like = next((g for g in groups if _alike(g[0], kind)), None)
        if like is None:
            groups.append([kind])
        else:
            like.append(kind)
    return tuple(_part(d, n, group, left=left) for n, group in enumerate(groups, start=1))


def _kinds(d: Detail) -> list[_Kind]:
    there = [p for p in d.pieces if float(p.count[0, 0]) > 0.0]
    return [
        _Kind(
            p, str(row["number"]), str(row["have"]), str(row["stock_line"] or ""),
            blank_of(p, d.pieces) if is_cut(p) else None,
        )
        for p, row in zip(there, listed(d), strict=True)
    ]  # fmt: skip


def _alike(a: _Kind, b: _Kind) -> bool:
    """One part number, and the same to cut: equal areas alone do not make equal drawings."""
    if a.number != b.number or (a.blank is None) != (b.blank is None):
        return False
    return a.blank is None or b.blank is None or same_blank(a.blank, b.blank)


def _part(d: Detail, n: int, group: Sequence[_Kind], *, left: bool) -> Part:
    first = group[0]
    p, blank, shelf = first.piece, first.blank, d.space.shelf
    number = f"P{n:02d}"
    name = _name(p.what, [plain_words(d, k.piece) for k in group])
    from_sheet = p.stock == SHEETS and p.stock_index is not None
    metal = p.stock_index if from_sheet else p.metal
    material = "" if metal is None else shelf.stock.plates[int(metal[0, 0])].metal
    turned = round_of(p) if p.sections else None
    return Part(
        number=number,
        name=name,
        count=sum(round(float(k.piece.count[0, 0])) for k in group),
        have=first.have,
        stock=first.stock,
        size=size_of(shelf, p, blank),
        material=material,
        mass=float(p.mass[0, 0]),
        keys=tuple(k.piece.key for k in group),
        what=p.what,
        thickness=0.0 if p.thickness is None else float(np.broadcast_to(p.thickness, (1, 1))[0, 0]),
        blank=blank if blank is None or not left else blank.mirrored(),
        file="" if blank is None and turned is None else f"{number}-{slug(plain_words(d, p))}",
        round=turned,
        notes=() if turned is None else round_notes(d, p, turned),
    )


def plain_words(d: Detail, p: Piece) -> str:
    """A piece's words with a finger's name for its number."""
    stem, _, last = p.words.rpartition(" ")
    fingers = d.space.shelf.demand.fingers
    if stem == "finger link" and last.isdecimal() and int(last) < len(fingers):
        return f"link to the {fingers[int(last)]} finger"
    return p.words


_SETS = ("ring", "washer", "bush")  # named by what they are; their size says for which pin
_MOST = 3  # names of like pieces in a row


def _name(what: str, words: Sequence[str]) -> str:
    """One name for like pieces: what they share in front, with the rest in a row."""
    once = list(dict.fromkeys(words))
    if what in _SETS:
        return what
    if len(once) == 1:
        return once[0]
    split = [w.split() for w in once]
    shared = 0
    while all(len(s) > shared + 1 and s[shared] == split[0][shared] for s in split):
        shared += 1
    rest = [" ".join(s[shared:]) for s in split]
    more = f" and {len(rest) - _MOST} more" if len(rest) > _MOST else ""
    return " ".join([*split[0][:shared], ", ".join(rest[:_MOST]) + more])
