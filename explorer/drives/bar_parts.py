"""A plate on three pins, its loads, pieces and limits: the bar of a second stage or the first lever.

Outline: two stadiums that meet at the centre pin (the pins stand in a line only where the offset is 0).
Bending by the law of the lever at the centre pin's section; eyes at all three holes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import pinned
from explorer.drives.bodies import Bar
from explorer.drives.joints import Attachment, Leaves, Loads
from explorer.drives.motion import StageMotion
from explorer.drives.pieces import Limit, Piece, Stage
from explorer.drives.pinned import Drilled, PinSize, Sheets
from explorer.drives.shelf import Shelf
from explorer.mechanics import sections
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Floats

TILT_ROOM = 2.0  # deg kept off the stop


@dataclass(frozen=True)
class ThreePin:
    """A lever or bar: `name` its body and the prefix of its keys, `words` for the reader, w (N,1)."""

    name: str
    words: str
    leaves: Leaves
    body: Bar
    w: Floats
    centre: PinSize
    end: PinSize
    sheets: Sheets

    @property
    def span(self) -> Floats:
        """Length between the end pins along the bar, mm."""
        return self.body.l_a + self.body.l_b

    @property
    def reach_a(self) -> Floats:
        """Centre pin to end a, mm."""
        return np.sqrt(self.body.l_a * self.body.l_a + self.body.e * self.body.e)

    @property
    def reach_b(self) -> Floats:
        """Centre pin to end b, mm."""
        return np.sqrt(self.body.l_b * self.body.l_b + self.body.e * self.body.e)

    @property
    def turn(self) -> Floats:
        """How far the plate is bent at its centre pin, rad."""
        return np.arctan(self.body.e / self.body.l_a) + np.arctan(self.body.e / self.body.l_b)


@dataclass(frozen=True)
class Place:
    """Where a lever's three pins are, mm (N,P)."""

    x: Floats
    y: Floats
    ax: Floats
    ay: Floats
    bx: Floats
    by: Floats


def place(m: StageMotion, y_rest: Floats) -> Place:
    """The pins in every position; `y_rest` the centre's y at rest (N,1)."""
    x, y = m.x, y_rest - m.y
    e = m.ends
    return Place(x, y, x + e.xa, y + e.ya, x + e.xb, y + e.yb)


def bar_loads(
    t: ThreePin, m: StageMotion, pull: Floats, pulls: tuple[Floats, Floats], hold: Attachment | None
) -> Loads:
    """Three joints, three eyes and the centre section; `pull`, `pulls` along y, high sides (N,P).

    The wrist-side member's eye at the centre pin is checked here when it is another stage's (`hold`).
    """
    s, leans, phi = t.sheets, m.leans, m.tilt
    forces = (pull / leans.cos_in, pulls[0] / leans.cos_a, pulls[1] / leans.cos_b)
    # leans toward +x turn a link clockwise, a tilt > 0 turns the bar anticlockwise
    swings = (
        pinned.turned(phi + pinned.lean_angle(m.sine_in)),
        pinned.turned(phi - pinned.lean_angle(m.sine_a)),
        pinned.turned(phi + pinned.lean_angle(m.sine_b)),
    )
    pins = (t.centre, t.end, t.end)
    holds = (hold, None, None)
    names = ("centre", "end a", "end b")
    rows = list(zip(names, pins, forces, swings, holds, strict=True))
    joints = tuple(
        pinned.joint(s, p, f"{t.name} {n} pin", f"{t.words} {n} pin", t.leaves, f, q, h)
        for n, p, f, q, h in rows
    )
    eyes = tuple(
        pinned.plate_eye(s, f"{t.name} {n} eye", t.words, t.leaves, f, t.w, p.in_plate)
        for n, p, f, _, _ in rows
    )
    if hold is not None:
        held = pinned.eye(
            f"{t.name} holding eye", hold.name, t.leaves, forces[0], hold.w, t.centre.in_link,
            s.n_link * hold.t, hold.sy, hold.metal,
        )  # fmt: skip
        eyes = (*eyes, held)
    arms = m.brackets
    assert arms is not None  # noqa: S101 - a bar has arms
    moment = np.maximum(
        np.abs(pulls[0] * arms.a),
        np.abs(pulls[1] * arms.b),
    )
    bending = pinned.flexure(
        s, f"{t.name} bending", t.words, t.leaves, moment, t.w, t.centre.in_plate
    )
    return Loads(pins=joints, eyes=eyes, flexures=(bending,))


def bar_pieces(
    shelf: Shelf,
    t: ThreePin,
    at: Place,
    stage: Stage,
    wrist: tuple[str, ...],
    ends: tuple[str, str],
) -> tuple[Piece, ...]:
    """Plate(s), both arms' outlines and three pins; `wrist`, `ends` the bodies at its pins."""
    s, body = t.sheets, t.body
    zero = np.zeros_like(t.w)
    holes = (
        pinned.plate_hole(s, t.centre, zero, zero),
        pinned.plate_hole(s, t.end, t.reach_a, zero),
        # end b in the frame whose x runs from the centre pin to end a
        pinned.plate_hole(
            s,
            t.end,
            (body.e * body.e - body.l_a * body.l_b) / t.reach_a,
            -body.e * t.span / t.reach_a,
        ),
    )
    r = t.w / 2.0
    plate = pinned.cut(
        shelf, f"{t.name} plate", t.words, "plate", "settling", stage, t.name, (*wrist, *ends),
        Stadium(at.x, at.y, at.ax, at.ay, r), s.half_plate, s.n_plate, s.plate, holes,
        pinned.bent_length(t.reach_a + t.reach_b, r, t.turn),
    )  # fmt: skip
    arm = pinned.other_arm(plate, Stadium(at.x, at.y, at.bx, at.by, r))
    pins = (
        *pinned.joint_pin(
            shelf, s, t.centre, f"{t.name} centre pin", stage, t.name, wrist, at.x, at.y
        ),
        *pinned.joint_pin(
            shelf, s, t.end, f"{t.name} end a pin", stage, t.name, ends[:1], at.ax, at.ay
        ),
        *pinned.joint_pin(
            shelf, s, t.end, f"{t.name} end b pin", stage, t.name, ends[1:], at.bx, at.by
        ),
    )
    return (plate, arm, *pins)


def tilt_limit(shelf: Shelf, m: StageMotion) -> Limit:
    """Degrees left to the largest tilt, two kept off the stop."""
    most = np.degrees(shelf.brief.limits.tilt) - TILT_ROOM
    slack = most - np.degrees(np.abs(m.tilt)) - np.degrees(m.tilt_over)
    return Limit("tilt", pinned.worst(shelf, slack), 2.0)


def bar_drilled(shelf: Shelf, t: ThreePin) -> Drilled:
    """Shop limits of the plate."""
    holes = (t.centre.in_plate, t.end.in_plate)
    between = (holes[0] + holes[1]) / 2.0
    spacings = (t.reach_a - between, t.reach_b - between)
    return pinned.drilled(shelf, t.w, t.sheets.t_plate, holes, spacings)


def link_drilled(
    shelf: Shelf, s: Sheets, w: Floats, length: Floats, holes: tuple[Floats, Floats]
) -> Drilled:
    """Shop limits of a link."""
    return pinned.drilled(shelf, w, s.t_link, holes, (length - (holes[0] + holes[1]) / 2.0,))


def shop_limits(plates: tuple[Drilled, ...]) -> tuple[Limit, ...]:
    """Worst web, edge and hole of several plates."""
    return (
        Limit("web", pinned.least(*(p.web for p in plates)), 1.0),
        Limit("edge", pinned.least(*(p.edge for p in plates)), 1.0),
        Limit("hole", pinned.least(*(p.hole for p in plates)), 1.0),
    )


def thin_limit(s: Sheets, *lengths: Floats) -> Limit:
    """Thickness left over length/25."""
    t = s.n_plate * s.t_plate
    slacks = tuple(t - length / sections.LARGEST_LENGTH_TO_THICKNESS for length in lengths)
    return Limit("thin", pinned.least(*slacks), 1.0)
