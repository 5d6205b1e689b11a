"""Drives that no file describes, with any arms and links, as the second scorer takes them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from explorer.drives import bodies, layout, ratios
from explorer.drives.pulls import shares
from explorer.drives.pulls import ways as package_ways
from tests.drives.random_drives import Sample
from tests.factories import make_brief, make_stock
from tests.outside.second.compare import Row, body_rows, way_rows
from tests.outside.second.equal import shape
from tests.outside.second.plan import Bar, Carrier, Gears, Plan, Rocker, Spool, Wheel
from tests.outside.second.ratio import ratio, ways
from tests.outside.second.sizes import Makings


def plan_of(s: Sample) -> Plan:
    """The same numbers in the second scorer's records."""
    d = s.drive
    source = d.ratio.source
    brief = make_brief(len(s.pin_x))
    fingers = tuple(
        replace(f, knuckle_x=float(x)) for f, x in zip(brief.fingers, s.pin_x, strict=True)
    )
    strut = "strut" if source.strut else "led from finger side" if source.reverses else "none"
    wrist = replace(
        brief.wrist, reverses=source.reverses, input_strut=strut, input_far_x=source.far_x,
        input_length=source.length,
    )  # fmt: skip
    brief = replace(brief, fingers=fingers, wrist=wrist)
    m = Makings(brief, make_stock(), {}, tuple(c.fingers for c in d.carriers))
    carriers = tuple(
        Carrier(c.fingers, _second(c), _one(c.L_in), tuple(_one(L) for L in c.L_out))
        for c in d.carriers
    )
    return Plan(m, d.architecture, _ratio(d.ratio), _body(d.first), carriers, _one(d.L_exit))


def _one(x: np.ndarray | float) -> float:
    return float(np.asarray(x).reshape(-1)[0])


def _second(c: layout.Carrier) -> Bar | Wheel | None:
    body = _body(c.body)
    assert not isinstance(body, Gears)
    return body


def _body(b: bodies.Bar | bodies.Wheel | bodies.GearSplit | None) -> Bar | Wheel | Gears | None:
    if isinstance(b, bodies.Bar):
        return Bar(*(_one(x) for x in (b.l_a, b.l_b, b.e, b.d_centre, b.d_end, b.mu)))
    if isinstance(b, bodies.Wheel):
        return Wheel(*(_one(x) for x in (b.D, b.d_axle, b.mu_j, b.d_chain, b.mu_c)))
    if isinstance(b, bodies.GearSplit):
        return Gears(_one(b.r_a), _one(b.r_b), _one(b.eta), b.meshes)
    return None


def _ratio(r: ratios.Rocker | ratios.Spool) -> Rocker | Spool:
    if isinstance(r, ratios.Rocker):
        sizes = (r.r1, r.r2, r.theta_s, r.beta, r.x_p, r.side, r.d_in, r.d_pivot, r.mu)
        return Rocker(*(_one(x) for x in sizes))
    sizes = (
        r.a1, r.a2, r.ripple_by, r.d_chain_in, r.d_chain_out, r.mu_chain, r.d_shaft, r.mu_shaft,
        r.span, r.at_in,
    )  # fmt: skip
    places = (tuple(_one(x) for x in r.at_out), tuple(_one(x) for x in r.exits))
    return Spool(*(_one(x) for x in sizes), *places, "z" if r.flat else "x")


def free_rows(s: Sample) -> Iterator[Row]:
    """Both motions, shares and frictions of every position; OutOfReachError where there is none."""
    p, motion = plan_of(s), s.moved()
    w = package_ways(s.drive, motion, shares(s.drive, motion))
    for i, draw in enumerate(s.draw):
        q = shape(p, tuple(float(x) for x in draw))
        yield from body_rows(p, q, motion, i, str(i))
        yield from way_rows(q, ratio(p, q), ways(p, q), motion, w, i, str(i))
