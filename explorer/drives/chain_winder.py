"""First stage `chain_winder`: two tracks on one shaft, then a chain over a floating wheel.

The input chain turns the input track; the output chain leaves the output track toward the fingers and
pulls the fork of the first wheel (no 2:1); the chain over that wheel ends at the two carriers.  With one
carrier (two fingers) there is no first wheel and the output chain pulls the carrier.  A fork hangs in
line with its strand, so strands are measured to the axle.  When the motion reverses, the input strand is
led from the finger side: it never pushes.
"""

from __future__ import annotations

import numpy as np

from explorer.drives import chain_winder_parts as parts
from explorer.drives import wheel_parts, wheels, winder
from explorer.drives.bodies import Wheel
from explorer.drives.family import FirstBuilt
from explorer.drives.joints import Attachment, Loads, Play
from explorer.drives.layout import Drive, carrier_lengths
from explorer.drives.make import joint_mu
from explorer.drives.motion import Drawn, Motion, drawn
from explorer.drives.pieces import Limit, Pair, Piece
from explorer.drives.pulls import Pulls
from explorer.drives.ratios import Input, Spool
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns, Off, Variable, choice, real, whole
from explorer.drives.winder import Winder
from explorer.drives.windows import (
    Window,
    across,
    around,
    inside,
    least_around,
    least_width,
    more_links,
    no_less,
)
from explorer.mechanics import chain as ch
from explorer.mechanics import distance
from explorer.mechanics.types import Floats

_FAR = 1e3  # mm, stands for "no matter" in a slack
SHORT_INPUT = 60.0  # mm; a shorter input drawbar leans enough to count
# What keeps the place where the output chain leaves: the output track's radius to one side of the shaft or the other.
_EXIT = (Off(-0.5 / np.pi, of="output_teeth", by="output_side"),)
# What keeps the way from the middle to the outer strands: the first wheel's radius and a floating wheel's.
_ACROSS = (Off(-1.0, of="wheel_teeth"),)


def variables(shelf: Shelf, carriers: int) -> tuple[Variable, ...]:
    """Its variables; those of the first wheel only where there are two carriers."""
    pins, chains = shelf.pins.names, shelf.chains.names
    own = (
        choice("tracks", "tracks of the winder", ("toothed", "plain")),
        whole("input_teeth", "teeth of the input track (toothed)", 9, 36, "input_chain"),
        whole("output_teeth", "teeth of the output track (toothed)", 9, 30, "output_chain"),
        real("input_core_mm", "core radius of the input drum (plain)", 4.0, 20.0),
        real("output_core_mm", "core radius of the output drum (plain)", 4.0, 16.0),
        choice("input_chain", "input chain", chains, "chains"),
        choice("output_chain", "output chain, also over the first wheel", chains, "chains"),
        choice("one_piece", "how the tracks hold together", ("joined tracks", "one piece")),
        whole("drive_pins", "drive pins between the tracks", 2, 4, "drive_pin", power=2.0),
        choice("drive_pin", "drive pin", pins, "pins"),
        real("drive_pin_radius_mm", "radius of the drive pins' circle", 2.5, 12.0),
        choice("shaft", "shaft", shelf.shafts.names, "shafts"),
        real("shaft_x_mm", "x of the shaft", -15.0, 15.0, off=_EXIT),
        choice(
            "output_side", "side on which the output chain leaves", ("index side", "little side")
        ),
        whole("exit_links", "free links of the output chain at rest", 2, 14, "output_chain"),
        real("end_width_mm", "width of the chain ends' eyes", 4.0, 12.0),
    )
    if carriers == 1:
        return own
    return (
        *own,
        whole("first_wheel_teeth", "teeth of the first wheel", 9, 30, "output_chain", off=_ACROSS),
        whole(
            "carrier_strand_links",
            "links of the chain over the first wheel",
            8,
            36,
            "output_chain",
            off=(wheels.half_of("first_wheel_teeth"),),
        ),
        choice("first_axle", "axle of the first wheel", pins, "pins"),
        choice("fork_pin", "pin at the fork of the first wheel", pins, "pins"),
    )


def side_of(cols: Columns) -> Floats:
    """+1: the output leaves on the little-finger side of the shaft, else -1 (N,1)."""
    return 2.0 * cols["output_side"] - 1.0


def spool(shelf: Shelf, cols: Columns, w: Winder) -> Spool:
    """The ratio part."""
    brief = shelf.brief
    x_p, side = cols["shaft_x_mm"], side_of(cols)
    return Spool(
        w.into.a,
        w.out.a,
        x_p,
        side,
        ch.ripple_factor(w.into.low, w.into.a, w.out.high, w.out.a),
        take(shelf.chains.pin, w.into.chain),
        take(shelf.chains.pin, w.out.chain),
        np.full_like(x_p, brief.friction.chain),
        w.d_shaft,
        joint_mu(shelf, w.bushed),
        w.span,
        w.at_in,
        (w.at_out,),
        (x_p + side * w.out.a,),
        flat=True,
        source=Input(
            reverses=brief.wrist.reverses,
            strut=False,
            far_x=brief.wrist.input_far_x,
            length=brief.wrist.input_length,
            leans=brief.wrist.input_length < SHORT_INPUT,
        ),
    )


def build(shelf: Shelf, cols: Columns, y: tuple[Floats, ...]) -> FirstBuilt:
    """The stage behind its carriers, from the carriers back to the shaft."""
    w = winder.winder(shelf, cols)
    exit_free = cols["exit_links"] * w.out.p + take(shelf.chains.connector, w.out.chain)
    hung = wheels.carrier_fork(shelf, cols)
    ratio = spool(shelf, cols, w)
    if len(y) == 1:
        L_exit = exit_free + hung
        return FirstBuilt(ratio, None, (L_exit,), L_exit, y[0], y[0] - L_exit)
    f = wheels.floating(shelf, cols, winder.FIRST)
    L_in = carrier_lengths(y, f.L_f + hung)
    y_first = y[0] - L_in[0]
    L_exit = exit_free + f.length
    return FirstBuilt(ratio, wheels.body(shelf, f), L_in, L_exit, y_first, y_first - L_exit)


def attachment(shelf: Shelf, cols: Columns) -> Attachment:
    """The end piece of a carrier's strand (of the output chain where there is one carrier)."""
    w, plate = cols["end_width_mm"], cols["link_plate"]
    return Attachment(
        "end of carrier strand",
        take(shelf.plates.t, plate),
        take(shelf.plates.yield_, plate),
        w,
        w / 2.0,
        plate,
    )


def loads(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
    """Chains, shaft, bushes, drive pins or body; the first wheel with its fork, chain and ends."""
    out = parts.winder_loads(shelf, drive, motion, pulls)
    return out if drive.first is None else out + parts.first_loads(shelf, drive, motion, pulls)


def pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """Winder, shaft, cheeks, chains; the first wheel, its fork and the carriers' chain."""
    out = parts.winder_pieces(shelf, drive, motion)
    return out if drive.first is None else out + parts.first_pieces(shelf, drive, motion)


def _carrier_keys(drive: Drive, k: int) -> tuple[str, ...]:
    body = drive.carriers[k].body
    if body is None:
        return ()
    name = f"carrier {'ab'[k]}"
    wide = ("wheel", "fork") if isinstance(body, Wheel) else ("plate", "plate arm")
    return tuple(f"{name} {piece}" for piece in wide)


def pairs(drive: Drive) -> tuple[Pair, ...]:
    """First wheel and fork against tracks and input chain; both, and the carriers, against each other."""
    carriers = [key for k in range(len(drive.carriers)) for key in _carrier_keys(drive, k)]
    tracks = ("winder input track", "winder output track")
    if drive.first is None:
        return tuple(Pair(t, c) for t in (*tracks, "input chain") for c in carriers)
    own = ("first stage wheel", "first stage fork")
    return (
        *(Pair(t, o) for t in (*tracks, "input chain") for o in own),
        *(
            Pair("cheek at the output track", o)
            for o in ("first stage fork", "first stage fork pin")
        ),
        *(Pair("first stage wheel", c) for c in carriers if not c.endswith("wheel")),
        *(Pair("input chain", c) for c in carriers),
    )


def _shaft_limits(shelf: Shelf, drive: Drive, motion: Motion, w: Winder) -> tuple[Limit, ...]:
    shop, lim = shelf.brief.shop, shelf.brief.limits
    must = np.array([p.must for p in shelf.demand.positions])
    turn = motion.theta.max(axis=1, initial=0.0, where=must)
    standing = winder.STANDING_LINKS * np.maximum(w.into.p / w.into.a, w.out.p / w.out.a)[:, 0]
    joined = w.one_piece <= 0.0
    low, high = _pin_window(w, shop.min_web)
    between = around(w.n_pins, w.r_pin, w.d_pin, shop.min_web)
    circle = np.minimum(np.minimum(high - w.r_pin, w.r_pin - low), between)
    web = np.minimum(np.where(joined, circle, w.root), w.root - w.d_shaft / 2.0 - shop.min_web)
    reach = motion.Y.max(axis=1, keepdims=True, initial=0.0, where=must)
    least = np.minimum(_teeth(shelf, drive, w, "input"), _teeth(shelf, drive, w, "output"))
    body = np.maximum(w.into.body, w.out.body)
    hole = np.maximum(shop.hole_over_thickness * w.t, shop.smallest_drill)
    return (
        Limit("wrap", np.degrees(lim.wrap - turn - standing), 10.0),
        Limit("teeth", least[:, 0], 1.0),
        Limit("strand", _exit_spare(drive.columns, w, reach)[:, 0], 2.0),
        Limit("web", web[:, 0], 0.5),
        Limit("turned", (shop.largest_turned - 2.0 * body)[:, 0], 5.0),
        Limit("hole", (w.hole - hole)[:, 0], 0.3),
    )


def _pin_window(w: Winder, web: float) -> Window:
    """Circle of the drive pins between bore and rim."""
    return w.d_shaft / 2.0 + w.d_pin / 2.0 + web, w.root - w.d_pin / 2.0 - web


def _as_large(cols: Columns, w: Winder) -> dict[str, Floats]:
    """What plays no part in the tracks (N,1): teeth where drums are plain and cores where they are toothed.

    It goes along with what does, so that the other kind of tracks would be about as large.
    """
    plain, out = cols["tracks"] > 0.0, dict[str, Floats]()
    for which, t in (("input", w.into), ("output", w.out)):
        core, teeth = cols[f"{which}_core_mm"], t.teeth
        round_drum = np.rint(2.0 * np.pi * (core + t.h / 2.0) / t.p)
        out[f"{which}_teeth"] = np.where(plain, round_drum, teeth)
        out[f"{which}_core_mm"] = np.where(plain, core, teeth * t.p / (2.0 * np.pi) - t.h / 2.0)
    return out


def trimmed(shelf: Shelf, cols: Columns) -> dict[str, Floats]:
    """Drive pins between bore and rim, chain ends wide enough (N,1)."""
    w, web = winder.winder(shelf, cols), shelf.brief.shop.min_web
    low, high = _pin_window(w, web)
    low = np.maximum(low, least_around(w.n_pins, w.d_pin, web))
    t, hole = take(shelf.plates.t, cols["link_plate"]), take(shelf.chains.pin, w.out.chain)
    r = cols["drive_pin_radius_mm"]
    return _as_large(cols, w) | {
        "drive_pin_radius_mm": np.where(w.one_piece > 0.0, r, inside(r, (low, high))),
        "end_width_mm": no_less(cols["end_width_mm"], least_width(shelf, t, hole)),
    }


def strung(shelf: Shelf, drive: Drive, up: tuple[Drawn, ...]) -> dict[str, Floats]:
    """Links enough between winder and first wheel, and over that; the winder between the straps (N,1)."""
    w, cols, first = winder.winder(shelf, drive.columns), drive.columns, drive.first
    top = up[0] if first is None else drawn(first, up[0].y, up[1].y)
    links = more_links(cols["exit_links"], _exit_spare(cols, w, top.y), w.out.p)
    out, y = {"exit_links": links}, drive.y_ratio - (links - cols["exit_links"]) * w.out.p
    if first is not None:
        f = wheels.floating(shelf, cols, winder.FIRST)
        spare = wheel_parts.strand_spare(f, np.abs(up[0].y - up[1].y))
        out[winder.FIRST.links] = more_links(f.links, spare, f.p / 2.0)
        y = y - (out[winder.FIRST.links] - f.links) * f.p / 2.0
    return out | {"shaft_x_mm": inside(cols["shaft_x_mm"], _across(shelf, cols, w, y))}


def _across(shelf: Shelf, cols: Columns, w: Winder, y: Floats) -> Window:
    """Where the shaft may lie across the palm, at y: cheeks, whose feet point away from the output chain, and tracks."""
    foot, half = w.reach, w.cheek_w / 2.0
    stack = (
        w.span - w.at_out + w.t / 2.0
    )  # from the output chain's plane to the far cheek's outside
    ends = shelf.z - w.up * (w.at_out + w.t / 2.0), shelf.z + w.up * stack
    z = np.minimum(*ends), np.maximum(*ends)
    middle = side_of(cols) * foot / 2.0  # from that of a cheek to the shaft
    feet = across(shelf, foot / 2.0 + half, (y - half, y + half), z)
    tracks = across(shelf, foot, (y - foot, y + foot), z)
    low = np.maximum(feet[0] + middle, tracks[0])
    high = np.minimum(feet[1] + middle, tracks[1])
    return np.minimum(low, (low + high) / 2.0), np.maximum(high, (low + high) / 2.0)


def _exit_spare(cols: Columns, w: Winder, Y: Floats) -> Floats:
    """Free links of the output chain left where it is drawn by Y, mm (N,P)."""
    return np.asarray(cols["exit_links"] * w.out.p - w.out.tangency - Y)


def _teeth(shelf: Shelf, drive: Drive, w: Winder, which: str) -> Floats:
    """Teeth above the least; of a plain drum the turns it could hold above the chain's bend, in teeth."""
    t = w.into if which == "input" else w.out
    bend = take(np.array([c.bend_radius for c in shelf.stock.chains]), t.chain)
    drum = 2.0 * np.pi * (t.low - bend) / t.p
    return np.where(
        drive.columns["tracks"] > 0.0, drum, t.teeth - shelf.brief.limits.min_wheel_teeth
    )


def _end_limits(shelf: Shelf, drive: Drive, w: Winder) -> tuple[Limit, ...]:
    """Chain ends: edge, hole of the chain's pin, and one plate that goes inside a link."""
    shop, cols = shelf.brief.shop, drive.columns
    t, pin = take(shelf.plates.t, cols["link_plate"]), take(shelf.chains.pin, w.out.chain)
    inside = take(shelf.chains.inner, w.out.chain) - t
    fits = np.where(cols["doubled"] > 0.0, inside, 1.0)
    return (
        Limit("edge", (cols["end_width_mm"] / 2.0 - shop.edge_over_thickness * t)[:, 0], 0.5),
        Limit("web", ((cols["end_width_mm"] - pin) / 2.0 - shop.min_web)[:, 0], 0.5),
        Limit(
            "hole", (pin - np.maximum(shop.hole_over_thickness * t, shop.smallest_drill))[:, 0], 0.3
        ),
        Limit("pin_size", fits[:, 0], 0.5),
    )


def _one_piece_clearance(
    shelf: Shelf, drive: Drive, motion: Motion, w: Winder
) -> tuple[Limit, ...]:
    """Tracks of a one-piece winder against the wheel and fork before them: one piece, two outlines."""
    must = np.array([p.must for p in shelf.demand.positions])
    near = np.full_like(motion.Y, _FAR)
    for t in parts.track_rooms(drive, w):
        for o in parts.next_rooms(shelf, drive, motion):
            z = np.maximum(t.z0 - o.z1, o.z0 - t.z1)
            near = np.minimum(near, np.maximum(distance.gap(t.shape, o.shape), z))
    worst = near.min(axis=1, initial=_FAR, where=must)
    slack = np.where(w.one_piece[:, 0] > 0.0, worst - shelf.brief.cavity.clearance, _FAR)
    return (Limit("clearance", slack, 1.0),)


def limits(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Limit, ...]:
    """Wrap, teeth, strands, parity, webs, turned sizes, and what a one-piece winder must clear."""
    w = winder.winder(shelf, drive.columns)
    out = (
        *_shaft_limits(shelf, drive, motion, w),
        *_end_limits(shelf, drive, w),
        *_one_piece_clearance(shelf, drive, motion, w),
    )
    if motion.first is None:
        return out
    must = np.array([p.must for p in shelf.demand.positions])
    apart = np.abs(motion.first.s_a - motion.first.s_b).max(axis=1, initial=0.0, where=must)
    f = wheels.floating(shelf, drive.columns, winder.FIRST)
    return (*out, *wheel_parts.limits(shelf, f, apart))


def play(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Play, ...]:
    """Shaft, drive pins, first axle and fork pin, chain ends; adjusters take up the chains' slack.

    The shaft's clearance moves both strands: it counts at the input and, through the ratio, at the
    output (the safe side where both act alike).
    """
    cols, w = drive.columns, winder.winder(shelf, drive.columns)
    step = (motion.a1_0 / motion.a2_0)[:, :1]
    joined = np.where(w.one_piece > 0.0, 0.0, 1.0)
    out = (
        Play("shaft", wheels.running_play(shelf.shafts, cols["shaft"]) * (1.0 + step)),
        Play(
            "drive pins",
            joined * wheels.reamed_play(shelf.pins, cols["drive_pin"]) / w.r_pin * w.into.a,
        ),
        Play("output chain end", wheels.PLAY * step),
    )
    if drive.first is None:
        return out
    return (
        *out,
        Play("first stage axle", wheels.running_play(shelf.pins, cols["first_axle"]) * step),
        Play("first stage fork pin", wheels.running_play(shelf.pins, cols["fork_pin"]) * step),
        Play("first stage chain ends", wheels.PLAY * step),
    )
