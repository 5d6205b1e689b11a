"""Second scorer, what the shop and the stops leave: limits of levers, bars, winders and floating wheels.

Each slack is what is left of a rule, told from the sizes; the least of several stands for its kind.
Tilt, transmission and leans stand with the scores.  Chain differentials have a twin in `tests/drives`.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, degrees, pi, sin, sqrt

from tests.outside.second.plan import Bar, Plan, Rocker, Wheel, bent_span
from tests.outside.second.score import Moment
from tests.outside.second.sizes import (
    CARRIER,
    FIRST,
    Floating,
    Makings,
    Track,
    carrier_wheel,
    floating,
    stack,
)

Slack = tuple[str, float]


def least(slacks: Iterator[Slack]) -> dict[str, float]:
    """The least of each kind."""
    found: dict[str, float] = {}
    for kind, slack in slacks:
        found[kind] = min(slack, found.get(kind, slack))
    return found


def first(p: Plan, ms: list[Moment]) -> dict[str, float]:
    """Of the first stage; nothing of differentials."""
    if isinstance(p.ratio, Rocker):
        return least(_levers(p))
    return least(_winder(p, ms)) if p.ratio.along == "z" else {}


def second(p: Plan, ms: list[Moment], k: int) -> dict[str, float]:
    """Of carrier k, a pair."""
    body, m = p.carriers[k].body, p.m
    if isinstance(body, Wheel):
        return least(_wheel(m, floating(m, *CARRIER), _apart(ms, k)))
    assert isinstance(body, Bar)
    return least(_bar(p, k, body))


def _sheet(
    m: Makings, w: float, t: float, holes: list[float], metal: list[float]
) -> Iterator[Slack]:
    """A plate of width w with holes on its middle line; `metal` left between neighbours."""
    shop = m.brief.shop
    yield "web", min((w - max(holes)) / 2.0, *metal, 1e9) - shop.min_web
    yield "edge", w / 2.0 - shop.edge_over_thickness * t
    yield "hole", min(holes) - max(shop.hole_over_thickness * t, shop.smallest_drill)


def _link(m: Makings, w: float, length: float, a: float, b: float) -> Iterator[Slack]:
    yield from _sheet(m, w, m.link.thickness, [a, b], [length - a / 2.0 - b / 2.0])


def _plate(m: Makings, stem: str, body: Bar) -> Iterator[Slack]:
    centre = m.joint(f"{stem}_centre_pin", m.turning).in_plate
    end = m.joint(f"{stem}_end_pin", m.turning).in_plate
    metal = [reach - (centre + end) / 2.0 for reach in bent_span(body)]
    yield from _sheet(m, m.real(f"{stem}_width_mm"), m.plate.thickness, [centre, end], metal)


def _thin(m: Makings, length: float) -> Slack:
    return "thin", m.plate.thickness * (2.0 if m.doubled else 1.0) - length / 25.0


def _bar(p: Plan, k: int, body: Bar) -> Iterator[Slack]:
    m = p.m
    end = m.joint("bar_end_pin", m.turning).in_link
    yield from _plate(m, "bar", body)
    for L in p.carriers[k].L_out:
        yield from _link(m, m.eye(end, m.link.thickness), L, end, end)
    yield _thin(m, body.l_a + body.l_b)


def _levers(p: Plan) -> Iterator[Slack]:
    m, r = p.m, p.ratio
    assert isinstance(r, Rocker)
    pivot, drawbar = m.joint("pivot_pin", m.plate), m.joint("drawbar_pin", m.turning)
    w, t, pin = m.real("rocker_width_mm"), m.plate.thickness, drawbar.in_plate
    metal = [arm - (pivot.hole + pin) / 2.0 for arm in (r.r_in, r.r_out)]
    longest = r.r_in + r.r_out
    if not m.brief.wrist.reverses:
        longest = max(r.r_in, r.r_out)
        square = r.r_in**2 + r.r_out**2 - 2.0 * r.r_in * r.r_out * cos(r.dogleg)
        metal.append(sqrt(max(square, 0.0)) - pin)
    yield from _sheet(m, w, t, [pivot.hole, pin], metal)
    yield from _sheet(m, w, t, [pivot.pin.d], [])  # cheeks
    yield _thin(m, longest)
    wheel = carrier_wheel(m)
    start = m.joint("lever_end_pin", m.turning).in_link if p.first else drawbar.in_link
    if wheel is None:
        far, fork = m.joint("bar_centre_pin", m.turning).in_link, 0.0
        wide = m.eye(max(start, far), m.link.thickness)
    else:
        far, fork, wide = wheel.pin.hole, wheel.fork, wheel.end_w
    if not isinstance(p.first, Bar):
        yield from _link(m, wide, p.L_exit - fork, start, far)
        return
    yield from _plate(m, "lever", p.first)
    yield _thin(m, p.first.l_a + p.first.l_b)
    centre = m.joint("lever_centre_pin", m.turning).in_link
    own = m.eye(max(centre, drawbar.in_link), m.link.thickness)
    yield from _link(m, own, p.L_exit, drawbar.in_link, centre)
    for c in p.carriers:
        alone = c.body is None
        yield from _link(m, wide, c.L_in - (0.0 if alone else fork), start, start if alone else far)


def _apart(ms: list[Moment], k: int | None) -> float:
    """Largest difference of the two draws of a wheel."""
    stages = [m.shape.first if k is None else m.shape.second[k] for m in ms if m.at.must]
    return max(abs(s.s_a - s.s_b) for s in stages if s is not None)


def _among_teeth(t: Track) -> float:
    """Strand beyond the tangent point that lies among the teeth."""
    return sqrt(max(t.tip * t.tip - t.mean * t.mean, 0.0)) if t.teeth else 0.0


def _wheel(m: Makings, f: Floating, apart: float) -> Iterator[Slack]:
    shop, c, t, end = m.brief.shop, f.track.chain, m.plate.thickness, m.link.thickness
    odd = f.links % 2 == 1 and c.offset_factor <= 0.0
    free = (f.links - f.track.teeth / 2.0) * c.pitch / 2.0
    yield "teeth", f.track.teeth - m.brief.limits.min_wheel_teeth
    yield "strand", free - _among_teeth(f.track) - apart / 2.0
    yield "parity", -1.0 if odd else 1.0
    yield "web", f.track.root - f.axle.hole / 2.0 - shop.min_web
    yield "web", (f.end_w - f.pin.hole) / 2.0 - shop.min_web
    yield "edge", f.end_w / 2.0 - shop.edge_over_thickness * end
    for d, sheet in ((f.axle.pin.d, t), (f.pin.pin.d, t), (f.pin.hole, end), (c.pin, end)):
        yield "hole", d - max(shop.hole_over_thickness * sheet, shop.smallest_drill)
    yield "turned", shop.largest_turned - 2.0 * f.track.tip
    ends = 1 if m.doubled else 2
    yield "pin_size", f.inside - ends * end - 2.0 * shop.gap
    if m.doubled:
        yield "pin_size", c.inner_width - end


def _winder(p: Plan, ms: list[Moment]) -> Iterator[Slack]:
    m, s, shop = p.m, stack(p.m), p.m.brief.shop
    must = [x for x in ms if x.at.must]
    turn = max(x.shape.theta for x in must)
    standing = 2.0 * max(t.chain.pitch / t.mean for t in (s.into, s.out))
    yield "wrap", degrees(m.brief.limits.wrap - turn - standing)
    for t in (s.into, s.out):
        if t.teeth:
            yield "teeth", t.teeth - m.brief.limits.min_wheel_teeth
        else:
            yield "teeth", 2.0 * pi * (t.low - t.chain.bend_radius) / t.chain.pitch
        yield "turned", shop.largest_turned - 2.0 * t.tip
        yield "web", t.root - s.shaft.pin.d / 2.0 - shop.min_web
    if m.v["one_piece"] != "one piece":
        n, r, d = (
            m.real("drive_pins"),
            m.real("drive_pin_radius_mm"),
            m.joint("drive_pin", m.plate).pin.d,
        )
        yield "web", min(s.into.root, s.out.root) - r - d / 2.0 - shop.min_web
        yield "web", r - d / 2.0 - s.shaft.pin.d / 2.0 - shop.min_web
        yield "web", 2.0 * r * sin(pi / n) - d - shop.min_web
    free = m.real("exit_links") * s.out.chain.pitch - _among_teeth(s.out)
    yield "strand", free - max(x.shape.Y for x in must)
    sheet, end, pin = m.plate.thickness, m.link.thickness, s.out.chain.pin
    yield "hole", s.shaft.hole - max(shop.hole_over_thickness * sheet, shop.smallest_drill)
    yield "hole", pin - max(shop.hole_over_thickness * end, shop.smallest_drill)
    w = m.real("end_width_mm")
    yield "edge", w / 2.0 - shop.edge_over_thickness * end
    yield "web", (w - pin) / 2.0 - shop.min_web
    yield "pin_size", s.out.chain.inner_width - end if m.doubled else 1.0
    if p.first is not None:
        yield from _wheel(m, floating(m, *FIRST), _apart(ms, None))
