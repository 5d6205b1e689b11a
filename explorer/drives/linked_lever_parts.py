"""Loads of the rocker, the first lever and their links, and the sizes that their pieces share.

The rocker is a plate on three holes: pivot, out pin, in pin.  Reversing, it is bent at the pivot, where
its section carries the whole moment.  Straight, both arms lie on one side with the web between them
filled, and its section at the inner pin carries the outer force times its arm about that pin.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from explorer.drives import bar_parts, pinned, wheels
from explorer.drives.bar_parts import ThreePin
from explorer.drives.bodies import Bar
from explorer.drives.joints import Loads, PinJoint, Strut
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pinned import Drilled, PinSize, Sheets
from explorer.drives.pulls import Pulls
from explorer.drives.ratios import Rocker
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns
from explorer.mechanics import settle, shaft
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Links:
    """Widths of exit and carrier links, and the joint at a carrier: hole, bush there, fork (N,1), mm.

    Eyes are as wide as the largest hole of their link asks (`wheels.eye_width`); in a wheel's fork, as
    wide as the fork leaves room for.
    """

    w_exit: Floats
    w_carrier: Floats
    hole: Floats
    bush: Floats
    fork: Floats


def links_of(shelf: Shelf, cols: Columns, s: Sheets) -> Links:
    """From the columns of both stages: the last link of this one ends at the carriers' pins."""
    two = "lever_end_pin" in cols
    start = pinned.pin_size(shelf, cols, "lever_end_pin" if two else "drawbar_pin", s).in_link
    wheel = wheels.carrier_wheel(shelf, cols)
    if wheel is None:
        pin = pinned.pin_size(shelf, cols, "bar_centre_pin", s)
        hole, bush, fork = pin.in_link, pin.bush, np.zeros_like(start)
        w = wheels.eye_width(shelf, np.maximum(start, hole), s.t_link)
    else:
        hole, bush, fork, w = wheel.pin_hole, wheel.pin_bushed, wheel.length, wheel.end_w
    if not two:
        return Links(w, w, hole, bush, fork)
    ends = (pinned.pin_size(shelf, cols, q, s).in_link for q in ("drawbar_pin", "lever_centre_pin"))
    return Links(wheels.eye_width(shelf, np.maximum(*ends), s.t_link), w, hole, bush, fork)


@dataclass(frozen=True)
class LeverDrive:
    """The first stage of a linked-lever drive as its rooms need it."""

    drive: Drive
    rocker: Rocker
    sheets: Sheets
    pivot: PinSize
    drawbar: PinSize
    w: Floats  # of the rocker
    links: Links
    lever: ThreePin | None


def read(shelf: Shelf, drive: Drive) -> LeverDrive:
    """Sizes from the columns."""
    cols, rocker = drive.columns, drive.ratio
    assert isinstance(rocker, Rocker)  # noqa: S101 - the registry calls this room for rockers only
    s = pinned.sheets(shelf, cols)
    lever = None
    if isinstance(drive.first, Bar):
        centre = pinned.pin_size(shelf, cols, "lever_centre_pin", s)
        end = pinned.pin_size(shelf, cols, "lever_end_pin", s)
        lever = ThreePin(
            "first lever",
            "first lever",
            "nothing",
            drive.first,
            cols["lever_width_mm"],
            centre,
            end,
            s,
        )
    return LeverDrive(
        drive,
        rocker,
        s,
        pinned.pin_size(shelf, cols, "pivot_pin", s, s.plate),
        pinned.pin_size(shelf, cols, "drawbar_pin", s),
        cols["rocker_width_mm"],
        links_of(shelf, cols, s),
        lever,
    )


@dataclass(frozen=True)
class RockerForces:
    """What pulls at the rocker per position, N, with the pins from the pivot, mm (N,P)."""

    in_x: Floats
    in_y: Floats
    out_x: Floats
    out_y: Floats
    rx_in: Floats
    ry_in: Floats
    rx_out: Floats
    ry_out: Floats
    at_out: Floats  # along the exit link

    @cached_property
    def at_in(self) -> Floats:
        """Drawbar force, N."""
        return shaft.resultant(self.in_x, self.in_y)

    @cached_property
    def at_pivot(self) -> Floats:
        """Resultant on the pivot, N."""
        return shaft.resultant(self.in_x + self.out_x, self.in_y + self.out_y)


def rocker_forces(rocker: Rocker, motion: Motion, pulls: Pulls) -> RockerForces:
    """Both pulls as vectors: the exit link pulls toward the fingers, the input as the brief says."""
    theta, source = motion.theta, rocker.source
    lean = rocker.input_side * rocker.input_tan(theta)
    tan_out = settle.lean_tan(motion.exit_sine[0])
    at_in, at_out = rocker.in_pin(theta), rocker.out_pin(theta)
    return RockerForces(
        pulls.F_in * (-lean if source.strut else lean),
        pulls.F_in * source.sign,
        pulls.F_out * tan_out,
        pulls.F_out,
        at_in.x - rocker.x_p,
        at_in.y,
        at_out.x - rocker.x_p,
        at_out.y,
        pulls.F_out / settle.lean_cos(motion.exit_sine[0]),
    )


def rocker_moment(rocker: Rocker, f: RockerForces) -> Floats:
    """Bending moment at the governing hole (N,P), N*mm: the pivot's when reversing, else the inner pin's."""
    if rocker.source.reverses:
        at_in = f.rx_in * f.in_y - f.ry_in * f.in_x
        at_out = f.rx_out * f.out_y - f.ry_out * f.out_x
        return np.maximum(np.abs(at_in), np.abs(at_out))
    dx, dy = f.rx_in - f.rx_out, f.ry_in - f.ry_out
    input_outside = rocker.r1 >= rocker.r2
    by_in, by_out = dx * f.in_y - dy * f.in_x, dx * f.out_y - dy * f.out_x
    return np.abs(np.where(input_outside, by_in, by_out))


def _pivot_joint(d: LeverDrive, load: Floats, swing: Floats) -> PinJoint:
    """Cheeks are the fork; the rocker's plates, together twice one plate's width of bearing, the middle.

    For two plates apart t_mid = 2 t gives each plate's half load at its own middle, beside its cheek.
    """
    s, p = d.sheets, d.pivot
    t = s.n_plate * s.t_plate
    return PinJoint(
        "rocker pivot pin", "rocker pivot pin", "nothing", load, swing, p.d, s.t_plate,
        s.gap + 0.0 * p.d, t, p.sy, s.sy_plate, s.sy_plate, p.in_mid, p.d, p.wear_k, t, p.metal,
    )  # fmt: skip


def _rocker_loads(d: LeverDrive, motion: Motion, f: RockerForces) -> Loads:
    s, r = d.sheets, d.rocker
    theta = motion.theta
    # anticlockwise turn of the rocker, and of both drawbars
    turn = -r.side * theta
    lean_in = np.arctan(r.input_side * r.input_tan(theta))
    turn_in = lean_in if r.source.strut or not r.source.reverses else -lean_in
    swing_out = pinned.turned(turn + pinned.lean_angle(motion.exit_sine[0]))
    pins = (
        _pivot_joint(d, f.at_pivot, pinned.turned(theta)),
        pinned.joint(
            s, d.drawbar, "rocker in pin", "rocker in pin", "nothing", f.at_in,
            pinned.turned(turn - turn_in),
        ),
        pinned.joint(
            s, d.drawbar, "rocker out pin", "rocker out pin", "nothing", f.at_out, swing_out
        ),
    )  # fmt: skip
    rows = (
        ("pivot", f.at_pivot, d.pivot.in_mid),
        ("in", f.at_in, d.drawbar.in_plate),
        ("out", f.at_out, d.drawbar.in_plate),
    )
    eyes = tuple(
        pinned.plate_eye(s, f"rocker {name} eye", "rocker", "nothing", load, d.w, hole)
        for name, load, hole in rows
    )
    cheeks = pinned.eye(
        "frame cheeks eye", "rocker cheeks", "nothing", f.at_pivot, d.w, d.pivot.d,
        2.0 * s.t_plate, s.sy_plate, s.plate,
    )  # fmt: skip
    hole = d.pivot.in_mid if r.source.reverses else d.drawbar.in_plate
    bending = pinned.flexure(
        s, "rocker bending", "rocker", "nothing", rocker_moment(r, f), d.w, hole
    )
    return Loads(pins=pins, eyes=(*eyes, cheeks), flexures=(bending,))


def _strut(shelf: Shelf, d: LeverDrive, f: RockerForces) -> Loads:
    """The pushed input rod, of the links' metal (assumed)."""
    if not d.rocker.source.strut:
        return Loads()
    wrist, one = shelf.brief.wrist, np.ones_like(d.w)
    return Loads(struts=(
        Strut(
            "input strut", "input rod", "nothing", f.at_in, wrist.input_length * one,
            wrist.input_strut_diameter * one, take(shelf.plates.modulus, d.sheets.link),
            d.sheets.sy_link,
        ),
    ))  # fmt: skip


def carrier_pulls(motion: Motion, pulls: Pulls) -> tuple[Floats, Floats]:
    """Pull of each carrier link, high side, N: of F_out, not of what a lock at a carrier adds."""
    m = motion.first
    assert m is not None  # noqa: S101 - asked only where there is a lever
    return pulls.F_out * (m.share_a + m.skew), pulls.F_out * (m.share_b + m.skew)


def loads(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
    """See `linked_lever.loads`."""
    d = read(shelf, drive)
    s = d.sheets
    f = rocker_forces(d.rocker, motion, pulls)
    found = _rocker_loads(d, motion, f) + _strut(shelf, d, f)
    m, lever = motion.first, d.lever
    if lever is None or m is None:  # its far eye is the carrier's `hold`
        holes: tuple[Floats, ...] = (d.drawbar.in_link,)
        return found + Loads(
            eyes=pinned.link_eyes(
                s, "exit link", "exit link", "nothing", f.at_out, d.links.w_exit, holes
            )
        )
    holes = (d.drawbar.in_link, lever.centre.in_link)
    eyes = pinned.link_eyes(s, "exit link", "exit link", "nothing", f.at_out, d.links.w_exit, holes)
    both = carrier_pulls(motion, pulls)
    for k, cos in enumerate((m.leans.cos_a, m.leans.cos_b)):
        alone = drive.carriers[k].body is None
        ends = (lever.end.in_link,) * (2 if alone else 1)
        side = pinned.side_of(k)
        eyes += pinned.link_eyes(
            s, f"carrier link {side}", f"carrier link {side}", pinned.leaves_of(drive, k),
            both[k] / cos, d.links.w_carrier, ends,
        )  # fmt: skip
    return found + Loads(eyes=eyes) + bar_parts.bar_loads(lever, m, pulls.F_out, both, None)


def rocker_length(d: LeverDrive) -> Floats:
    """Length between the outer pins, mm (N,1)."""
    r = d.rocker
    return r.r1 + r.r2 if r.source.reverses else np.maximum(r.r1, r.r2)


def between_pins(r: Rocker) -> Floats:
    """In pin to out pin of a straight rocker, mm (N,1)."""
    side = r.r1 * r.r1 + r.r2 * r.r2 - 2.0 * r.r1 * r.r2 * np.cos(r.beta)
    return np.sqrt(np.maximum(side, 0.0))


def rocker_drilled(shelf: Shelf, d: LeverDrive) -> list[Drilled]:
    """Shop limits of rocker and cheeks."""
    r, pivot, pin = d.rocker, d.pivot.in_mid, d.drawbar.in_plate
    between = (pivot + pin) / 2.0
    spacings = [r.r1 - between, r.r2 - between]
    if not r.source.reverses:
        spacings.append(between_pins(r) - pin)
    t = d.sheets.t_plate
    return [
        pinned.drilled(shelf, d.w, t, (pivot, pin), tuple(spacings)),
        pinned.drilled(shelf, d.w, t, (d.pivot.d,), ()),
    ]
