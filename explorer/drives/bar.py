"""Second stage `bar`: a bar on three pins shares a carrier's pull between two neighbouring fingers.

Finger links are as wide as their holes ask; the pin at a finger belongs to the finger, the link's eye
there is checked with the hole of the bar's end pin.
"""

from __future__ import annotations

import numpy as np

from explorer.drives import bar_parts, pinned, wheels, windows
from explorer.drives.bar_parts import ThreePin
from explorer.drives.bodies import Bar
from explorer.drives.family import Hung, key, place_of
from explorer.drives.joints import Attachment, Loads, Play
from explorer.drives.layout import Drive, finger_lengths
from explorer.drives.motion import Motion, StageMotion
from explorer.drives.pieces import Limit, Pair, Piece, Stage
from explorer.drives.pulls import Pulls
from explorer.drives.shelf import Shelf
from explorer.drives.variables import Columns, Variable, choice, real
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Floats


def variables(shelf: Shelf, pairs: int) -> tuple[Variable, ...]:
    """Two arms a pair; offset, width, links and pins are the same for all pairs."""
    arms = tuple(
        real(
            key("bar", place_of(k, pairs), f"arm_{end}_mm"),
            " ".join(w for w in (place_of(k, pairs), "bar arm on the", side, "side") if w),
            5.0,
            18.0,
        )
        for k in range(pairs)
        for end, side in (("a", "index"), ("b", "little"))
    )
    pins = shelf.pins.names
    return (
        *arms,
        real("bar_offset_mm", "bar centre pin ahead of the end pins, wrist side", -3.0, 6.0),
        real("bar_width_mm", "width of the bars", 4.0, 12.0),
        real("finger_link_mm", "shortest finger link of a pair, pin to pin", 12.0, 40.0),
        choice("bar_centre_pin", "pin at the middle of a bar", pins, "pins"),
        choice("bar_end_pin", "pins at the ends of a bar", pins, "pins"),
    )


def hang(shelf: Shelf, cols: Columns, fingers: tuple[int, int], place: str) -> Hung:
    """The bar of one pair, level at rest behind the finger pin nearest the wrist."""
    s = pinned.sheets(shelf, cols)
    centre = pinned.pin_size(shelf, cols, "bar_centre_pin", s)
    end = pinned.pin_size(shelf, cols, "bar_end_pin", s)
    e, link = cols["bar_offset_mm"], cols["finger_link_mm"]
    body = Bar(
        cols[key("bar", place, "arm_a_mm")],
        cols[key("bar", place, "arm_b_mm")],
        e,
        centre.d,
        end.d,
        np.maximum(centre.mu, end.mu),
    )
    low = min(float(shelf.demand.pin_y[i]) for i in fingers)
    return Hung(body, finger_lengths(shelf.demand.pin_y, fingers, link), low - link - e)


def _member(shelf: Shelf, drive: Drive, k: int) -> ThreePin:
    """The bar of carrier k."""
    cols = drive.columns
    s = pinned.sheets(shelf, cols)
    body = drive.carriers[k].body
    assert isinstance(body, Bar)  # noqa: S101 - the registry calls this room for bars only
    pairs = sum(c.body is not None for c in drive.carriers)
    return ThreePin(
        f"carrier {pinned.side_of(k)}",
        f"{place_of(k, pairs)} bar".strip(),
        pinned.leaves_of(drive, k),
        body,
        cols["bar_width_mm"],
        pinned.pin_size(shelf, cols, "bar_centre_pin", s),
        pinned.pin_size(shelf, cols, "bar_end_pin", s),
        s,
    )


def _link_width(shelf: Shelf, t: ThreePin) -> Floats:
    """Width of a finger link, mm (N,1)."""
    return wheels.eye_width(shelf, t.end.in_link, t.sheets.t_link)


def _moved(motion: Motion, k: int) -> StageMotion:
    m = motion.second[k]
    assert m is not None  # noqa: S101 - carrier k has a bar
    return m


def loads(
    shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls, k: int, hold: Attachment
) -> Loads:
    """Bar, its three joints, the end of what holds it, and its two finger links."""
    t, m = _member(shelf, drive, k), _moved(motion, k)
    fingers = drive.carriers[k].fingers
    i, j = fingers
    bar = bar_parts.bar_loads(t, m, pulls.carrier[k], (pulls.finger[i], pulls.finger[j]), hold)
    holes = (t.end.in_link, t.end.in_link)
    eyes = tuple(
        eye
        for f, cos in zip(fingers, (m.leans.cos_a, m.leans.cos_b), strict=True)
        for eye in pinned.link_eyes(
            t.sheets, f"finger link {f}", f"{shelf.demand.fingers[f]} finger link",
            "all but this finger", pulls.finger[f] / cos, _link_width(shelf, t), holes,
        )
    )  # fmt: skip
    return bar + Loads(eyes=eyes)


def pieces(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    k: int,
    hold: Attachment,  # noqa: ARG001 - one form for all second stages
) -> tuple[Piece, ...]:
    """Bar plates, three pins with all that is on them, two finger links."""
    t, m, c = _member(shelf, drive, k), _moved(motion, k), drive.carriers[k]
    stage: Stage = "second a" if k == 0 else "second b"
    at = bar_parts.place(m, c.y)
    wrist = (f"carrier link {pinned.side_of(k)}", "exit link")
    names = (f"finger link {c.fingers[0]}", f"finger link {c.fingers[1]}")
    bar = bar_parts.bar_pieces(shelf, t, at, stage, wrist, names)
    d, r = shelf.demand, _link_width(shelf, t) / 2.0
    links = tuple(
        pinned.link_piece(
            shelf, t.sheets, name, (t.name,), stage,
            Stadium(x, y, d.pin_x[f] + 0.0 * x, d.pin_y[f] - draw, r), length,
            (pinned.link_hole(t.sheets, t.end, 0.0 * length), pinned.link_hole(t.sheets, t.end, length)),
        )
        for f, name, x, y, draw, length in zip(
            c.fingers, names, (at.ax, at.bx), (at.ay, at.by), (m.s_a, m.s_b), c.L_out, strict=True
        )
    )  # fmt: skip
    return (*bar, *links)


def pairs(drive: Drive, k: int) -> tuple[Pair, ...]:
    """Neighbouring bars, once."""
    both = len(drive.carriers) > 1 and all(isinstance(c.body, Bar) for c in drive.carriers)
    return (Pair("carrier a plate arm", "carrier b plate"),) if both and k == 0 else ()


def limits(shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Limit, ...]:
    """Tilt, thin plates and what the shop can make."""
    t, c = _member(shelf, drive, k), drive.carriers[k]
    holes = (t.end.in_link, t.end.in_link)
    links = tuple(
        bar_parts.link_drilled(shelf, t.sheets, _link_width(shelf, t), length, holes)
        for length in c.L_out
    )
    return (
        bar_parts.tilt_limit(shelf, _moved(motion, k)),
        *bar_parts.shop_limits((bar_parts.bar_drilled(shelf, t), *links)),
        bar_parts.thin_limit(t.sheets, t.span),
    )


def play(shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Play, ...]:
    """Mean clearance of three joints, by their share of the draw; the fingers' own pins are theirs."""
    t, m = _member(shelf, drive, k), _moved(motion, k)
    up = _carrier_share(motion, k) * (motion.a1_0 / motion.a2_0)[:, :1]
    return (
        Play(f"{t.name} centre pin", t.centre.play * up),
        Play(f"{t.name} end a pin", t.end.play * m.share_a[:, :1] * up),
        Play(f"{t.name} end b pin", t.end.play * m.share_b[:, :1] * up),
    )


def _carrier_share(motion: Motion, k: int) -> Floats:
    """Share of the whole draw that carrier k's draw makes, in the first position (N,1)."""
    if motion.first is None:
        return np.ones_like(motion.Y[:, :1])
    share = motion.first.share_a if k == 0 else motion.first.share_b
    return share[:, :1]


def trimmed(
    shelf: Shelf,
    cols: Columns,
    _pairs: tuple[tuple[int, int], ...],
) -> dict[str, Floats]:
    """Bars wide enough for their holes and edges (N,1)."""
    s = pinned.sheets(shelf, cols)
    return windows.wide_enough(shelf, cols, s, "bar_width_mm", "bar_centre_pin", "bar_end_pin")


def neighbour_travel(shelf: Shelf, drive: Drive, k: int) -> Floats:
    """span sin(phi_max), at most the full draw, mm (N,1)."""
    full = max(float(shelf.demand.full_draw[i]) for i in drive.carriers[k].fingers)
    travel: Floats = np.minimum(
        _member(shelf, drive, k).span * np.sin(shelf.brief.limits.tilt), full
    )
    return travel
