"""Second scorer, what pinned parts carry in one position: rocker, links, levers and bars.

Each link is a two-force member, each lever is cut free at its pins.  How far a pin turns in a plate is
the angle between the lever's own line and the link on that pin.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2

from tests.outside.second.checks import Eye, Lever, Pin, Record, Strut
from tests.outside.second.equal import Stage, size, turned
from tests.outside.second.hand import Vec, cross, dot, length, less
from tests.outside.second.plan import Plan, Rocker
from tests.outside.second.ratio import input_pin, out_pin
from tests.outside.second.score import Moment
from tests.outside.second.sizes import Joint, Makings, carrier_wheel


@dataclass(frozen=True)
class Pulls:
    """Pulls along y, high sides: input, output, what the first stage gives and what carriers carry."""

    F_in: float
    F_out: float
    given: tuple[float, ...]
    carrier: tuple[float, ...]
    finger: tuple[float, ...]


@dataclass(frozen=True)
class End:
    """The end that holds a carrier at its centre pin: one plate's thickness, yield, width, its name's key."""

    t: float
    sy: float
    w: float


def between(a: Vec, b: Vec) -> float:
    """Angle from a to b."""
    return atan2(cross(a, b), dot(a, b))


def times(F: float, v: Vec) -> Vec:
    return F * v[0], F * v[1]


def plates(m: Makings) -> float:
    """Thickness of a lever's plates together."""
    return (2.0 if m.doubled else 1.0) * m.plate.thickness


def links(m: Makings) -> float:
    """Thickness of a link's plates together."""
    return (1.0 if m.doubled else 2.0) * m.link.thickness


def joint(m: Makings, j: Joint, key: str, load: float, angle: float) -> Pin:
    """A lever between two links, or a link between two lever plates."""
    fork, mid = (m.plate, m.link) if m.doubled else (m.link, m.plate)
    return Pin(
        key, load, angle, j.pin.d, fork.thickness, m.brief.shop.gap, mid.thickness, j.pin.yield_,
        m.metal(fork).yield_, m.metal(mid).yield_, j.hole, j.wear, mid.thickness,
    )  # fmt: skip


def plate_eye(m: Makings, key: str, load: float, w: float, d: float) -> Eye:
    return Eye(key, load, w, d, plates(m), m.metal(m.plate).yield_)


def link_eye(m: Makings, key: str, load: float, w: float, d: float) -> Eye:
    return Eye(key, load, w, d, links(m), m.metal(m.link).yield_)


def bar_records(
    m: Makings, stem: str, name: str, w: float, s: Stage, pull: float,
    pulls: tuple[float, float], hold: End | None,
) -> list[Record]:  # fmt: skip
    """A bar on its three pins."""
    centre, end = m.joint(f"{stem}_centre_pin", m.turning), m.joint(f"{stem}_end_pin", m.turning)
    axis = turned((1.0, 0.0), s.tilt)
    rows = (
        ("centre", centre, pull, s.link_in),
        ("end a", end, pulls[0], s.link_a),
        ("end b", end, pulls[1], s.link_b),
    )
    out: list[Record] = []
    for where, j, F, link in rows:
        force = F * size(link)
        out += [
            joint(m, j, f"{name} {where} pin", force, between(axis, link)),
            plate_eye(m, f"{name} {where} eye", force, w, j.in_plate),
        ]
    if hold is not None:
        n = 1.0 if m.doubled else 2.0
        force = pull * size(s.link_in)
        out.append(Eye(f"{name} holding eye", force, hold.w, centre.in_link, n * hold.t, hold.sy))
    moments = [abs(cross(at, times(F, link))) for at, F, link in (
        (s.end_a, pulls[0], s.link_a), (s.end_b, pulls[1], s.link_b))]  # fmt: skip
    sy = m.metal(m.plate).yield_
    out.append(Lever(f"{name} bending", max(moments), w, centre.in_plate, plates(m), sy))
    return out


def carrier_hole(m: Makings) -> float:
    """Hole of a link at a carrier."""
    wheel = carrier_wheel(m)
    return wheel.pin.hole if wheel else m.joint("bar_centre_pin", m.turning).in_link


def exit_widths(m: Makings) -> tuple[float, float]:
    """Widths of the exit link and of the carrier links."""
    two, wheel = len(m.groups) == 2, carrier_wheel(m)
    start = m.joint("lever_end_pin" if two else "drawbar_pin", m.turning).in_link
    w = wheel.end_w if wheel else m.eye(max(start, carrier_hole(m)), m.link.thickness)
    if not two:
        return w, w
    ends = [m.joint(k, m.turning).in_link for k in ("drawbar_pin", "lever_centre_pin")]
    return m.eye(max(ends), m.link.thickness), w


def hold_of(m: Makings) -> End:
    """What holds the carriers: a link's end, or a strand's end piece."""
    w = exit_widths(m)[1] if "pivot_pin" in m.v else m.real("end_width_mm")
    return End(m.link.thickness, m.metal(m.link).yield_, w)


def rocker_records(p: Plan, at: Moment, q: Pulls) -> list[Record]:
    r, m = p.ratio, p.m
    assert isinstance(r, Rocker)
    w = m.real("rocker_width_mm")
    pivot, drawbar = m.joint("pivot_pin", m.plate), m.joint("drawbar_pin", m.turning)
    entry = input_pin(p, r, at.shape.theta)
    exit_at, link = out_pin(r, at.shape.theta), at.shape.leaving[0]
    F_in, F_out = times(q.F_in, entry.pull), times(q.F_out, link)
    R = length((F_in[0] + F_out[0], F_in[1] + F_out[1]))
    t, plate = plates(m), m.plate
    sy = m.metal(plate).yield_
    out: list[Record] = [
        Pin("rocker pivot pin", R, between((1.0, 0.0), times(r.side, exit_at)), pivot.pin.d,
            plate.thickness, m.brief.shop.gap, t, pivot.pin.yield_, sy, sy, pivot.hole, pivot.wear, t),
        joint(m, drawbar, "rocker in pin", length(F_in), between(entry.pin, entry.pull)),
        joint(m, drawbar, "rocker out pin", length(F_out), between(exit_at, link)),
        plate_eye(m, "rocker pivot eye", R, w, pivot.hole),
        plate_eye(m, "rocker in eye", length(F_in), w, drawbar.in_plate),
        plate_eye(m, "rocker out eye", length(F_out), w, drawbar.in_plate),
        Eye("frame cheeks eye", R, w, pivot.pin.d, 2.0 * plate.thickness, sy),
    ]  # fmt: skip
    if m.brief.wrist.reverses:  # bent at the pivot by either arm
        M = max(abs(cross(entry.pin, F_in)), abs(cross(exit_at, F_out)))
        hole = pivot.hole
    else:  # bent at the inner pin by the outer force
        far = (
            cross(less(entry.pin, exit_at), F_in)
            if r.r_in >= r.r_out
            else cross(less(exit_at, entry.pin), F_out)
        )
        M, hole = abs(far), drawbar.in_plate
    out.append(Lever("rocker bending", M, w, hole, t, sy))
    wrist = m.brief.wrist
    if wrist.reverses and wrist.input_strut == "strut":
        metal = m.metal(m.link)
        out.append(Strut("input strut", length(F_in), wrist.input_length,
                         wrist.input_strut_diameter, metal.modulus, metal.yield_))  # fmt: skip
    return out


def lever_stage(p: Plan, at: Moment, q: Pulls) -> list[Record]:
    """Rocker, exit link, first lever and the links to the carriers."""
    m = p.m
    out = rocker_records(p, at, q)
    w_exit, w_carrier = exit_widths(m)
    pull = q.F_out * size(at.shape.leaving[0])
    drawbar = m.joint("drawbar_pin", m.turning)
    out.append(link_eye(m, "exit link wrist end eye", pull, w_exit, drawbar.in_link))
    s = at.shape.first
    if s is None:
        return out
    centre, end = m.joint("lever_centre_pin", m.turning), m.joint("lever_end_pin", m.turning)
    out.append(link_eye(m, "exit link finger end eye", pull, w_exit, centre.in_link))
    for k, link in enumerate((s.link_a, s.link_b)):
        name, force = f"carrier link {'ab'[k]}", q.given[k] * size(link)
        out.append(link_eye(m, f"{name} wrist end eye", force, w_carrier, end.in_link))
        if p.carriers[k].body is None:
            out.append(link_eye(m, f"{name} finger end eye", force, w_carrier, end.in_link))
    w = m.real("lever_width_mm")
    return out + bar_records(
        m, "lever", "first lever", w, s, q.F_out, (q.given[0], q.given[1]), None
    )


def bar_stage(p: Plan, at: Moment, q: Pulls, k: int) -> list[Record]:
    """One bar and its finger links."""
    m, s = p.m, at.shape.second[k]
    assert s is not None
    i, j = p.carriers[k].fingers
    out = bar_records(
        m, "bar", f"carrier {'ab'[k]}", m.real("bar_width_mm"), s, q.carrier[k],
        (q.finger[i], q.finger[j]), hold_of(m),
    )  # fmt: skip
    hole = m.joint("bar_end_pin", m.turning).in_link
    w = m.eye(hole, m.link.thickness)
    for f, link in ((i, s.link_a), (j, s.link_b)):
        force = q.finger[f] * size(link)
        out += [
            link_eye(m, f"finger link {f} {end} end eye", force, w, hole)
            for end in ("wrist", "finger")
        ]
    return out
