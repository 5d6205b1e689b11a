"""What one drive is made of, where it stands in the palm, and how long it lasts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from explorer.brief.stock_records import Line, Stock, of_size
from explorer.drives.assemble import plays
from explorer.drives.envelope import Span
from explorer.drives.pieces import Piece
from explorer.drives.shelf import Shelf, take
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail
from explorer.show.plain import Json, Table, num, whole

_APART = 1e3  # mm; stands for "no such piece" in a gap
_SAME = 1e-9  # as the totals count part numbers
CUT = (
    "plate",
    "link",
    "end piece",
    "bracket",
    "clamp",
)  # made here, whatever sheet they are cut from
SIDES = ("index side", "little side", "wrist end", "finger end", "palm face", "back")


def parts(d: Detail) -> list[Table]:
    """The parts list, one entry a kind of piece."""
    there = [p for p in d.pieces if float(p.count[0, 0]) > 0.0]
    ids = part_numbers(there)
    by_key = {p.key: p for p in d.pieces}
    return [_part(d.space.shelf, p, number, by_key) for p, number in zip(there, ids, strict=True)]


def part_numbers(pieces: Sequence[Piece]) -> list[int]:
    """A part number each, from 1: pieces of one sort with equal columns share one."""
    known: list[tuple[Piece, int]] = []
    out: list[int] = []
    for p in pieces:
        number = next((n for q, n in known if _same(p, q)), 0)
        if not number:
            number = max(out, default=0) + 1
            known.append((p, number))
        out.append(number)
    return out


def _same(a: Piece, b: Piece) -> bool:
    if a.what != b.what or len(a.number) != len(b.number):
        return False
    pairs = zip(a.number, b.number, strict=True)
    return all(abs(float(x[0, 0]) - float(y[0, 0])) < _SAME for x, y in pairs)


def _part(shelf: Shelf, p: Piece, number: int, by_key: dict[str, Piece]) -> Table:
    line = _line(shelf, p, by_key)
    made = line is None or p.what in CUT
    return {
        "key": p.key,
        "words": p.words,
        "what": p.what,
        "number": f"P{number}",
        "pieces_count": whole(p.count[0, 0]),
        "have": "make" if made or line is None else line.have,
        "stock_list": p.stock or None,
        "stock_line": None if line is None else line.name,
        "stock_have": None if line is None else line.have,
        "mass_each_g": num(p.mass[0, 0]),
        "minutes_each_min": num(p.minutes[0, 0]),
        "price_each_money": num(p.price[0, 0]),
        "moves": p.moves,
        "stage": p.stage,
        "body": p.body,
        "thickness_mm": None if p.thickness is None else num(p.thickness[0, 0]),
        "z_from_mm": num(p.z0[0, 0]),
        "z_to_mm": num(p.z1[0, 0]),
    }


def _line(shelf: Shelf, p: Piece, by_key: dict[str, Piece]) -> Line | None:
    """The stock line that a piece is taken or cut from."""
    if p.stock_index is None:
        return None
    index = int(p.stock_index[0, 0])
    stock: Stock = shelf.stock
    if p.stock in ("rings", "bushes", "washers"):
        return _of_size(stock, p.stock, _diameter(shelf, p, by_key))
    lines: Sequence[Line] = getattr(stock, p.stock, ())
    return lines[index] if index < len(lines) else None


def _diameter(shelf: Shelf, p: Piece, by_key: dict[str, Piece]) -> float:
    """Diameter of the pin or shaft that a ring, bush or washer goes on: they carry its index."""
    carrier = by_key.get(p.key.removesuffix(f" {p.stock}"))
    rods = shelf.shafts if carrier is not None and carrier.stock == "shafts" else shelf.pins
    return float(take(rods.d, _index(p))[0, 0])


def _index(p: Piece) -> Floats:
    return np.zeros((1, 1)) if p.stock_index is None else p.stock_index


def _of_size(stock: Stock, kind: str, d: float) -> Line | None:
    return of_size(getattr(stock, kind), "shaft" if kind == "rings" else "bore", d)


def totals(d: Detail, currency: str) -> Table:
    """Counts, mass and its centre, hours and cost."""
    t = d.tally
    return {
        "pieces_count": whole(t.pieces[0]),
        "part_numbers_count": whole(t.numbers[0]),
        "mass_g": num(t.mass[0]),
        "centre_from_wrist_end_mm": num(t.mass_y[0]),
        "hours_h": num(t.hours[0]),
        "cost_money": num(t.cost[0]),
        "currency": currency,
    }


def room(d: Detail) -> Table:
    """The box it sweeps, a box a stage, and what is left to the cavity's sides and keep-outs."""
    e = d.envelope
    keep = float(e.keepout[0])
    return {
        "box": _box(e.box),
        "stages": [{"name": name, **_box(span)} for name, span in e.stages],
        "stages_cm3": num(e.room[0] / 1000.0),
        "cavity": [
            {"side": side, "slack_mm": num(v[0])}
            for side, v in zip(SIDES, e.cavity_sides, strict=True)
        ],
        "keepout_slack_mm": num(keep) if keep < _APART else None,
    }


def _box(span: Span) -> dict[str, Json]:
    edges = {
        f"{n[0]}_{'from' if n[1] == '0' else 'to'}_mm": num(getattr(span, n)[0])
        for n in ("x0", "x1", "y0", "y1", "z0", "z1")
    }
    sizes = {
        f"size_{n}_mm": num(getattr(span, f"{n}1")[0] - getattr(span, f"{n}0")[0]) for n in "xyz"
    }
    return {**edges, **sizes, "volume_cm3": num(span.volume()[0] / 1000.0)}


def clearances(d: Detail) -> list[Table]:
    """Gaps of every watched pair: hand open, and least over the must positions, tightest first."""
    positions = d.space.shelf.demand.positions
    must = np.array([p.must for p in positions])
    words = {p.key: p.words for p in d.pieces}
    asked = d.space.shelf.brief.cavity.clearance
    out: list[tuple[float, Table]] = []
    for pair, gap in d.gaps:
        row = np.broadcast_to(gap[0], (len(positions),))
        counted = np.where(must, row, np.inf)
        least = float(counted.min())
        if least >= _APART:
            continue
        out.append(
            (
                least,
                {
                    "a": words[pair.a],
                    "b": words[pair.b],
                    "open_mm": num(row[0]),
                    "least_mm": num(least),
                    "position": positions[int(counted.argmin())].name,
                    "asked_mm": asked,
                    "clear": least >= asked,
                },
            )
        )
    return [table for _, table in sorted(out, key=lambda item: item[0])]


def wear(d: Detail) -> list[Table]:
    """Weeks of every wear part until its limit, soonest first."""
    rows = sorted(d.wear, key=lambda w: float(w.weeks[0]))
    return [
        {
            "key": w.key,
            "part": w.part,
            "weeks": num(w.weeks[0]),
            "measure": w.measure,
            "limit_ratio" if w.measure.startswith("length") else "limit_mm": w.limit,
        }
        for w in rows
    ]


def play(d: Detail) -> Table:
    """Lost motion at the input drawbar by clearances, joint by joint."""
    rows = plays(d.space, d.drive, d.motion)
    return {
        "input_mm": num(d.play[0]),
        "joints": [{"key": p.key, "input_mm": num(p.at_input[0, 0])} for p in rows],
    }
