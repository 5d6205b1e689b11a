"""Sizes of a chain winder: two tracks stacked along z on one shaft, in bushes in two bracket cheeks.

The output track lies in the plane of the drawbars, the input track on the side of it where the cavity
has more room.  The shaft turns with the tracks in the cheeks; the first bush is the one beside the
output track.  A track is as wide as its chain with a side gap on both faces; the tracks meet face to
face.  Tracks and one-piece winders are of the metal of the plates (assumed).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import wheels
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import once_a_batch
from explorer.drives.wheels import Columns, Keys
from explorer.mechanics import chain as ch
from explorer.mechanics.types import Floats

FIRST = Keys(
    "first_wheel_teeth",
    "output_chain",
    "carrier_strand_links",
    "first_axle",
    "fork_pin",
    "end_width_mm",
)
STANDING_LINKS = (
    2.0  # stay wound so that the anchor is out of the strand (common practice, no source)
)
SEAT = (
    1.5  # depth of a drive pin's seat in each track over its diameter (common practice, no source)
)


@dataclass(frozen=True)
class Track:
    """One track, (N,1) each.

    `low`, `a`, `high` least, mean and largest arm; `outer` radius with the chain on, `body` of the metal,
    `root` inside the chain; `W` width with side gaps.
    """

    chain: Floats
    p: Floats
    h: Floats
    teeth: Floats
    low: Floats
    a: Floats
    high: Floats
    outer: Floats
    body: Floats
    root: Floats
    tangency: Floats
    W: Floats


@dataclass(frozen=True)
class Winder:
    """The stack; `at_*` places along the shaft from the first bush, `span` between the bushes (N,1)."""

    into: Track
    out: Track
    d_shaft: Floats
    bushed: Floats
    hole: Floats  # in the cheeks
    t: Floats  # one cheek
    cheek_w: Floats
    at_out: Floats
    at_in: Floats
    span: Floats
    up: float  # +1: the input track lies toward the back of the hand
    one_piece: Floats
    n_pins: Floats
    d_pin: Floats
    r_pin: Floats

    @property
    def seats(self) -> tuple[Floats, Floats]:
        """Depth of a drive pin in the input and in the output track (N,1)."""
        return np.minimum(self.into.W, SEAT * self.d_pin), np.minimum(self.out.W, SEAT * self.d_pin)

    @property
    def reach(self) -> Floats:
        """Larger outer radius of both tracks, to which the cheeks' feet reach (N,1)."""
        return np.maximum(self.into.outer, self.out.outer)

    @property
    def root(self) -> Floats:
        """Smaller root radius of both tracks (N,1)."""
        return np.minimum(self.into.root, self.out.root)


def track(shelf: Shelf, cols: Columns, which: str) -> Track:
    """The input or output track: toothed, or a plain drum with the links lying as chords."""
    chain = cols[f"{which}_chain"]
    teeth, core, plain = cols[f"{which}_teeth"], cols[f"{which}_core_mm"], cols["tracks"] > 0.0
    p, h = take(shelf.chains.pitch, chain), take(shelf.chains.height, chain)
    high = np.where(plain, ch.arm_max_plain(core, h, p), ch.arm_max_toothed(p, teeth))
    rim = np.where(plain, core, ch.tip_radius(p, teeth))
    return Track(
        chain,
        p,
        h,
        teeth,
        np.where(plain, ch.plain_arm_min(core, h), ch.arm_min_toothed(p, teeth)),
        np.where(plain, ch.mean_arm_plain(core, h, p), ch.mean_arm_toothed(p, teeth)),
        high,
        np.maximum(rim, high + h / 2.0),
        rim,
        np.where(plain, core, wheels.root_radius(p, h, teeth)),
        np.where(plain, 0.0, wheels.tangency(p, teeth)),
        wheels.room_across(shelf, chain),
    )


@once_a_batch
def winder(shelf: Shelf, cols: Columns) -> Winder:
    """The stack of one batch."""
    into, out = track(shelf, cols, "input"), track(shelf, cols, "output")
    t, gap = take(shelf.plates.t, cols["plate"]), shelf.brief.shop.gap
    d = take(shelf.shafts.d, cols["shaft"])
    bushed = wheels.is_bushed(cols, shelf.shafts, cols["shaft"])
    hole = np.where(bushed > 0.0, take(shelf.shafts.bush_od, cols["shaft"]), d)
    at_out = t / 2.0 + gap + out.W / 2.0
    box = shelf.brief.cavity.box
    return Winder(
        into,
        out,
        d,
        bushed,
        hole,
        t,
        wheels.eye_width(shelf, hole, t),
        at_out,
        at_out + out.W / 2.0 + into.W / 2.0,
        t + 2.0 * gap + out.W + into.W,
        1.0 if box.z1 - shelf.z >= shelf.z - box.z0 else -1.0,
        cols["one_piece"],
        cols["drive_pins"],
        take(shelf.pins.d, cols["drive_pin"]),
        cols["drive_pin_radius_mm"],
    )
