"""Second scorer, what chains, wheels, shafts and gears carry in one position, each part cut free."""

from __future__ import annotations

from math import sqrt

from tests.outside.second.checks import Bore, Circle, Eye, Pin, Record, Run, Shaft, Tooth
from tests.outside.second.equal import Stage, size
from tests.outside.second.hand import Vec, length
from tests.outside.second.levers import End, Pulls, between, hold_of
from tests.outside.second.plan import Plan, Spool
from tests.outside.second.ratio import bushes, shaft_loads
from tests.outside.second.score import Moment
from tests.outside.second.sizes import (
    CARRIER,
    FIRST,
    Floating,
    Makings,
    Track,
    Unit,
    floating,
    named,
    stack,
    unit,
)

WHEEL_YIELD = 500.0  # MPa, bought wheels (assumed)
TOOTH = 0.93  # width of a tooth over the chain's inner width
SEAT = 1.5  # depth of a drive pin's seat over its diameter


def ends(m: Makings) -> float:
    """Plates at a chain's end: one in a fork's middle, or two outside a single plate."""
    return 1.0 if m.doubled else 2.0


def end_eye(m: Makings, key: str, force: float, w: float, d: float) -> Eye:
    return Eye(key, force, w, d, ends(m) * m.link.thickness, m.metal(m.link).yield_)


def run(key: str, force: float, t: Track, turn: float, strength: float = 1.0) -> Run:
    c = t.chain
    return Run(key, force, turn, c.tensile * strength, c.pitch / t.mean, c.pitch, c.inner_width)


def floating_records(
    m: Makings, f: Floating, body: str, s: Stage, pull: float, pulls: tuple[float, float], hold: End
) -> list[Record]:
    """Axle, fork and chain of a floating wheel; the fork hangs in line with what pulls it."""
    P, n = pull * size(s.link_in), ends(m)
    t, sy = m.plate.thickness, m.metal(m.plate).yield_
    a, q = f.axle, f.pin
    t_end = n * hold.t
    gap = max((f.inside - t_end) / 2.0, m.brief.shop.gap)
    odd = f.links % 2 == 1 and f.track.chain.offset_factor > 0.0
    T = max(pulls[0] * size(s.link_a), pulls[1] * size(s.link_b))
    return [
        Pin(f"{body} axle", P, s.tilt, a.pin.d, t, (f.inside - f.width) / 2.0, f.width, a.pin.yield_,
            sy, sy, a.hole, a.wear, f.width),
        Pin(f"{body} fork pin", P, between((0.0, 1.0), s.link_in), q.pin.d, t, gap, t_end,
            q.pin.yield_, sy, hold.sy, q.hole, q.wear, t_end),
        Eye(f"{body} fork at axle", P, f.fork_w, a.pin.d, 2.0 * t, sy),
        Eye(f"{body} fork at pin", P, f.fork_w, q.pin.d, 2.0 * t, sy),
        Eye(f"{body} held end", P, hold.w, q.hole, t_end, hold.sy),
        run(f"{body} chain", T, f.track, s.tilt, f.track.chain.offset_factor if odd else 1.0),
    ]  # fmt: skip


def wheel_stage(p: Plan, at: Moment, q: Pulls, k: int) -> list[Record]:
    """A carrier's floating wheel and the chain's ends at its fingers."""
    m, s = p.m, at.shape.second[k]
    assert s is not None
    f = floating(m, *CARRIER)
    i, j = p.carriers[k].fingers
    pulls = (q.finger[i], q.finger[j])
    out = floating_records(m, f, f"carrier {'ab'[k]}", s, q.carrier[k], pulls, hold_of(m))
    w = max(f.track.chain.height, f.end_w)
    for n, F, link in ((i, pulls[0], s.link_a), (j, pulls[1], s.link_b)):
        out.append(end_eye(m, f"finger end {n}", F * size(link), w, f.track.chain.pin))
    return out


def winder_stage(p: Plan, at: Moment, q: Pulls) -> list[Record]:
    """Chains, shaft in its bushes, what joins the tracks, and the first wheel."""
    m, r, u = p.m, p.ratio, stack(p.m)
    assert isinstance(r, Spool)
    sh, theta = at.shape, at.shape.theta
    strand = q.F_out * size(sh.leaving[0])
    torque = strand * u.out.mean
    width = m.real("end_width_mm")
    out: list[Record] = [
        run("input chain", q.F_in, u.into, theta),
        run("output chain", strand, u.out, theta),
        end_eye(m, "output chain end", strand, width, u.out.chain.pin),
    ]
    near, far = bushes(p, r, sh, q.F_in, (q.F_out,))
    plate = m.plate
    t, sy, j = plate.thickness, m.metal(plate).yield_, u.shaft
    for name, R, track in (("output track", near, u.out), ("input track", far, u.into)):
        out.append(
            Pin(f"winder bush at the {name}", 2.0 * length(R), theta, j.pin.d, t, m.brief.shop.gap,
                track.wide, j.pin.yield_, sy, sy, j.pin.d, j.wear, 2.0 * t, j.hole)
        )  # fmt: skip
    for name, R, arm in (("output track", near, u.at_out), ("input track", far, u.span - u.at_in)):
        M = length((R[0] * arm, R[1] * arm))
        out.append(Shaft(f"shaft at the {name}", M, torque, j.pin.d, j.pin.yield_))
    out.append(_between(m, torque))
    if sh.first is not None:
        out += _first_wheel(p, sh.first, q, width)
    return out


def _between(m: Makings, torque: float) -> Record:
    """Drive pins between the tracks, or the one-piece body round its bore."""
    u, sy = stack(m), m.metal(m.plate).yield_
    if m.v["one_piece"] == "one piece":
        root = min(u.into.root, u.out.root)
        return Bore("winder body", torque, 2.0 * root, u.shaft.pin.d, sy)
    pin = named(m.stock.pins, m.v["drive_pin"])
    seats = (min(u.into.wide, SEAT * pin.d), min(u.out.wide, SEAT * pin.d))
    n = m.real("drive_pins") * m.brief.strength.circle_share
    return Circle(
        "winder drive pins", torque, n, m.real("drive_pin_radius_mm"), pin.d, *seats, True,
        pin.yield_, sy, sy,
    )  # fmt: skip


def _first_wheel(p: Plan, s: Stage, q: Pulls, width: float) -> list[Record]:
    m = p.m
    f, given = floating(m, *FIRST), (q.given[0], q.given[1])
    hold = End(m.link.thickness, m.metal(m.link).yield_, width)
    out = floating_records(m, f, "first stage", s, q.F_out, given, hold)
    for n, F, link in (("a", given[0], s.link_a), ("b", given[1], s.link_b)):
        out.append(end_eye(m, f"carrier strand end {n}", F * size(link), width, f.track.chain.pin))
    return out


def tooth_width(t: Track) -> float:
    return TOOTH * t.chain.inner_width


def cage_stage(p: Plan, at: Moment, q: Pulls) -> list[Record]:
    """The differential on its shaft: bushes, brackets, chains, shaft, circles, gears."""
    m, r, u = p.m, p.ratio, unit(p.m)
    assert isinstance(r, Spool)
    sh = at.shape
    strands = [F * size(link) for F, link in zip(q.given, sh.leaving, strict=True)]
    near, far = bushes(p, r, sh, q.F_in, q.given)
    plate, j = m.plate, u.shaft
    t, sy = plate.thickness, m.metal(plate).yield_
    last = (u.span - u.at_in, u.into) if u.cage is None else (u.span - u.at_out[1], u.outs[1])
    out: list[Record] = []
    for n, R, (arm, track) in (("a", near, (u.at_out[0], u.outs[0])), ("b", far, last)):
        face = tooth_width(track)
        out += [
            Pin(f"shaft bush {n}", 2.0 * length(R), sh.theta, j.pin.d, t, arm - face / 2.0 - t / 2.0,
                2.0 * face, j.pin.yield_, sy, WHEEL_YIELD, j.pin.d, j.wear, 2.0 * t, j.hole),
            Eye(f"bracket {n}", length(R), m.eye(j.hole, t), j.hole, t, sy),
        ]  # fmt: skip
    out.append(Shaft("shaft", _largest_moment(p, r, at, q), 0.0, j.pin.d, j.pin.yield_))
    out.append(run("input chain", q.F_in, u.into, sh.theta))
    for k, track in enumerate(u.outs):
        n = "ab"[k]
        slope = _drop(m, u, k) / max(_line(p, at, k), track.chain.pitch)
        force = strands[k] * sqrt(1.0 + slope * slope)
        out += [
            run(f"strand {n}", force, track, sh.carrier_y[k] / track.mean),
            end_eye(m, f"strand {n} end", strands[k], m.real("end_width_mm"), track.chain.pin),
        ]
    cage = q.F_in * u.into.mean
    if u.cage is None:
        faces = (tooth_width(u.into), tooth_width(u.outs[0]))
        circle = _circle(m, "output", "output pins", cage, faces, (WHEEL_YIELD, WHEEL_YIELD))
        return [*out, circle]
    return out + _gears(p, at, u, cage, [F * w.mean for F, w in zip(strands, u.outs, strict=True)])


def _largest_moment(p: Plan, r: Spool, at: Moment, q: Pulls) -> float:
    """Of the beam on two bushes: under one of its loads."""
    loads = shaft_loads(p, r, at.shape, q.F_in, q.given)
    near = bushes(p, r, at.shape, q.F_in, q.given)[0]

    def moment(x: float) -> float:
        parts: list[Vec] = [(near[i] * x, 0.0) for i in (0, 1)]
        sums = [parts[i][0] - sum(F[i] * (x - z) for z, F in loads if z < x) for i in (0, 1)]
        return length((sums[0], sums[1]))

    return max(moment(z) for z, _ in loads)


def _drop(m: Makings, u: Unit, k: int) -> float:
    """How far strand k leaves off the drawbars' plane."""
    return abs(max(w.mean for w in u.outs) - u.outs[k].mean - m.real("strand_drop_mm"))


def _line(p: Plan, at: Moment, k: int) -> float:
    """From chain wheel k to its nearer finger pin."""
    c = p.carriers[k]
    return c.L_in - at.shape.carrier_y[k] + min(c.L_out, default=0.0)


def _circle(
    m: Makings, stem: str, key: str, torque: float, t: tuple[float, float], sy: tuple[float, float]
) -> Circle:
    pin = named(m.stock.pins, m.v[f"{stem}_pin"])
    n = m.real(f"{stem}_pins") * m.brief.strength.circle_share
    return Circle(
        key, torque, n, m.real(f"{stem}_pin_radius_mm"), pin.d, *t, m.v[f"{stem}_seat"] == "clamped",
        pin.yield_, *sy,
    )  # fmt: skip


def _gears(p: Plan, at: Moment, u: Unit, cage: float, sides: list[float]) -> list[Record]:
    """Circles, teeth, planet pins; each side's moment goes through all its planets."""
    m, g = p.m, u.cage
    assert g is not None
    t, plate_sy = m.plate.thickness, m.metal(m.plate).yield_
    gear = named(m.stock.gears, m.v["gear"])
    face, n = m.real("face_mm"), m.real("planet_pairs")
    out: list[Record] = [
        _circle(m, "cage", "cage pins", cage, (tooth_width(u.into), t), (WHEEL_YIELD, plate_sy))
    ]
    for name, T, w in zip("ab", sides, u.outs, strict=True):
        sy = (gear.yield_, WHEEL_YIELD)
        out.append(_circle(m, "output", f"output pins {name}", T, (face, tooth_width(w)), sy))
    F = max(sides) / (n * g.r_side)
    for name, z in (("side gear", m.real("side_teeth")), ("planet", m.real("planet_teeth"))):
        out.append(Tooth(f"{name} tooth", F, face, gear.module, z, gear.yield_))
    return [*out, _planet_pin(m, at, u, F)]


def mesh(to: Vec, F: float, turn: float) -> Vec:
    """Force of one mesh on a gear at the origin whose partner lies toward `to`: along and across."""
    tan20 = 0.36397023426620234
    d = length(to)
    e = (to[0] / d, to[1] / d)
    return -F * tan20 * e[0] - turn * F * e[1], -F * tan20 * e[1] + turn * F * e[0]


def _planet_pin(m: Makings, at: Moment, u: Unit, F: float) -> Pin:
    """A planet between its side gear and its partner; its pin between the cage plates."""
    g = u.cage
    assert g is not None
    circle = g.r_side + g.r_planet
    sin_psi = g.r_planet / circle
    cos_psi = sqrt(1.0 - sin_psi * sin_psi)
    side: Vec = (0.0, -1.0)  # toward the shaft
    partner: Vec = (cos_psi, -sin_psi)  # across the middle between both pins
    t, gap, face = m.plate.thickness, m.brief.shop.gap, m.real("face_mm")
    wide = 2.0 * face + gap
    span = g.x_plate_b - g.x_plate_a
    # from the far plate: the mesh with the side gear, and with the partner one face and gap nearer
    a_side = span - t / 2.0 - gap - face / 2.0
    a_partner = a_side - face - gap
    near = (a_side + a_partner) / 2.0 / span  # share of the nearer cage plate of an even load
    plate_loads = []
    for turn in (-1.0, 1.0):
        # the planet turns no couple on its pin, so both meshes drive it opposite ways round
        a, b = mesh(side, F, turn), mesh(partner, F, -turn)
        held = [(a[i] * a_side + b[i] * a_partner) / span for i in (0, 1)]
        plate_loads.append(length((held[0], held[1])))
    pin = named(m.stock.pins, m.v["planet_pin"])
    w, turning = m.brief.wear, m.plate.metal
    k = w.hard_pair if pin.hardened else w.bare.get(turning, max(w.bare.values()))
    gear = named(m.stock.gears, m.v["gear"])
    s = at.shape.first
    assert s is not None
    turn = s.tilt * m.real("side_teeth") / m.real("planet_teeth")
    # spread evenly over the planet: no shear at near*wide from its end, M = R (t/2 + gap + near wide/2)
    return Pin(
        "planet pin", 2.0 * max(plate_loads), turn, pin.d, t, gap + wide * near / 2.0 - wide / 4.0,
        wide, pin.yield_, m.metal(m.plate).yield_, gear.yield_, pin.d, k, wide,
    )  # fmt: skip
