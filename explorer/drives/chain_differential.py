"""First stage "chain differential": an input wheel turns a gear cage, two side gears wind one strand each.

Shaft along x.  In words, from the index side: bracket with its bush; chain wheel A; cage plate A; side
gear A; the middle, where the two planets of each pair mesh; side gear B; cage plate B; input wheel; chain
wheel B; bracket with its bush.  Each chain wheel has a boss toward its side gear that passes through the
bore of the cage plate (and, at B, of the input wheel) and meets the gear face to face; the output pins
join the two there.  The cage turns on these bosses.  The input wheel's boss meets cage plate B, and the
cage pins join them.  Each planet lies over its own side gear and the middle, on a pin between the cage
plates, with a spacer beside it.  Pins of a circle count as bearing over one tooth width of a wheel,
whatever its boss.

All wheels, gears and the cage sit free on the shaft and the shaft is free in the brackets: when all turn
together, it turns with them, because the bushes rub least.  So the bushes' friction counts in the common
motion, the gears' meshes only in the skew of the shares, and no torque goes through the shaft.

Each strand leaves its wheel straight toward the fingers at the wheel's own x.  Both leave on the same
side of the shaft; with unequal wheels the larger one lies in the drawbar plane.  `strand_drop_mm` moves
the shaft back toward that plane where the cavity is low: the strands then rise or fall a little on their
way, which costs at most the cosine of `LARGEST_SLOPE` and is not counted in the pulls.  Where the wrist's motion
reverses, the input strand leaves on the other side of the shaft and is led from the finger side.

A strand is fixed to its wheel at one end and has an end piece at the other, so any whole count of links
will do: there is no parity to keep.

One carrier (two fingers) leaves nothing to split: no gears, no cage.  Input wheel and one chain wheel sit
side by side on the shaft, boss to boss, joined by the output pins.
"""

from __future__ import annotations

import numpy as np

from explorer.drives import make, wheels
from explorer.drives.bodies import GearSplit, Wheel
from explorer.drives.chain_differential_parts import loads
from explorer.drives.chain_differential_pieces import pieces
from explorer.drives.chain_differential_pins import cage_webs, output_webs, trimmed
from explorer.drives.chain_differential_strands import spare, strung
from explorer.drives.chain_differential_teeth import MOST_SIDE
from explorer.drives.chain_differential_unit import Cage, Unit, unit
from explorer.drives.family import FirstBuilt
from explorer.drives.joints import Attachment, Play
from explorer.drives.layout import Drive, carrier_lengths
from explorer.drives.motion import Motion
from explorer.drives.pieces import Limit, Pair
from explorer.drives.ratios import Input, Spool
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns, Off, Variable, choice, real, whole
from explorer.mechanics import chain, gears
from explorer.mechanics.types import Bools, Floats

__all__ = [
    "attachment", "build", "limits", "loads", "pairs", "pieces", "play", "strung", "trimmed", "variables",
]  # fmt: skip

MESHES = 3  # between the sides: side a - planet, planet - planet, planet - side b

_SEATS = ("loose", "clamped")
# What keeps the stress of the teeth: they carry a side's torque, shared among the pairs at the side gears.
_FACE = (("planet_pairs", 1.0), ("gear", 2.0), ("side_teeth", 1.0))
# What keeps the stress of n planet pins of diameter d: each bears 1/n of the load on an arm as long as a face, 1/n too,
# and bends as d cubed, so n squared times that.
_BENT = 1.5
# What keeps the metal round pins, from the bore outward: on a radius once their diameter, on a circumference
# 2 pi times it.  The input wheel turns over the bosses of the output pins.
_WHEEL = (Off(2.0 * np.pi, by="output_pin"),)
_INPUT = (*_WHEEL, Off(2.0 * np.pi, by="cage_pin"))


def variables(shelf: Shelf, carriers: int) -> tuple[Variable, ...]:
    """Its variables; one carrier has no gears."""
    pins = shelf.pins.names
    common = (
        choice("input_chain", "chain from the wrist", shelf.chains.names, "chains"),
        choice("output_chain", "chain of the strands", shelf.chains.names, "chains"),
        whole("input_teeth", "teeth of the input wheel", 8, 36, "input_chain", off=_INPUT),
        whole(
            "wheel_a_teeth",
            "teeth of chain wheel A (index side)",
            8,
            26,
            "output_chain",
            off=_WHEEL,
        ),
        choice("shaft", "shaft", shelf.shafts.names, "shafts"),
        whole("output_pins", "output pins of a side", 2, 4, "output_pin", power=2.0),
        choice("output_pin", "output pin", pins, "pins"),
        real(
            "output_pin_radius_mm",
            "radius of the output pins' circle",
            2.5,
            12.0,
            off=(Off(0.5, by="output_pin"),),
        ),
        choice("output_seat", "seat of the output pins", _SEATS),
        real("unit_x_mm", "x of the unit's middle", -20.0, 20.0),
        choice("shaft_side", "the shaft lies on the", ("palm side", "back of hand side")),
        real(
            "strand_drop_mm",
            "shaft moved back toward the drawbar plane",
            0.0,
            12.0,
            off=(Off(1.0, by="output_pin"),),
        ),
        real("strand_gap_mm", "gap on each side of a strand", 0.3, 5.0),
        real("end_width_mm", "width of the strands' end pieces", 4.0, 12.0),
        whole(
            "carrier_strand_links", "free links from chain wheel to carrier", 3, 16, "output_chain"
        ),
    )
    if carriers == 1:
        return common
    return (
        *common,
        whole(
            "wheel_b_teeth",
            "teeth of chain wheel B (little side)",
            8,
            26,
            "output_chain",
            off=_WHEEL,
        ),
        choice("gear", "gears", shelf.gears.names, "gears"),
        whole(
            "side_teeth",
            "teeth of the side gears",
            14,
            MOST_SIDE,
            "gear",
            off=(Off(2.0, by="output_pin"),),
        ),
        whole("planet_teeth", "teeth of the planets", 12, 24, "gear"),
        whole("planet_pairs", "pairs of planets", 2, 4, "planet_pin", power=_BENT),
        real("face_mm", "face width of the gears", 2.0, 8.0, _FACE),
        choice("planet_pin", "planet pin", pins, "pins"),
        whole("cage_pins", "cage pins", 2, 4, "cage_pin", power=2.0),
        choice("cage_pin", "cage pin", pins, "pins"),
        real(
            "cage_pin_radius_mm",
            "radius of the cage pins' circle",
            4.0,
            16.0,
            off=(Off(1.0, by="output_pin"), Off(0.5, by="cage_pin")),
        ),
        choice("cage_seat", "seat of the cage pins", _SEATS),
    )


def _source(shelf: Shelf) -> Input:
    """The wrist pulls by chain: never a strut; long enough not to lean."""
    w = shelf.brief.wrist
    return Input(w.reverses, strut=False, far_x=w.input_far_x, length=w.input_length, leans=False)


def build(shelf: Shelf, cols: Columns, y: tuple[Floats, ...]) -> FirstBuilt:
    """The unit behind the carriers: whole free links, a connector, and the fork of a floating wheel."""
    u = unit(shelf, cols)
    chains, one = shelf.chains, np.ones_like(u.t)
    base = cols["carrier_strand_links"] * u.a.pitch + take(chains.connector, u.a.chain)
    L_in = carrier_lengths(y, base + wheels.carrier_fork(shelf, cols))
    y_shaft = y[0] - L_in[0]
    first = None
    a2, worst = u.a.mean, u.a.largest / u.a.mean
    if u.b is not None:
        a2 = 2.0 * u.a.mean * u.b.mean / (u.a.mean + u.b.mean)
        worst = np.maximum(worst, u.b.largest / u.b.mean)
        first = GearSplit(u.a.mean, u.b.mean, shelf.brief.friction.mesh * one, MESHES)
    ratio = Spool(
        u.into.mean,
        a2,
        cols["unit_x_mm"],
        one,
        chain.ripple_factor(u.into.least, u.into.mean, worst, 1.0),
        take(chains.pin, u.into.chain),
        take(chains.pin, u.a.chain),
        shelf.brief.friction.chain * one,
        u.d_shaft,
        make.joint_mu(shelf, u.bushed),
        u.span,
        u.at_in,
        u.at_out,
        tuple(u.x0 + at for at in u.at_out),
        flat=False,
        source=_source(shelf),
    )
    return FirstBuilt(ratio, first, L_in, L_in[0], y[0] if first is None else y_shaft, y_shaft)


def attachment(shelf: Shelf, cols: Columns) -> Attachment:
    """End piece of a strand: one plate in a fork, two outside a single plate."""
    plates, i = shelf.plates, cols["link_plate"]
    w = cols["end_width_mm"]
    return Attachment(
        "end of carrier strand", take(plates.t, i), take(plates.yield_, i), w, w / 2.0, i
    )


def play(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Play, ...]:  # noqa: ARG001
    """Clearances at the input drawbar.

    A clearance c of a circle of radius r turns the cage or a side by c/r, the input by a1 c/r; clamped
    circles have none.  The shaft's clearance counts at the input and, through the ratio, at the outputs.
    Slack of chains and gears is taken up by adjusters and opening springs and not counted.
    """
    u, c, r, pins = unit(shelf, drive.columns), drive.columns, drive.ratio, shelf.pins
    assert isinstance(r, Spool)  # noqa: S101 - this family's own
    step = u.into.mean / r.a2
    out = [
        Play("shaft", wheels.running_play(shelf.shafts, c["shaft"]) * (1.0 + step)),
        Play("strand ends", wheels.PLAY * step),
    ]
    for stem in ("output",) if u.cage is None else ("output", "cage"):
        turn = wheels.reamed_play(pins, c[f"{stem}_pin"]) / c[f"{stem}_pin_radius_mm"]
        out.append(Play(f"{stem} pins", turn * u.into.mean * (1.0 - c[f"{stem}_seat"])))
    return tuple(out)


def _carrier_pairs(drive: Drive, k: int, near: tuple[str, ...]) -> list[tuple[str, str]]:
    """Carrier k against what turns near it and the input chain; a wheel hangs before its fork."""
    body, name = drive.carriers[k].body, f"carrier {'ab'[k]}"
    if body is None:
        return []
    behind = ("fork",) if isinstance(body, Wheel) else ("plate", "plate arm")
    found = [(f"{name} {piece}", part) for piece in behind for part in (*near, "input chain")]
    return [*found, (f"{name} wheel", near[-1])] if isinstance(body, Wheel) else found


def pairs(drive: Drive) -> tuple[Pair, ...]:
    """Strands beside what turns near them; carriers and the input chain against the unit and each other."""
    near = {
        "a": ("chain wheel a", "cage plate a"),
        "b": ("chain wheel b", "input wheel", "cage plate b"),
    }
    beside = [("strand a", "bracket a"), ("strand a", "cage plate a"), ("strand b", "bracket b"),
              ("strand b", "input wheel"), ("strand b", "input chain")]  # fmt: skip
    if drive.first is None:
        near = {"a": ("chain wheel a", "input wheel")}
        beside = [
            ("strand a", "bracket a"),
            ("strand a", "input wheel"),
            ("strand a", "input chain"),
        ]
    for k, n in enumerate(near):
        beside += _carrier_pairs(drive, k, near[n])
    return tuple(Pair(x, y) for x, y in beside)


def _must(shelf: Shelf) -> Bools:
    return np.array([p.must for p in shelf.demand.positions])


def _least(a: Floats, must: Bools) -> Floats:
    """Least over the must positions (N,)."""
    return np.asarray(np.where(must, a, np.inf).min(axis=1))


def _rows(limit: str, scale: float, *slacks: Floats) -> tuple[Limit, ...]:
    """One limit from several columns (N,1): the least of them."""
    least = slacks[0]
    for s in slacks[1:]:
        least = np.minimum(least, s)
    return (Limit(limit, np.ascontiguousarray(least[:, 0]), scale),)


def limits(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Limit, ...]:
    """Its own limits."""
    u, c, must = unit(shelf, drive.columns), drive.columns, _must(shelf)
    out = _wheel_limits(shelf, c, u) + _strand_limits(shelf, drive, motion, u, must)
    out += _rows("web", 0.5, *output_webs(shelf, c, u)) + _rows("hole", 0.3, *_holes(shelf, c, u))
    if u.cage is None:
        return out
    out += _rows("web", 0.5, *cage_webs(shelf, c, u, u.cage))
    return out + _gear_limits(shelf, u.cage)


def _wheel_limits(shelf: Shelf, c: Columns, u: Unit) -> tuple[Limit, ...]:
    """Teeth of the chain wheels; what is turned fits the lathe; end pieces at the chain's own pin."""
    least = float(shelf.brief.limits.min_wheel_teeth)
    tracks = (u.into, *u.outputs)
    shop, hole = shelf.brief.shop, take(shelf.chains.pin, u.a.chain)
    w, t = c["end_width_mm"], take(shelf.plates.t, c["link_plate"])
    in_link = np.where(c["doubled"] > 0.0, take(shelf.chains.inner, u.a.chain) - t, t)
    return (
        *_rows("teeth", 1.0, *(track.teeth - least for track in tracks)),
        *_rows("turned", 5.0, shop.largest_turned - 2.0 * u.reach),
        *_rows("web", 0.5, (w - hole) / 2.0 - shop.min_web),
        *_rows("edge", 0.5, w / 2.0 - shop.edge_over_thickness * t),
        *_rows("hole", 0.3, hole - np.maximum(shop.hole_over_thickness * t, shop.smallest_drill)),
        *_rows("pin_size", 0.5, in_link),
    )


def _strand_limits(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    u: Unit,
    must: Bools,
) -> tuple[Limit, ...]:
    """Wrap; end pieces stay off the teeth at full draw; slope of the strands."""
    wrap = shelf.brief.limits.wrap
    turned = [(motion.theta, u.into.teeth)]
    turned += [(y / w.mean, w.teeth) for y, w in zip(motion.carrier_y, u.outputs, strict=True)]
    out = [
        Limit("wrap", np.degrees(_least(wrap - np.abs(turn) - 2.0 * np.pi / z, must)), 20.0)
        for turn, z in turned
    ]
    for k, y in enumerate(motion.carrier_y):
        out.append(Limit("strand", _least(spare(shelf, drive, u, k, y), must), 2.0))
    return tuple(out)


def _holes(shelf: Shelf, c: Columns, u: Unit) -> tuple[Floats, ...]:
    """Every hole by the smallest drill; holes in sheet not too small for its thickness."""
    shop, pins = shelf.brief.shop, shelf.pins
    out = [take(pins.d, c["output_pin"]) - shop.smallest_drill]
    if u.cage is not None:
        sheet = np.maximum(shop.hole_over_thickness * u.t, shop.smallest_drill)
        out += [take(pins.d, c[k]) - sheet for k in ("cage_pin", "planet_pin")]
    return tuple(out)


def _gear_limits(shelf: Shelf, g: Cage) -> tuple[Limit, ...]:
    """Assembly (whole), tips clear (arc on the cage circle, mm), teeth to be had and free of interference."""
    s = shelf.gears
    left = gears.assembly_remainder(g.z_side, g.z_side, g.n)
    tips = gears.planet_tip_fits(g.n, g.z_side, g.z_planet) * g.circle
    ratio = np.maximum(g.z_side, g.z_planet) / np.minimum(g.z_side, g.z_planet)
    pinion = np.minimum(g.z_side, g.z_planet)
    twin = g.z_planet - gears.LEAST_TEETH  # a pair's planets are equal gears
    low, high = take(s.min_teeth, g.gear), take(s.max_teeth, g.gear)
    return _rows("gears", 0.3, 0.0 - left, tips) + _rows(
        "teeth",
        1.0,
        pinion - gears.least_pinion_teeth(ratio),
        twin,
        pinion - low,
        high - np.maximum(g.z_side, g.z_planet),
    )
