"""Loads and pieces of the first stage `chain_winder`."""

from __future__ import annotations

import numpy as np

from explorer.drives import make, pinned, wheel_loads, wheel_parts, wheels, winder
from explorer.drives import winder_pieces as bench
from explorer.drives.joints import (
    Attachment,
    BodyBore,
    ChainRun,
    Loads,
    PinCircle,
    PinJoint,
    ShaftSection,
)
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, StageMotion
from explorer.drives.pieces import Piece
from explorer.drives.pulls import Pulls
from explorer.drives.ratios import Spool
from explorer.drives.shelf import Shelf, take
from explorer.drives.wheel_loads import Name
from explorer.drives.wheel_parts import Place, Room
from explorer.drives.winder import Winder
from explorer.mechanics import chain as ch
from explorer.mechanics import outline, settle, shaft
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Floats

NAME = Name("first stage", "first wheel", "nothing", "first")


def spool_of(drive: Drive) -> Spool:
    """The winder as a ratio part."""
    assert isinstance(drive.ratio, Spool)  # noqa: S101 - this family builds no other
    return drive.ratio


def first_of(motion: Motion) -> StageMotion:
    """Motion of the first wheel."""
    assert motion.first is not None  # noqa: S101 - asked only where there is one
    return motion.first


def _cross_loads(drive: Drive, pulls: Pulls) -> tuple[Floats, Floats]:
    """Forces across the shaft along y (N,P): output track, then input track.

    The input strand runs along y; the output strand leans, and its pull along y is F_out.
    """
    return pulls.F_out, spool_of(drive).source.sign * pulls.F_in


def _shaft(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls, w: Winder) -> Loads:
    """Bush bearings and the shaft's sections at both tracks.

    A bush is recorded as half of a double-shear joint under twice its load R: the cheek (fork) bears R,
    a shaft section beside it is sheared by R, and depth worn is that of R on one cheek's thickness.  The
    torque between the tracks is charged to the shaft as well (safe: drive pins or body carry it).
    """
    y, places, zero = (
        _cross_loads(drive, pulls),
        (w.at_out, w.at_in),
        np.zeros_like(motion.Y),
    )
    x, at_x = (pulls.F_out * settle.lean_tan(motion.exit_sine[0]),), (w.at_out,)
    rx, ry = shaft.bush_reactions(x, at_x, w.span), shaft.bush_reactions(y, places, w.span)
    # the input strand has no part along x, but the shaft bends there too
    mx = shaft.shaft_moments((*x, zero), places, w.span)
    my = shaft.shaft_moments(y, places, w.span)
    moment = tuple(shaft.resultant(a, b) for a, b in zip(mx[:2], my[:2], strict=True))
    sy, plate = take(shelf.shafts.yield_, drive.columns["shaft"]), drive.columns["plate"]
    sy_plate, metal = (
        take(shelf.plates.yield_, plate),
        shelf.endurance.shafts + drive.columns["shaft"],
    )
    torque = pulls.F_out * motion.a2
    bushes = tuple(
        PinJoint(
            key=f"winder bush at the {where}",
            part=f"shaft in the cheek at the {where}",
            leaves="nothing",
            load=2.0 * shaft.resultant(fx, fy),
            swing=np.abs(motion.theta) + zero,
            d=w.d_shaft,
            t_fork=w.t,
            gap=shelf.brief.shop.gap + 0.0 * w.t,
            t_mid=t.W,
            sy_pin=sy,
            sy_fork=sy_plate,
            sy_mid=sy_plate,
            d_mid=w.d_shaft,
            d_fork=w.hole,
            wear_k=make.joint_wear(shelf, w.bushed, plate),
            wear_t=2.0 * w.t,
            metal=metal,
        )
        for where, t, fx, fy in (
            ("output track", w.out, rx.at_zero, ry.at_zero),
            ("input track", w.into, rx.at_span, ry.at_span),
        )
    )
    sections = tuple(
        ShaftSection(
            key=f"shaft at the {where}",
            part="winder shaft",
            leaves="nothing",
            moment=moment[i],
            torque=torque,
            d=w.d_shaft,
            sy=sy,
            metal=metal,
        )
        for i, where in enumerate(("output track", "input track"))
    )
    return Loads(pins=bushes, shafts=sections)


def _between(shelf: Shelf, drive: Drive, torque: Floats, w: Winder) -> Loads:
    """What carries the torque from track to track: drive pins, face to face, or the body at the bore."""
    cols, sy = drive.columns, take(shelf.plates.yield_, drive.columns["plate"])
    joined = np.where(w.one_piece > 0.0, 0.0, 1.0)
    circle = PinCircle(
        key="winder drive pins",
        part="drive pins of the winder",
        leaves="nothing",
        torque=torque * joined,
        n=w.n_pins,
        share=np.full_like(w.t, shelf.brief.strength.circle_share),
        r=w.r_pin,
        d=w.d_pin,
        t1=w.seats[0],
        t2=w.seats[1],
        clamped=np.ones_like(w.t),
        sy_pin=take(shelf.pins.yield_, cols["drive_pin"]),
        sy_1=sy,
        sy_2=sy,
        metal=shelf.endurance.pins + cols["drive_pin"],
        metal_1=cols["plate"],
        metal_2=cols["plate"],
    )
    bore = BodyBore(
        key="winder body",
        part="one-piece winder",
        leaves="nothing",
        torque=torque * (1.0 - joined),
        # a body thinner than this is refused by the web limit
        outside=np.maximum(2.0 * w.root, wheels.EYE_GUARD * w.d_shaft),
        bore=w.d_shaft,
        sy=sy,
        metal=cols["plate"],
    )
    return Loads(circles=(circle,), bores=(bore,))


def winder_loads(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
    """Both chains, shaft, bushes, and what joins the tracks."""
    w, c = winder.winder(shelf, drive.columns), shelf.chains
    zero = np.zeros_like(motion.Y)

    def run(key: str, t: winder.Track, force: Floats) -> ChainRun:
        return ChainRun(
            key=key,
            part=key,
            leaves="nothing",
            load=force + zero,
            tensile=take(c.tensile, t.chain),
            swing=np.minimum(np.abs(motion.theta), ch.articulation_angle(t.p, t.a)) + zero,
            pitch=t.p,
            bearing_t=take(c.inner, t.chain),
        )

    strand = pulls.F_out / settle.lean_cos(motion.exit_sine[0])
    cols = drive.columns
    end = wheel_parts.end_eye(
        shelf,
        "output chain end",
        "end of the output chain",
        "nothing",
        strand + zero,
        cols["end_width_mm"],
        w.out.chain,
        cols["link_plate"],
        wheels.end_plates(cols),
    )
    own = Loads(
        chains=(run("input chain", w.into, pulls.F_in), run("output chain", w.out, strand)),
        eyes=(end,),
    )
    torque = pulls.F_out * motion.a2
    return own + _shaft(shelf, drive, motion, pulls, w) + _between(shelf, drive, torque, w)


def first_loads(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
    """First wheel: axle, fork, its chain and the chain's ends at the carriers.

    Strand forces follow from F_out by the wheel's own shares, so that a lock on the carriers leaves
    this wheel unloaded.
    """
    m, cols = first_of(motion), drive.columns
    f = wheels.floating(shelf, cols, winder.FIRST)
    w, plate = cols["end_width_mm"], cols["link_plate"]
    hold = Attachment(
        "end of the output chain",
        take(shelf.plates.t, plate),
        take(shelf.plates.yield_, plate),
        w,
        w / 2.0,
        plate,
    )
    T = (
        pulls.F_out * (m.share_a + m.skew) / m.leans.cos_a,
        pulls.F_out * (m.share_b + m.skew) / m.leans.cos_b,
    )
    pull = pulls.F_out / m.leans.cos_in
    out = wheel_loads.joints(shelf, f, NAME, pull, m.tilt, wheel_loads.lean_turn(m.sine_in), hold)
    ends = tuple(
        wheel_parts.end_eye(
            shelf,
            f"carrier strand end {n}",
            f"chain end at carrier {n}",
            "nothing",
            force,
            w,
            f.chain,
            plate,
            f.n_end,
        )
        for n, force in zip("ab", T, strict=True)
    )
    return out + Loads(
        eyes=ends, chains=(wheel_loads.chain_run(shelf, f, NAME, np.maximum(*T), m.tilt),)
    )


def first_place(drive: Drive, motion: Motion) -> Place:
    """Where the first wheel is in every position."""
    m = first_of(motion)
    return Place(m.x, drive.y_first - motion.Y, m.sine_in, m.tilt, drive.z)


def track_rooms(drive: Drive, w: Winder) -> tuple[Room, Room]:
    """Input and output track with their chains on."""
    r, up = spool_of(drive), w.up
    far = drive.z + up * (w.out.W / 2.0 + w.into.W / 2.0)
    return (
        Room(
            outline.disc(r.x_p, drive.y_ratio, w.into.outer),
            far - w.into.W / 2.0,
            far + w.into.W / 2.0,
        ),
        Room(
            outline.disc(r.x_p, drive.y_ratio, w.out.outer),
            drive.z - w.out.W / 2.0,
            drive.z + w.out.W / 2.0,
        ),
    )


def next_rooms(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Room, ...]:
    """Wheel and fork that the output chain pulls: the first wheel, or a carrier with a wheel."""
    if motion.first is not None:
        return wheel_parts.rooms(
            wheels.floating(shelf, drive.columns, winder.FIRST), first_place(drive, motion)
        )
    f, m = wheels.carrier_wheel(shelf, drive.columns), motion.second[0]
    if f is None or m is None:
        return ()
    place = Place(m.x, drive.carriers[0].y - m.y, m.sine_in, m.tilt, drive.z)
    return wheel_parts.rooms(f, place)


def winder_pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """Winder with shaft, cheeks and both chains."""
    w = winder.winder(shelf, drive.columns)
    return (
        *bench.tracks(shelf, drive, w, track_rooms(drive, w)),
        *bench.shaft_set(shelf, drive, w),
        *bench.chains(
            shelf, drive, motion, w, exit_end(shelf, drive, motion), exit_hole(shelf, drive)
        ),
    )


def exit_end(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Floats, Floats]:
    """Where the output chain's end is pinned (N,P): the fork pin of what it pulls, or the carrier."""
    if motion.first is not None:
        f = wheels.floating(shelf, drive.columns, winder.FIRST)
        return first_place(drive, motion).behind(f.length)
    m = motion.second[0]
    sine = motion.exit_sine[0] if m is None else m.sine_in
    place = Place(
        motion.carrier_x[0], drive.carriers[0].y - motion.carrier_y[0], sine, 0.0 * sine, drive.z
    )
    return place.behind(wheels.carrier_fork(shelf, drive.columns))


def carrier_hole(shelf: Shelf, drive: Drive, k: int) -> Floats:
    """Hole of the strand's end at carrier k: at a fork, at a bar's centre pin, or at a finger (N,1)."""
    cols = drive.columns
    f = wheels.carrier_wheel(shelf, cols)
    if drive.carriers[k].body is None:  # the finger's own pin, taken as large as the chain's
        return take(shelf.chains.pin, cols["output_chain"])
    if f is not None:
        return f.pin_hole
    return pinned.pin_size(shelf, cols, "bar_centre_pin", pinned.sheets(shelf, cols)).in_link


def exit_hole(shelf: Shelf, drive: Drive) -> Floats:
    """Hole of the output chain's end (N,1)."""
    if drive.first is None:
        return carrier_hole(shelf, drive, 0)
    return wheels.floating(shelf, drive.columns, winder.FIRST).pin_hole


def first_pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """First wheel, fork, pins, spacers, the chain over it and its ends at the carriers."""
    f = wheels.floating(shelf, drive.columns, winder.FIRST)
    place = first_place(drive, motion)
    wheel = wheel_parts.wheel_piece(shelf, f, NAME, place, np.pi + 0.0 * f.p)
    fork = wheel_parts.fork_pieces(shelf, f, NAME, place, "exit link")
    side = take(shelf.chains.width, f.chain) / 2.0
    strands = tuple(
        Stadium(place.x + tangent, place.y, *_carrier_pin(shelf, drive, motion, k), f.h / 2.0)
        for k, tangent in enumerate((-f.R, f.R))
    )
    chain = make.chain_piece(
        shelf,
        "first stage chain",
        "chain of the first wheel",
        "first",
        "first stage chain",
        (NAME.body,),
        strands[0],
        drive.z - side,
        drive.z + side,
        f.chain,
        f.links,
    )
    ends = tuple(_carrier_end(shelf, drive, motion, k, place) for k in range(len(drive.carriers)))
    return (wheel, *fork, chain, wheel_parts.other_strand(chain, strands[1]), *ends)


def _carrier_pin(shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Floats, Floats]:
    """Where the strand of carrier k is pinned (N,P): its fork pin, its centre, or the lone finger's pin."""
    x, y = motion.carrier_x[k], drive.carriers[k].y - motion.carrier_y[k]
    m = motion.second[k]
    if m is None:
        return x, y
    return Place(x, y, m.sine_in, m.tilt, drive.z).behind(wheels.carrier_fork(shelf, drive.columns))


def _carrier_end(shelf: Shelf, drive: Drive, motion: Motion, k: int, place: Place) -> Piece:
    """End piece of the first wheel's chain at carrier k; longer where the carrier lies further away."""
    cols = drive.columns
    f = wheels.floating(shelf, cols, winder.FIRST)
    least = np.minimum(drive.carriers[0].L_in, drive.carriers[1].L_in)
    length = f.connector + (drive.carriers[k].L_in - least)
    x, y = _carrier_pin(shelf, drive, motion, k)
    x2, y2 = wheel_parts.toward(x, y, place.x + (f.R if k else -f.R), place.y, length)
    pin = take(shelf.chains.pin, f.chain)
    return wheel_parts.end_piece(
        shelf,
        f"carrier strand end {'ab'[k]}",
        f"chain end at carrier {'ab'[k]}",
        "first",
        f"carrier link {'ab'[k]}",
        ("first stage chain", f"carrier {'ab'[k]}"),
        (x, y, x2, y2),
        cols["end_width_mm"],
        drive.z,
        cols["link_plate"],
        f.n_end,
        (carrier_hole(shelf, drive, k), pin),
        wheel_parts.end_fit(drive.carriers[k], f.n_end),
        wheel_parts.inside_end(shelf, cols, drive.carriers[k]),
    )
