"""Pieces of a chain winder: tracks or one piece, drive pins, shaft, cheeks, the two chains."""

from __future__ import annotations

import numpy as np

from explorer.drives import make, wheel_parts, wheels, winder
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pieces import (
    Hole,
    Piece,
    Section,
    circle_holes,
    disc_section,
    turned_mass,
)
from explorer.drives.ratios import Spool
from explorer.drives.shelf import Shelf, take
from explorer.drives.wheel_parts import Room
from explorer.drives.winder import Track, Winder
from explorer.mechanics import outline
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Floats

BODY = "winder"
FRAME = "frame"


def _sections(shelf: Shelf, drive: Drive, t: Track) -> tuple[Section, ...]:
    """A track from the face that meets the other one: teeth in the middle between hubs, or a drum."""
    plain, zero = drive.columns["tracks"] > 0.0, np.zeros_like(t.W)
    wide = np.where(plain, t.W, wheels.wheel_width(shelf, t.chain))
    side = disc_section("hub", (t.W - wide) / 2.0, t.root)
    teeth = np.where(plain, 0.0, t.teeth)
    return (side, Section("track", wide, t.body, teeth, t.p + zero), side)


def _bore(w: Winder) -> Hole:
    zero = np.zeros_like(w.d_shaft)
    return Hole(zero, zero, w.d_shaft, "press")


def _track(shelf: Shelf, drive: Drive, which: str, t: Track, w: Winder, room: Room,
           seat: Floats) -> Piece:  # fmt: skip
    """One of two joined tracks; a chain wheel where toothed, a turned drum where plain."""
    cols, minutes = drive.columns, shelf.brief.shop.minutes
    plain = cols["tracks"] > 0.0
    sections = _sections(shelf, drive, t)
    holes = (_bore(w), *circle_holes(w.d_pin, w.n_pins, w.r_pin, 0.0, seat))
    return Piece(
        f"winder {which} track",
        f"{which} track of the winder",
        "wheel",
        "turning",
        "first",
        BODY,
        (FRAME,),
        room.shape,
        room.z0,
        room.z1,
        np.where(w.one_piece > 0.0, 0.0, 1.0),
        turned_mass(sections, holes, take(shelf.plates.density, cols["plate"])),
        minutes["pinned_track"] + 0.0 * w.t,
        np.where(plain, 0.0, take(shelf.chains.wheel_price, t.chain)),
        (t.chain, cols["tracks"], np.where(plain, t.low, t.teeth), w.d_shaft, w.n_pins, w.r_pin),
        thickness=t.W,
        holes=holes,
        sections=sections,
        metal=cols["plate"],
    )


def tracks(shelf: Shelf, drive: Drive, w: Winder, rooms: tuple[Room, Room]) -> tuple[Piece, ...]:
    """Two tracks with their drive pins, or the winder in one piece."""
    cols, minutes = drive.columns, shelf.brief.shop.minutes
    two = tuple(
        _track(shelf, drive, which, t, w, room, seat)
        for which, t, room, seat in zip(
            ("input", "output"), (w.into, w.out), rooms, w.seats, strict=True
        )
    )
    r = spool(drive)
    whole = (*_sections(shelf, drive, w.into), *_sections(shelf, drive, w.out))
    one = Piece(
        "winder",
        "winder in one piece",
        "drum",
        "turning",
        "first",
        BODY,
        (FRAME,),
        outline.disc(r.x_p, drive.y_ratio, np.maximum(w.into.outer, w.out.outer)),
        np.minimum(rooms[0].z0, rooms[1].z0),
        np.maximum(rooms[0].z1, rooms[1].z1),
        np.where(w.one_piece > 0.0, 1.0, 0.0),
        turned_mass(whole, (_bore(w),), take(shelf.plates.density, cols["plate"])),
        minutes["one_piece_winder_plain"] + 0.0 * w.t,
        np.zeros_like(w.t),
        (w.into.chain, w.out.chain, w.into.a, w.out.a, w.d_shaft),
        thickness=w.into.W + w.out.W,
        holes=(_bore(w),),
        sections=whole,
        metal=cols["plate"],
    )
    length = w.seats[0] + w.seats[1]
    face = drive.z + w.up * w.out.W / 2.0
    pins = Piece(
        "winder drive pins",
        "drive pin of the winder",
        "pin",
        "turning",
        "first",
        BODY,
        (),
        outline.disc(r.x_p, drive.y_ratio, w.r_pin + w.d_pin / 2.0),
        face - length / 2.0,
        face + length / 2.0,
        np.where(w.one_piece > 0.0, 0.0, w.n_pins),
        np.pi / 4.0 * w.d_pin * w.d_pin * length * take(shelf.pins.density, cols["drive_pin"]),
        minutes["drive_pin"] + take(shelf.pins.minutes, cols["drive_pin"]),
        take(shelf.pins.price, cols["drive_pin"]),
        (cols["drive_pin"], length),
        stock="pins",
        stock_index=cols["drive_pin"],
    )
    return (*two, one, pins)


def spool(drive: Drive) -> Spool:
    """The winder as a ratio part."""
    assert isinstance(drive.ratio, Spool)  # noqa: S101 - this family builds no other
    return drive.ratio


def shaft_set(shelf: Shelf, drive: Drive, w: Winder) -> tuple[Piece, ...]:
    """Shaft with rings, bushes and washers, and two bracket cheeks.

    Their feet reach past the tracks on the side away from the output chain, which saves length.
    """
    cols, r, gap = drive.columns, spool(drive), shelf.brief.shop.gap
    near = w.out.W / 2.0 + gap
    far = w.out.W / 2.0 + w.into.W + gap
    a, b = drive.z - w.up * (near + w.t), drive.z + w.up * (far + w.t)
    shaft = make.pin_set(
        shelf,
        "winder shaft",
        "winder shaft",
        "first",
        BODY,
        (FRAME,),
        r.x_p,
        drive.y_ratio,
        np.minimum(a, b),
        np.maximum(a, b),
        shelf.shafts,
        cols["shaft"],
        bushes=2.0 * w.bushed,
        bush_length=w.t,
        washers=2.0,
        what="shaft",
        stock="shafts",
    )
    half = w.cheek_w / 2.0
    zero = np.zeros_like(w.t)
    cheeks = tuple(
        make.plate_piece(
            shelf,
            f"cheek at the {where}",
            f"bracket cheek at the {where}",
            "bracket",
            "fixed",
            "first",
            FRAME,
            (BODY,),
            Stadium(r.x_p, drive.y_ratio, r.x_p - r.side * w.reach, drive.y_ratio, half),
            np.minimum(z, z + side * w.t),
            np.maximum(z, z + side * w.t),
            1.0 + zero,
            cols["plate"],
            (Hole(zero, zero, w.hole, "running"),),
        )
        for where, z, side in (
            ("output track", drive.z - w.up * near, -w.up),
            ("input track", drive.z + w.up * far, w.up),
        )
    )
    return (*shaft, *cheeks)


def chains(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    w: Winder,
    end: tuple[Floats, Floats],
    hole: Floats,
) -> tuple[Piece, ...]:
    """Input chain to its pin, output chain and its end piece.

    The input chain holds the stroke; at rest one link and the connector stand off the track.  The output
    chain is its free links at rest and the standing ones.
    """
    r, c = spool(drive), shelf.chains
    must = np.array([p.must for p in shelf.demand.positions])
    X = motion.X.max(axis=1, initial=0.0, where=must)[:, None]
    side_in, side_out = take(c.width, w.into.chain) / 2.0, take(c.width, w.out.chain) / 2.0
    in_side = -r.side if r.source.reverses else r.side
    x_in = r.x_p + in_side * r.a1 + np.zeros_like(motion.X)
    shaft_y = drive.y_ratio + np.zeros_like(motion.X)
    y_in = shaft_y + r.source.sign * (w.into.p + take(c.connector, w.into.chain) + motion.X)
    far = drive.z + w.up * (w.out.W / 2.0 + w.into.W / 2.0)
    into = make.chain_piece(
        shelf,
        "input chain",
        "input chain",
        "first",
        "input chain",
        (BODY,),
        Stadium(x_in, shaft_y, x_in, y_in, w.into.h / 2.0),
        far - side_in,
        far + side_in,
        w.into.chain,
        np.ceil(X / w.into.p - 1e-6) + 1.0 + winder.STANDING_LINKS,
    )
    out = make.chain_piece(
        shelf,
        "output chain",
        "output chain",
        "first",
        "exit link",
        (BODY,),
        Stadium(motion.exit_x, shaft_y, *end, w.out.h / 2.0),
        drive.z - side_out,
        drive.z + side_out,
        w.out.chain,
        drive.columns["exit_links"] + winder.STANDING_LINKS,
    )
    return (into, out, _exit_end(shelf, drive, motion, w, end, hole))


def _exit_end(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    w: Winder,
    end: tuple[Floats, Floats],
    hole: Floats,
) -> Piece:
    """End plate(s) of the output chain."""
    cols = drive.columns
    x2, y2 = wheel_parts.toward(
        *end,
        motion.exit_x,
        drive.y_ratio + np.zeros_like(motion.X),
        take(shelf.chains.connector, w.out.chain),
    )
    return wheel_parts.end_piece(
        shelf,
        "output chain end",
        "end of the output chain",
        "first",
        "exit link",
        ("first stage fork", "carrier a"),
        (*end, x2, y2),
        cols["end_width_mm"],
        drive.z,
        cols["link_plate"],
        wheels.end_plates(cols),
        (hole, take(shelf.chains.pin, w.out.chain)),
        "running"
        if drive.first
        else wheel_parts.end_fit(drive.carriers[0], wheels.end_plates(cols)),
        None if drive.first else wheel_parts.inside_end(shelf, cols, drive.carriers[0]),
    )
