"""Flat plates and links on pins: what levers, bars and rockers share.

Doubled: two plates with one link between them; single: one plate between two links.  At every pin the
pair is the fork, in which the pin is fixed; the middle turns on it and carries the bush.  Sizes (N,1).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from explorer.drives import make
from explorer.drives.joints import Attachment, Eye, Flexure, Leaves, PinJoint
from explorer.drives.layout import Drive
from explorer.drives.pieces import Hole, Moves, Piece, Stage, What
from explorer.drives.shelf import Pins, Shelf, take
from explorer.drives.variables import Columns, once_a_batch
from explorer.mechanics import fits
from explorer.mechanics.guard import clip_sine
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Bools, Floats

RUNNING_HOLE = "F8"  # hole that runs on a pin of any usual fit; common practice, no source
ASSUMED_PLAY = 0.02  # mm, where the tables do not know the pin's fit; assumed
_EYE_GUARD = 1.001  # an eye narrower than its hole is a limit's affair; here it only stays finite
_FREE = 1e6  # slack where nothing counts


@dataclass(frozen=True)
class Sheets:
    """Plates and links of a drive (N,1); `half`: half height of a joint's stack, without pin ends."""

    plate: Floats
    link: Floats
    doubled: Bools
    t_plate: Floats
    t_link: Floats
    sy_plate: Floats
    sy_link: Floats
    n_plate: Floats
    n_link: Floats
    half: Floats
    gap: float
    z: float

    @property
    def half_plate(self) -> Floats:
        """Half height of a lever's plate or pair of plates, mm."""
        return np.where(self.doubled, self.half, self.t_plate / 2.0)

    @property
    def half_link(self) -> Floats:
        """Half height of a link or pair of links, mm."""
        return np.where(self.doubled, self.t_link / 2.0, self.half)

    @property
    def t_mid(self) -> Floats:
        """Thickness of what turns, mm."""
        return np.where(self.doubled, self.t_link, self.t_plate)

    @property
    def turning(self) -> Floats:
        """Sheet of what turns, by index."""
        return np.where(self.doubled, self.link, self.plate)


@once_a_batch
def sheets(shelf: Shelf, cols: Columns) -> Sheets:
    """Read the common columns."""
    plate, link, doubled = cols["plate"], cols["link_plate"], cols["doubled"] > 0.0
    t, t_link = take(shelf.plates.t, plate), take(shelf.plates.t, link)
    gap = shelf.brief.shop.gap
    one = np.ones_like(t)
    return Sheets(
        plate,
        link,
        doubled,
        t,
        t_link,
        take(shelf.plates.yield_, plate),
        take(shelf.plates.yield_, link),
        np.where(doubled, 2.0 * one, one),
        np.where(doubled, one, 2.0 * one),
        np.where(doubled, t_link / 2.0 + t, t / 2.0 + t_link) + gap,
        gap,
        shelf.z,
    )


@dataclass(frozen=True)
class PinSize:
    """A pin of the stock in its joint (N,1): diameter, holes, friction, wear, mean clearance."""

    index: Floats
    d: Floats
    sy: Floats
    bush: Floats  # 1 where the middle carries one
    in_mid: Floats
    in_plate: Floats
    in_link: Floats
    mu: Floats
    wear_k: Floats
    play: Floats
    metal: Floats


@once_a_batch
def pin_size(
    shelf: Shelf, cols: Columns, key: str, s: Sheets, turning: Floats | None = None
) -> PinSize:
    """The pin chosen in column `key`; `turning` the sheet of what turns on it, if not the joint's middle."""
    pins, index = shelf.pins, cols[key]
    d = take(pins.d, index)
    bush = take(pins.has_bush, index) * cols["bushed"]
    mid = make.hole_diameter(bush, pins, index)
    return PinSize(
        index,
        d,
        take(pins.yield_, index),
        bush,
        mid,
        np.where(s.doubled, d, mid),
        np.where(s.doubled, mid, d),
        make.joint_mu(shelf, bush),
        make.joint_wear(shelf, bush, s.turning if turning is None else turning),
        take(_plays(pins), index),
        shelf.endurance.pins + index,
    )


def _plays(pins: Pins) -> Floats:
    return np.array([_play(float(d), fit) for d, fit in zip(pins.d, pins.fits, strict=True)])


@lru_cache(maxsize=256)
def _play(d: float, fit: str) -> float:
    """Mean clearance of a pin in a running hole, mm; assumed where the tables do not reach."""
    try:
        return float(fits.mean_play(np.array(d), RUNNING_HOLE, fit))
    except ValueError:
        return ASSUMED_PLAY


def joint(
    s: Sheets,
    p: PinSize,
    key: str,
    part: str,
    leaves: Leaves,
    load: Floats,
    swing: Floats,
    hold: Attachment | None = None,
) -> PinJoint:
    """Plate and link (or another member's end, `hold`) on a pin; load along the link (N,P)."""
    t_link, sy_link = (s.t_link, s.sy_link) if hold is None else (hold.t, hold.sy)
    t_mid = np.where(s.doubled, t_link, s.t_plate)
    return PinJoint(
        key,
        part,
        leaves,
        load,
        swing,
        p.d,
        np.where(s.doubled, s.t_plate, t_link),
        s.gap + 0.0 * p.d,
        t_mid,
        p.sy,
        np.where(s.doubled, s.sy_plate, sy_link),
        np.where(s.doubled, sy_link, s.sy_plate),
        p.in_mid,
        p.d,
        p.wear_k,
        t_mid,
        p.metal,
    )


def eye(
    key: str, part: str, leaves: Leaves, load: Floats, w: Floats, d: Floats, t: Floats, sy: Floats,
    metal: Floats,
) -> Eye:  # fmt: skip
    """A round end: edge distance w/2; `t` of all plates of the member together."""
    w = np.maximum(w, _EYE_GUARD * d)
    return Eye(key, part, leaves, load, w, d, w / 2.0, t, sy, metal)


def plate_eye(
    s: Sheets, key: str, part: str, leaves: Leaves, load: Floats, w: Floats, d: Floats
) -> Eye:
    """An eye of the lever plates."""
    return eye(key, part, leaves, load, w, d, s.n_plate * s.t_plate, s.sy_plate, s.plate)


def link_eyes(
    s: Sheets,
    key: str,
    part: str,
    leaves: Leaves,
    load: Floats,
    w: Floats,
    holes: tuple[Floats, ...],
) -> tuple[Eye, ...]:
    """The eyes of a link in tension, wrist end first; one entry of `holes` an eye."""
    ends = ("wrist end", "finger end")
    return tuple(
        eye(f"{key} {end} eye", part, leaves, load, w, d, s.n_link * s.t_link, s.sy_link, s.link)
        for end, d in zip(ends, holes, strict=False)
    )


def flexure(
    s: Sheets, key: str, part: str, leaves: Leaves, moment: Floats, w: Floats, d: Floats
) -> Flexure:
    """The lever plates' section at a hole."""
    w = np.maximum(w, _EYE_GUARD * d)
    return Flexure(key, part, leaves, moment, w, d, s.n_plate * s.t_plate, s.sy_plate, s.plate)


def lean_angle(sine: Floats) -> Floats:
    """Lean from its sine, rad."""
    return np.arcsin(clip_sine(sine))


def turned(angle: Floats) -> Floats:
    """|angle - angle in the first position|, rad (N,P)."""
    return np.abs(angle - angle[:, :1])


def must(shelf: Shelf) -> Bools:
    """Which positions' limits count (P,)."""
    return np.array([p.must for p in shelf.demand.positions])


def worst(shelf: Shelf, slack: Floats) -> Floats:
    """Least slack over the positions that count: (N,P) -> (N,)."""
    counted = np.where(must(shelf), slack, _FREE)
    return np.asarray(counted.min(axis=1), dtype=np.float64)


def least(*slacks: Floats) -> Floats:
    """Least of several (N,1) slacks: (N,)."""
    low = slacks[0]
    for slack in slacks[1:]:
        low = np.minimum(low, slack)
    return np.ascontiguousarray(low[:, 0])


@dataclass(frozen=True)
class Drilled:
    """Shop limits of one drilled plate, mm (N,1): metal beside holes, edge distance, hole size."""

    web: Floats
    edge: Floats
    hole: Floats


def drilled(
    shelf: Shelf, w: Floats, t: Floats, holes: tuple[Floats, ...], spacings: tuple[Floats, ...]
) -> Drilled:
    """A plate of width w with holes on its middle line; `spacings` metal between neighbouring holes."""
    shop = shelf.brief.shop
    big, small = holes[0], holes[0]
    for d in holes[1:]:
        big, small = np.maximum(big, d), np.minimum(small, d)
    web = (w - big) / 2.0
    for metal in spacings:
        web = np.minimum(web, metal)
    return Drilled(
        web - shop.min_web,
        w / 2.0 - shop.edge_over_thickness * t,
        small - np.maximum(shop.hole_over_thickness * t, shop.smallest_drill),
    )


def leaves_of(drive: Drive, k: int) -> Leaves:
    """What is left in the hand when carrier k or its link lets go."""
    if len(drive.carriers) == 1:
        return "nothing"
    if drive.carriers[k].body is None:
        return "all but this finger"
    others = sum(len(c.fingers) for c in drive.carriers) - len(drive.carriers[k].fingers)
    return "two fingers" if others == 2 else "the other fingers"


def side_of(k: int) -> str:
    """Letter of carrier k."""
    return "ab"[k]


def fit_word(fork: Bools, bush: Floats) -> str:
    """Fit of a hole in words: press in the fork, bush or running in the middle.

    A batch of unlike drives has no single word and gets "running": words are for drawings of one drive.
    """
    if np.all(fork):
        return "press"
    return "bush" if not np.any(fork) and np.all(bush > 0.0) else "running"


def plate_hole(s: Sheets, p: PinSize, x: Floats, y: Floats) -> Hole:
    """Hole of a lever plate."""
    return Hole(x, y, p.in_plate, fit_word(s.doubled, p.bush))


def link_hole(s: Sheets, p: PinSize, x: Floats) -> Hole:
    """Hole of a link."""
    return Hole(x, 0.0 * x, p.in_link, fit_word(~s.doubled, p.bush))


def bent_length(arms: Floats, r: Floats, turn: Floats) -> Floats:
    """Length of the straight stadium with the area of two stadiums that meet at an angle, mm (N,1).

    Outside the bend a sector turn/2 r^2 is won, inside the arms share a kite tan(turn/2) r^2.  Derived.
    """
    half = np.abs(turn) / 2.0
    return arms + r / 2.0 * (half - np.tan(half))


def cut(
    shelf: Shelf,
    key: str,
    words: str,
    what: What,
    moves: Moves,
    stage: Stage,
    body: str,
    joined: tuple[str, ...],
    shape: Stadium,
    half: Floats,
    count: Floats,
    plate: Floats,
    holes: tuple[Hole, ...],
    length: Floats,
) -> Piece:
    """A plate whose mass and minutes are those of a straight stadium of `length` between its end holes.

    So the cut size does not depend on a position; `bent_length` is the length of a bent plate's stadium.
    """
    zero = np.zeros_like(length)
    flat = Stadium(zero, zero, length, zero, make.first_column(shape.r))
    piece = make.plate_piece(
        shelf, key, words, what, moves, stage, body, joined, flat,
        shelf.z - half, shelf.z + half, count, plate, holes,
    )  # fmt: skip
    return replace(piece, shape=shape)


def other_arm(piece: Piece, shape: Stadium) -> Piece:
    """The second arm of a bent plate: outline only, count 0, no mass, minutes or price of its own.

    A plate on three pins is two stadiums that meet at the middle pin.  The first piece stands for the
    whole plate in every list; this one lends its outline to clearances, envelope and drawings.
    """
    return make.other_outline(piece, f"{piece.key} arm", "other arm", shape)


def link_piece(
    shelf: Shelf,
    s: Sheets,
    body: str,
    joined: tuple[str, ...],
    stage: Stage,
    shape: Stadium,
    length: Floats,
    holes: tuple[Hole, Hole],
) -> Piece:
    """A link or pair of links; key "<body> plate"."""
    return cut(
        shelf, f"{body} plate", body, "link", "settling", stage, body, joined, shape, s.half_link,
        s.n_link, s.link, holes, length,
    )  # fmt: skip


def joint_pin(
    shelf: Shelf,
    s: Sheets,
    p: PinSize,
    key: str,
    stage: Stage,
    body: str,
    joined: tuple[str, ...],
    x: Floats,
    y: Floats,
) -> tuple[Piece, ...]:
    """A pin through plates and links with two rings, two washers and the middle's bush."""
    return make.pin_set(
        shelf, key, key, stage, body, joined, x, y, s.z - s.half, s.z + s.half, shelf.pins, p.index,
        bushes=p.bush, bush_length=s.t_mid, washers=2.0,
    )  # fmt: skip
