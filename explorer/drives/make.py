"""Making things: how plates, pins, chains and bought parts become pieces with mass, minutes and price.

Operation minutes come from the brief's shop; metal is priced by the smallest sheet, once a sheet used,
in the totals (`explorer.drives.parts`), never by volume.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from explorer.drives.pieces import Hole, Moves, Piece, Stage, What
from explorer.drives.shelf import Pins, Shelf, take
from explorer.mechanics import outline
from explorer.mechanics.outline import Sector, Stadium, disc
from explorer.mechanics.types import Floats


def joint_mu(shelf: Shelf, bushed: Floats) -> Floats:
    """Friction of a pin joint by its pairing (N,1)."""
    f = shelf.brief.friction
    return np.where(bushed > 0.0, f.bushed, f.bare)


def joint_wear(shelf: Shelf, bushed: Floats, plate: Floats) -> Floats:
    """Specific wear of a pin joint by its pairing, mm2/N (N,1); `plate` indexes the turning plate."""
    return np.where(bushed > 0.0, shelf.brief.wear.bushed, take(shelf.plates.wear_bare, plate))


def hole_diameter(bushed: Floats, pins: Pins, index: Floats) -> Floats:
    """Hole in the turning plate: the bush's outside, or the pin (N,1)."""
    return np.where(bushed > 0.0, take(pins.bush_od, index), take(pins.d, index))


def plate_piece(
    shelf: Shelf,
    key: str,
    words: str,
    what: What,
    moves: Moves,
    stage: Stage,
    body: str,
    joined: tuple[str, ...],
    shape: Stadium | Sector,
    z0: Floats,
    z1: Floats,
    count: Floats,
    plate: Floats,
    holes: tuple[Hole, ...],
) -> Piece:
    """A piece cut from sheet: mass from its outline less its holes, minutes by outline and holes."""
    t = take(shelf.plates.t, plate)
    rigid = at_rest(shape)
    area, rim = outline.area(rigid), outline.perimeter(rigid)
    for h in holes:
        area = area - np.pi / 4.0 * h.d * h.d
    minutes = rim * t * take(shelf.plates.minutes_mm_mm, plate) + len(holes) * take(
        shelf.plates.minutes_hole, plate
    )
    return Piece(
        key,
        words,
        what,
        moves,
        stage,
        body,
        joined,
        shape,
        z0,
        z1,
        count,
        area * t * take(shelf.plates.density, plate),
        minutes,
        np.zeros_like(t),
        (plate, area, rim),
        thickness=t,
        holes=holes,
        stock="plates",
        stock_index=plate,
    )


def at_rest(shape: Stadium | Sector) -> Stadium | Sector:
    """The outline in the first position (N,1): a rigid one has the same area and rim in every position."""
    if isinstance(shape, Sector):
        return Sector(*(first_column(getattr(shape, f.name)) for f in fields(shape)))
    return Stadium(*(first_column(getattr(shape, f.name)) for f in fields(shape)))


def other_outline(piece: Piece, key: str, words: str, shape: Stadium) -> Piece:
    """A further outline of a piece that is counted elsewhere: no mass, minutes or price of its own."""
    zero = np.zeros_like(piece.count)
    return replace(
        piece, key=key, words=f"{piece.words}, {words}", shape=shape, count=zero, mass=zero,
        minutes=zero, price=zero, holes=(), outline_only=True,
    )  # fmt: skip


def first_column(a: Floats) -> Floats:
    """(N,1) from (N,P) or (N,1): a rigid outline has the same area in every position."""
    return np.ascontiguousarray(a[:, :1])


def pin_set(
    shelf: Shelf,
    key: str,
    words: str,
    stage: Stage,
    body: str,
    joined: tuple[str, ...],
    x: Floats,
    y: Floats,
    z0: Floats,
    z1: Floats,
    pins: Pins,
    index: Floats,
    *,
    bushes: Floats,
    bush_length: Floats,
    washers: float,
    rings: float = 2.0,
    what: What = "pin",
    stock: str = "pins",
) -> tuple[Piece, ...]:
    """A pin through the stack z0..z1 with its rings, bushes (count (N,1)) and washers.

    `rings` 0 for pins held between plates.  The pin is longer than the stack by its ends.
    """
    d = take(pins.d, index)
    end = take(pins.end, index) if rings else np.zeros_like(d)
    has_ring = take(pins.has_ring, index) * (rings > 0)
    length = z1 - z0 + 2.0 * end
    head = take(pins.head, index) if rings else d / 2.0
    minutes = shelf.brief.shop.minutes
    one = np.ones_like(d)
    round_ = disc(x, y, head)
    od = take(pins.bush_od, index)
    wall = np.pi / 4.0 * (od * od - d * d)
    out = [
        Piece(
            key,
            words,
            what,
            "turning",
            stage,
            body,
            joined,
            round_,
            z0 - end,
            z1 + end,
            one,
            np.pi / 4.0 * d * d * length * take(pins.density, index),
            minutes["pin_cut_and_groove"] * one + take(pins.minutes, index),
            take(pins.price, index),
            (index, length),
            stock=stock,
            stock_index=index,
        )
    ]
    if rings:
        out.append(
            Piece(
                f"{key} rings",
                f"ring for {words}",
                "ring",
                "turning",
                stage,
                body,
                joined,
                round_,
                z0 - end,
                z1 + end,
                rings * has_ring,
                take(pins.ring_mass, index),
                0.0 * one,
                take(pins.ring_price, index),
                (d,),
                stock="rings",
                stock_index=index,
            )
        )
    out.append(
        Piece(
            f"{key} bushes",
            f"bush for {words}",
            "bush",
            "turning",
            stage,
            body,
            joined,
            disc(x, y, od / 2.0),
            z0,
            z1,
            bushes,
            wall * bush_length * 0.0088,
            minutes["bush"] * one + take(pins.bush_minutes, index),
            take(pins.bush_price, index),
            (d, bush_length),
            stock="bushes",
            stock_index=index,
        )
    )
    if washers:
        gap = shelf.brief.shop.gap
        out.append(
            Piece(
                f"{key} washers",
                f"washer for {words}",
                "washer",
                "turning",
                stage,
                body,
                joined,
                disc(x, y, head),
                z0,
                z1,
                washers * one,
                np.pi / 4.0 * 3.0 * d * d * gap * 0.0079,
                0.0 * one,
                0.1 * one,
                (d,),
                stock="washers",
                stock_index=index,
            )
        )
    return tuple(out)


def chain_piece(
    shelf: Shelf,
    key: str,
    words: str,
    stage: Stage,
    body: str,
    joined: tuple[str, ...],
    shape: Stadium,
    z0: Floats,
    z1: Floats,
    chain: Floats,
    links: Floats,
) -> Piece:
    """One cut length of chain of whole `links` (N,1)."""
    c = shelf.chains
    length = links * take(c.pitch, chain)
    minutes = shelf.brief.shop.minutes
    one = np.ones_like(links)
    return Piece(
        key,
        words,
        "chain",
        "sliding",
        stage,
        body,
        joined,
        shape,
        z0,
        z1,
        one,
        length * take(c.mass, chain),
        (minutes["chain_cut"] + 2.0 * minutes["chain_end"]) * one,
        links * take(c.price_pitch, chain),
        (chain, links),
        stock="chains",
        stock_index=chain,
    )
