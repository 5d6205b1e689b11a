"""First stage `linked_lever`: a rocker pulls, by one link, a lever on three pins that holds both carriers.

With a single carrier (two fingers) the exit link pulls it directly and there is no lever.  Links are as
wide as their holes ask.  Where a carrier is a wheel, its fork continues the link in line: `carrier_link_mm`
(or `exit_link_mm`) is the link alone, `L_in` (or `L_exit`) the way to the wheel's axle.
"""

from __future__ import annotations

import numpy as np

from explorer.drives import (
    bar_parts,
    linked_lever_parts,
    linked_lever_pieces,
    pinned,
    wheels,
    windows,
)
from explorer.drives.bodies import Bar
from explorer.drives.family import FirstBuilt
from explorer.drives.joints import Attachment, Loads, Play
from explorer.drives.layout import Drive, carrier_lengths
from explorer.drives.linked_lever_parts import LeverDrive, read
from explorer.drives.motion import Drawn, Motion
from explorer.drives.pieces import Limit, Pair, Piece
from explorer.drives.pinned import Drilled
from explorer.drives.pulls import Pulls
from explorer.drives.ratios import Input, Rocker
from explorer.drives.shelf import Shelf
from explorer.drives.variables import Columns, Variable, choice, real
from explorer.mechanics.types import Floats

SHORT_INPUT = 60.0  # mm; a longer input drawbar's lean is left out
SIDES = ("index side", "little side")


def variables(shelf: Shelf, carriers: int) -> tuple[Variable, ...]:
    """Rocker, exit link and their pins; with two carriers the lever and its links."""
    pins = shelf.pins.names
    rocker = (
        real("input_arm_mm", "rocker arm, pivot to input drawbar", 10.0, 40.0),
        real("output_arm_mm", "rocker arm, pivot to exit link", 8.0, 40.0),
        real("rest_angle_deg", "output arm at rest from square to the pull", -50.0, 0.0),
        real("dogleg_deg", "input arm bent against the output arm", -25.0, 25.0),
        real("pivot_x_mm", "rocker pivot from mid-width toward the little finger", -30.0, 30.0),
        choice("output_side", "side of the pivot where the exit link leaves", SIDES),
        real("rocker_width_mm", "width of the rocker", 5.0, 18.0),
        real("exit_link_mm", "link from the rocker, pin to pin", 12.0, 40.0),
        choice("pivot_pin", "pin that the rocker turns on", pins, "pins"),
        choice("drawbar_pin", "in and out pins of the rocker", pins, "pins"),
    )
    if carriers == 1:
        return rocker
    return (
        *rocker,
        real("lever_arm_a_mm", "first lever arm on the index side", 6.0, 30.0),
        real("lever_arm_b_mm", "first lever arm on the little side", 6.0, 30.0),
        real("lever_offset_mm", "lever centre pin ahead of the end pins, wrist side", -3.0, 6.0),
        real("lever_width_mm", "width of the first lever", 5.0, 15.0),
        real("carrier_link_mm", "shorter carrier link, pin to pin", 12.0, 40.0),
        choice("lever_centre_pin", "pin at the middle of the first lever", pins, "pins"),
        choice("lever_end_pin", "pins at the ends of the first lever", pins, "pins"),
    )


def _rocker(shelf: Shelf, cols: Columns) -> Rocker:
    wrist = shelf.brief.wrist
    s = pinned.sheets(shelf, cols)
    pivot = pinned.pin_size(shelf, cols, "pivot_pin", s)
    drawbar = pinned.pin_size(shelf, cols, "drawbar_pin", s)
    source = Input(
        wrist.reverses,
        wrist.reverses and wrist.input_strut == "strut",
        wrist.input_far_x,
        wrist.input_length,
        wrist.input_length < SHORT_INPUT,
    )
    return Rocker(
        cols["input_arm_mm"],
        cols["output_arm_mm"],
        cols["rest_angle_deg"],
        cols["dogleg_deg"],
        cols["pivot_x_mm"],
        2.0 * cols["output_side"] - 1.0,
        drawbar.d,
        drawbar.d,
        pivot.d,
        np.maximum(pivot.mu, drawbar.mu),
        source,
    )


def _lever(shelf: Shelf, cols: Columns) -> Bar:
    s = pinned.sheets(shelf, cols)
    centre = pinned.pin_size(shelf, cols, "lever_centre_pin", s)
    end = pinned.pin_size(shelf, cols, "lever_end_pin", s)
    return Bar(
        cols["lever_arm_a_mm"],
        cols["lever_arm_b_mm"],
        cols["lever_offset_mm"],
        centre.d,
        end.d,
        np.maximum(centre.mu, end.mu),
    )


def build(shelf: Shelf, cols: Columns, y: tuple[Floats, ...]) -> FirstBuilt:
    """Lever level behind the carrier nearest the wrist, exit link, then the pivot by the rest angle."""
    ratio = _rocker(shelf, cols)
    fork, L_exit = wheels.carrier_fork(shelf, cols), cols["exit_link_mm"]
    drop = ratio.r2 * np.sin(ratio.theta_s)
    if len(y) == 1:
        L_exit = L_exit + fork
        return FirstBuilt(ratio, None, (L_exit,), L_exit, y[0], y[0] - L_exit + drop)
    first, reach = _lever(shelf, cols), cols["carrier_link_mm"] + fork
    L_in = carrier_lengths(y, reach)
    y_first = np.minimum(y[0], y[1]) - reach - first.e
    return FirstBuilt(ratio, first, L_in, L_exit, y_first, y_first - L_exit + drop)


def attachment(shelf: Shelf, cols: Columns) -> Attachment:
    """The end of a carrier link, or of the exit link of a hand with one carrier."""
    s = pinned.sheets(shelf, cols)
    w = linked_lever_parts.links_of(shelf, cols, s).w_carrier
    name = "carrier link" if "lever_end_pin" in cols else "exit link"
    return Attachment(name, s.t_link, s.sy_link, w, w / 2.0, s.link)


def loads(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
    """Rocker, exit link, first lever, carrier links and, if the input pushes, its strut."""
    return linked_lever_parts.loads(shelf, drive, motion, pulls)


def pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """Cheeks, rocker, exit link, lever, carrier links and their pins."""
    return linked_lever_pieces.pieces(shelf, drive, motion)


def pairs(drive: Drive) -> tuple[Pair, ...]:
    """Rocker against lever, links and carriers; lever against carriers (cheeks hide behind the rocker)."""
    arms, levers = (
        ("rocker plate", "rocker plate arm"),
        ("first lever plate", "first lever plate arm"),
    )
    found = [("frame cheeks", "exit link plate")]
    if drive.first is None:
        found += [(arm, piece) for arm in arms for piece in _parts(drive, 0)]
    else:
        found += [(arm, lever) for arm in arms for lever in levers]
        for k, lever in enumerate(levers):
            parts = _parts(drive, k)
            near = parts if isinstance(drive.carriers[k].body, Bar) else parts[:1]
            found += [(arms[1], f"carrier link {pinned.side_of(k)} plate")]
            found += [(arms[1], piece) for piece in parts]
            found += [(lever, piece) for piece in near]
    return tuple(Pair(a, b) for a, b in found)


def _parts(drive: Drive, k: int) -> tuple[str, ...]:
    """Keys of carrier k's wide pieces; none for a finger alone."""
    body, name = drive.carriers[k].body, f"carrier {pinned.side_of(k)}"
    if body is None:
        return ()
    if isinstance(body, Bar):
        return (f"{name} plate", f"{name} plate arm")
    return (f"{name} wheel", f"{name} fork")


def limits(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Limit, ...]:
    """Transmission, tilt, thin plates and what the shop can make."""
    d = read(shelf, drive)
    plates = [*linked_lever_parts.rocker_drilled(shelf, d), *_links_drilled(shelf, d)]
    found = [_transmission(shelf, d, motion)]
    lengths = [linked_lever_parts.rocker_length(d)]
    if d.lever is not None and motion.first is not None:
        plates.append(bar_parts.bar_drilled(shelf, d.lever))
        found.append(bar_parts.tilt_limit(shelf, motion.first))
        lengths.append(d.lever.span)
    return (
        *found, *bar_parts.shop_limits(tuple(plates)), bar_parts.thin_limit(d.sheets, *lengths)
    )  # fmt: skip


def trimmed(shelf: Shelf, cols: Columns) -> dict[str, Floats]:
    """Rocker and first lever wide enough for their holes and edges (N,1)."""
    s = pinned.sheets(shelf, cols)
    pivot = pinned.pin_size(shelf, cols, "pivot_pin", s)
    drawbar = pinned.pin_size(shelf, cols, "drawbar_pin", s)
    low = windows.least_width(shelf, s.t_plate, pivot.in_mid, pivot.d, drawbar.in_plate)
    out = {"rocker_width_mm": windows.no_less(cols["rocker_width_mm"], low)}
    if "lever_width_mm" in cols:
        out |= windows.wide_enough(
            shelf, cols, s, "lever_width_mm", "lever_centre_pin", "lever_end_pin"
        )
    return out


def strung(
    _shelf: Shelf,
    _drive: Drive,
    _up: tuple[Drawn, ...],
) -> dict[str, Floats]:
    """It has no strands."""
    return {}


def _transmission(shelf: Shelf, d: LeverDrive, motion: Motion) -> Limit:
    """Degrees left to the largest angle of either arm from square to its pull."""
    theta = motion.theta
    angle = np.maximum(np.abs(theta), np.abs(theta + d.rocker.beta))
    most = np.degrees(shelf.brief.limits.transmission)
    slack = most - np.degrees(angle) - np.degrees(motion.turn_over)
    return Limit("transmission", pinned.worst(shelf, slack), 10.0)


def _links_drilled(shelf: Shelf, d: LeverDrive) -> list[Drilled]:
    """Shop limits of the exit link and the carrier links."""
    drive, s, q = d.drive, d.sheets, d.links
    if d.lever is None:
        holes = (d.drawbar.in_link, q.hole)
        return [bar_parts.link_drilled(shelf, s, q.w_exit, drive.L_exit - q.fork, holes)]
    holes = (d.drawbar.in_link, d.lever.centre.in_link)
    found = [bar_parts.link_drilled(shelf, s, q.w_exit, drive.L_exit, holes)]
    for c in drive.carriers:
        start = d.lever.end.in_link
        far, L = (start, c.L_in) if c.body is None else (q.hole, c.L_in - q.fork)
        found.append(bar_parts.link_drilled(shelf, s, q.w_carrier, L, (start, far)))
    return found


def play(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Play, ...]:
    """Mean clearance of every joint as seen at the input, on the arms of the first position.

    A shift c of the pivot moves the input by c (a1 + a2)/a2 when the output is held and the rocker
    reverses, by c |a1 - a2|/a2 otherwise.
    """
    d = read(shelf, drive)
    a1, a2 = motion.a1_0[:, :1], motion.a2_0[:, :1]
    up = a1 / a2
    by_pivot = up + 1.0 if drive.ratio.source.reverses else np.abs(up - 1.0)
    found = [
        Play("rocker pivot pin", d.pivot.play * by_pivot),
        Play("rocker in pin", d.drawbar.play),
        Play("rocker out pin", d.drawbar.play * up),
    ]
    if d.lever is not None and motion.first is not None:
        m = motion.first
        found += [
            Play("first lever centre pin", d.lever.centre.play * up),
            Play("first lever end a pin", d.lever.end.play * m.share_a[:, :1] * up),
            Play("first lever end b pin", d.lever.end.play * m.share_b[:, :1] * up),
        ]
    return tuple(found)
