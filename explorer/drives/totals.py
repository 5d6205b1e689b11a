"""Totals over the pieces: counts, part numbers, mass and its centre, hours and cost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from explorer.drives.pieces import Piece
from explorer.drives.shelf import Shelf
from explorer.mechanics import outline
from explorer.mechanics.outline import Shape, Stadium
from explorer.mechanics.types import Bools, Floats

_EQUAL = 1e-9  # mm, sizes of one part number


@dataclass(frozen=True)
class Tally:
    """Counts, mass and what it takes; (N,) each, NaN where it was not worked out."""

    pieces: Floats
    numbers: Floats
    mass: Floats  # g
    mass_y: Floats  # mm of the centre from the cavity's wrist end
    hours: Floats
    cost: Floats


def _numbers(pieces: Sequence[Piece]) -> Floats:
    """How many different part numbers (N,): pieces of one sort with equal columns are one number."""
    alike: dict[tuple[str, int], list[Piece]] = {}
    for p in pieces:
        alike.setdefault((p.what, len(p.number)), []).append(p)
    total = np.zeros(pieces[0].count.shape[0])
    for sort in alike.values():
        for new in _new_numbers(sort):
            total = total + new
    return total


def _new_numbers(sort: Sequence[Piece]) -> Iterator[Bools]:
    """Of pieces of one sort, where each is there with columns that none before it has (N,)."""
    there = _rows([p.count for p in sort]) > 0.0
    columns = [_rows(column) for column in zip(*(p.number for p in sort), strict=True)]
    for i in range(len(sort)):
        same = there[:i].copy()
        for column in columns:
            same &= np.abs(column[:i] - column[i]) < _EQUAL
        yield there[i] & ~same.any(axis=0)


def _rows(columns: Sequence[Floats]) -> Floats:
    """Columns (N,1) one above the other: (K,N)."""
    out = np.empty((len(columns), columns[0].shape[0]))
    for i, column in enumerate(columns):
        out[i] = column[:, 0]
    return out


def _middle(shape: Shape) -> Floats:
    """y of the middle of an outline in the first position (N,), mm."""
    if isinstance(shape, Stadium):
        return (shape.py[:, 0] + shape.qy[:, 0]) / 2.0
    b = outline.bounds(shape)
    return (b.y0[:, 0] + b.y1[:, 0]) / 2.0


def tally(pieces: Sequence[Piece], shelf: Shelf) -> Tally:
    """Pieces, part numbers, mass, hours and cost.  Metal costs one smallest sheet a sheet size used."""
    shop = shelf.brief.shop
    n = pieces[0].count.shape[0]
    count, mass, moment = np.zeros(n), np.zeros(n), np.zeros(n)
    minutes, cost = np.zeros(n), np.zeros(n)
    cut: dict[int, tuple[Floats, Floats]] = {}  # how many pieces of one choice of sheet
    y_wrist = shelf.brief.cavity.box.y0
    for p in pieces:
        c = p.count[:, 0]
        count = count + c
        m = c * p.mass[:, 0]
        mass, moment = mass + m, moment + m * (_middle(p.shape) - y_wrist)
        minutes = minutes + c * p.minutes[:, 0]
        cost = cost + c * p.price[:, 0]
        if p.stock == "plates" and p.stock_index is not None:
            index, so_far = cut.get(id(p.stock_index), (p.stock_index[:, 0], 0.0 * c))
            cut[id(p.stock_index)] = index, so_far + c
    names, prices = shelf.plates.names, shelf.plates.sheet_price
    for k in sorted(range(len(names)), key=names.__getitem__):  # a sum in any order of the stock
        used = np.zeros(n, dtype=bool)
        for index, pieces_of_it in cut.values():
            used |= (index == k) & (pieces_of_it > 0.0)
        cost = cost + np.where(used, prices[k], 0.0)
    minutes = minutes + count * shop.minutes["assembly_per_piece"]
    hours = minutes / 60.0
    return Tally(
        count,
        _numbers(pieces),
        mass,
        moment / np.maximum(mass, 1e-9),
        hours,
        cost + hours * shop.rate_per_hour,
    )


def count_alone(pieces: Sequence[Piece], _shelf: Shelf) -> Tally:
    """A tally of which only the count of pieces is worked out."""
    n = pieces[0].count.shape[0]
    count = np.zeros(n)
    for p in pieces:
        count = count + p.count[:, 0]
    unknown = np.full(n, np.nan)
    return Tally(count, unknown, unknown, unknown, unknown, unknown)
