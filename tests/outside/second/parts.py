"""Second scorer, how many pieces a drive has, counted as one would on the bench."""

from __future__ import annotations

from tests.outside.second.plan import Bar, Plan, Rocker
from tests.outside.second.sizes import CARRIER, FIRST, Floating, Joint, Makings, floating


def ringed(m: Makings, j: Joint) -> int:
    """A pin with its two rings where the stock has rings of its size."""
    return 3 if any(abs(r.shaft - j.pin.d) < 1e-6 for r in m.stock.rings) else 1


def pinned(m: Makings, key: str) -> int:
    """Pin, rings, bush and two washers of a lever's joint."""
    j = m.joint(key, m.turning)
    return ringed(m, j) + int(j.bushed) + 2


def on_floating(m: Makings, f: Floating) -> int:
    """Wheel, two fork plates, axle and pin, two spacers, chain, both its ends."""
    ends = 1 if m.doubled else 2
    axle = ringed(m, f.axle) + int(f.axle.bushed)
    pin = ringed(m, f.pin) + int(f.pin.bushed) * ends
    return 1 + 2 + axle + pin + 2 + 1 + 2 * ends


def lever(m: Makings) -> int:
    plates, links = (2, 1) if m.doubled else (1, 2)
    pivot = m.joint("pivot_pin", m.plate)
    # each of the rocker's plates has its bush; two plates are kept apart on the pivot by a tube
    n = plates + 2 + ringed(m, pivot) + plates * int(pivot.bushed) + 2 + (plates - 1)
    n += 2 * pinned(m, "drawbar_pin") + links
    if len(m.groups) == 1:
        return n
    return n + plates + pinned(m, "lever_centre_pin") + 2 * pinned(m, "lever_end_pin") + 2 * links


def winder(m: Makings) -> int:
    shaft = m.joint("shaft", m.plate, m.stock.shafts)
    ends = 1 if m.doubled else 2
    tracks = 1 if m.v["one_piece"] == "one piece" else 2 + int(m.real("drive_pins"))
    n = tracks + ringed(m, shaft) + 2 * int(shaft.bushed) + 2 + 2 + 2 + ends
    return n if len(m.groups) == 1 else n + on_floating(m, floating(m, *FIRST))


def differential(m: Makings) -> int:
    """Shaft, brackets, wheels, chains; side gears, planets, cage plates, pins, clamp screws."""
    shaft = m.joint("shaft", m.plate, m.stock.shafts)
    ends = 1 if m.doubled else 2
    outputs, out_pins = len(m.groups), int(m.real("output_pins"))
    screws = 2 if m.v["output_seat"] == "clamped" else 0
    n = ringed(m, shaft) + 2 * int(shaft.bushed) + 2 + (1 + outputs) + 1 + outputs * (1 + ends)
    n += outputs * (out_pins + screws)
    if outputs == 1:
        return n
    pairs = int(m.real("planet_pairs"))
    cage = 2 + int(m.real("cage_pins")) + (2 if m.v["cage_seat"] == "clamped" else 0)
    return n + 2 + 1 + 2 * pairs * 3 + cage


def pieces(p: Plan) -> int:
    m = p.m
    if isinstance(p.ratio, Rocker):
        n = lever(m)
    else:
        n = winder(m) if p.ratio.along == "z" else differential(m)
    for c in p.carriers:
        if isinstance(c.body, Bar):
            plates, links = (2, 1) if m.doubled else (1, 2)
            n += plates + pinned(m, "bar_centre_pin") + 2 * pinned(m, "bar_end_pin") + 2 * links
        elif c.body is not None:
            n += on_floating(m, floating(m, *CARRIER))
    return n
