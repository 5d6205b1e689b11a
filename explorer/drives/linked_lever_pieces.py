"""Pieces of the rocker, the first lever and their links.

The rocker is drawn as two arms that meet at the pivot, a bent plate where there is a dogleg; a straight
rocker has the web between its arms filled.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explorer.drives import bar_parts, make, pinned, wheel_parts
from explorer.drives.bodies import Bar
from explorer.drives.layout import Drive
from explorer.drives.linked_lever_parts import LeverDrive, between_pins, read
from explorer.drives.motion import Motion
from explorer.drives.pieces import Hole, Piece
from explorer.drives.pinned import PinSize
from explorer.drives.shelf import Shelf, take
from explorer.mechanics.outline import Stadium, disc
from explorer.mechanics.types import Floats


def _flat_length(d: LeverDrive) -> Floats:
    """Length of the straight stadium with the rocker's area, mm (N,1).

    Straight rocker: the hull of its three ends, triangle + r x perimeter + pi r^2.
    """
    r = d.rocker
    if r.source.reverses:
        return pinned.bent_length(r.r1 + r.r2, d.w / 2.0, r.beta)
    triangle = np.abs(r.r1 * r.r2 * np.sin(r.beta)) / 2.0
    return triangle / d.w + (r.r1 + r.r2 + between_pins(r)) / 2.0


def _in_hole(d: LeverDrive) -> Hole:
    """The in pin's hole, the rocker laid with its out pin along +x."""
    r = d.rocker
    away = -1.0 if r.source.reverses else 1.0
    x, y = away * r.r1 * np.cos(r.beta), -away * r.side * r.r1 * np.sin(r.beta)
    return pinned.plate_hole(d.sheets, d.drawbar, x, y)


def _rocker_pieces(shelf: Shelf, d: LeverDrive, motion: Motion) -> tuple[Piece, ...]:
    s, r, theta = d.sheets, d.rocker, motion.theta
    px, py = r.x_p, d.drive.y_ratio
    at_in, at_out = r.in_pin(theta), r.out_pin(theta)
    x_in, y_in = at_in.x, py + at_in.y
    x_out, y_out = at_out.x, py + at_out.y
    zero, radius = np.zeros_like(d.w), d.w / 2.0
    pivot = Hole(
        zero, zero, d.pivot.in_mid, pinned.fit_word(np.zeros_like(s.doubled), d.pivot.bush)
    )
    holes = (pivot, pinned.plate_hole(s, d.drawbar, r.r2, zero), _in_hole(d))
    plate = pinned.cut(
        shelf, "rocker plate", "rocker", "plate", "turning", "first", "rocker",
        ("frame", "exit link"), Stadium(px, py, x_out, y_out, radius), s.half_plate, s.n_plate,
        s.plate, holes, _flat_length(d),
    )  # fmt: skip
    plate = replace(plate, filled=not r.source.reverses)
    arm = pinned.other_arm(plate, Stadium(px, py, x_in, y_in, radius))
    return (
        plate,
        arm,
        *_pivot_pieces(shelf, d),
        *pinned.joint_pin(shelf, s, d.drawbar, "rocker in pin", "first", "rocker", (), x_in, y_in),
        *pinned.joint_pin(
            shelf, s, d.drawbar, "rocker out pin", "first", "rocker", ("exit link",), x_out, y_out
        ),
        _exit_piece(shelf, d, motion, x_out, y_out),
    )  # fmt: skip


def _exit_piece(shelf: Shelf, d: LeverDrive, motion: Motion, x: Floats, y: Floats) -> Piece:
    """The exit link, from the out pin (x, y) to the lever or, with one carrier, to its bar or fork."""
    s, m, r = d.sheets, motion.first, d.links.w_exit / 2.0
    y2 = d.drive.y_first - motion.Y
    if d.lever is not None and m is not None:
        holes = (
            pinned.link_hole(s, d.drawbar, 0.0 * r),
            pinned.link_hole(s, d.lever.centre, d.drive.L_exit),
        )
        return pinned.link_piece(
            shelf, s, "exit link", ("rocker", "first lever"), "first", Stadium(x, y, m.x, y2, r),
            d.drive.L_exit, holes,
        )  # fmt: skip
    return _last_link(shelf, d, "exit link", ("rocker",), 0, d.drawbar, d.drive.L_exit,
                      (x, y, motion.carrier_x[0], y2))  # fmt: skip


def _last_link(
    shelf: Shelf,
    d: LeverDrive,
    name: str,
    joined: tuple[str, ...],
    k: int,
    start: PinSize,
    L: Floats,
    ends: tuple[Floats, Floats, Floats, Floats],
) -> Piece:
    """A link to carrier k's centre: to a bar's or a finger's pin, or to the pin of a wheel's fork."""
    s, q, (x, y, x2, y2) = d.sheets, d.links, ends
    body, carrier = d.drive.carriers[k].body, f"carrier {pinned.side_of(k)}"
    hole, bush = q.hole, q.bush
    if body is None:
        hole, bush = start.in_link, start.bush
    elif not isinstance(body, Bar):
        x2, y2 = wheel_parts.toward(x2, y2, x, y, q.fork)
        L, carrier = L - q.fork, f"{carrier} fork"
    if body is not None:
        joined = (*joined, carrier)
    far = Hole(L, 0.0 * L, hole, pinned.fit_word(~s.doubled, bush))
    return pinned.link_piece(
        shelf, s, name, joined, "first", Stadium(x, y, x2, y2, q.w_carrier / 2.0), L,
        (pinned.link_hole(s, start, 0.0 * L), far),
    )  # fmt: skip


def _pivot_pieces(shelf: Shelf, d: LeverDrive) -> tuple[Piece, ...]:
    """Two round cheeks as wide as the rocker, the pivot, and a spacer between doubled plates."""
    s, p = d.sheets, d.pivot
    px, py = d.rocker.x_p, d.drive.y_ratio
    zero, one = np.zeros_like(d.w), np.ones_like(d.w)
    half = s.half_plate + s.gap + s.t_plate
    cheeks = pinned.cut(
        shelf, "frame cheeks", "rocker cheek", "bracket", "fixed", "first", "frame", ("rocker",),
        disc(px, py, d.w / 2.0), half, 2.0 * one, s.plate, (Hole(zero, zero, p.d, "press"),), zero,
    )  # fmt: skip
    pin = make.pin_set(
        shelf, "rocker pivot pin", "rocker pivot pin", "first", "frame", ("rocker",), px, py,
        s.z - half, s.z + half, shelf.pins, p.index,
        bushes=s.n_plate * p.bush, bush_length=s.t_plate, washers=2.0,
    )  # fmt: skip
    length = s.t_link + 2.0 * s.gap
    ring_area = np.pi / 4.0 * 3.0 * p.d * p.d  # outside twice the bore
    spacer = Piece(
        "rocker pivot spacer", "spacer between the rocker's plates", "spacer", "turning", "first",
        "rocker", ("frame",), disc(px, py, p.d), s.z - length / 2.0, s.z + length / 2.0,
        np.where(s.doubled, one, zero), ring_area * length * take(shelf.pins.density, p.index),
        shelf.brief.shop.minutes["bush"] * one, zero, (p.index, length),
        stock="pins", stock_index=p.index,
    )  # fmt: skip
    return (cheeks, *pin, spacer)


def pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """See `linked_lever.pieces`."""
    d = read(shelf, drive)
    found = _rocker_pieces(shelf, d, motion)
    m, lever = motion.first, d.lever
    if lever is None or m is None:
        return found
    at = bar_parts.place(m, drive.y_first)
    names = ("carrier link a", "carrier link b")
    found += bar_parts.bar_pieces(shelf, lever, at, "first", ("exit link",), names)
    for k, (x, y) in enumerate(((at.ax, at.ay), (at.bx, at.by))):
        c = drive.carriers[k]
        ends = (x, y, motion.carrier_x[k], c.y - motion.carrier_y[k])
        found += (_last_link(shelf, d, names[k], ("first lever",), k, lever.end, c.L_in, ends),)
    return found
