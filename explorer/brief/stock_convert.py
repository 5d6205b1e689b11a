"""From the checked tables of stock.toml to the records of the stock."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from explorer.brief import stock_records as r
from explorer.brief.stock_read import line_name

if TYPE_CHECKING:
    from explorer.brief import schema_stock as t

MM3_PER_CM3 = 1000.0


class _Common(TypedDict):
    name: str
    have: r.Have
    price: float
    minutes: float
    source: str


def to_stock(s: t.StockTable) -> r.Stock:
    """All lines, each list in the file's order."""
    return r.Stock(
        schema=s.schema_,
        metals=tuple(_metal(m) for m in s.metal),
        plates=tuple(_plate(p) for p in s.plate),
        pins=tuple(_pin("pin", p) for p in s.pin),
        shafts=tuple(_pin("shaft", p) for p in s.shaft),
        bushes=tuple(
            r.Bush(**_line("bush", b), bore=b.bore_mm, outside=b.outside_mm) for b in s.bush
        ),
        washers=tuple(_washer(w) for w in s.washer),
        rings=tuple(_ring(x) for x in s.ring),
        spacers=tuple(
            r.Spacer(**_line("spacer", x), bore=x.bore_mm, outside=x.outside_mm) for x in s.spacer
        ),
        chains=tuple(_chain(c) for c in s.chain),
        gears=tuple(_gear(g) for g in s.gear),
        tools=tuple(r.Tool(**_line("tool", x), d=x.d_mm, kind=x.kind, fit=x.fit) for x in s.tool),
        cords=tuple(_cord(c) for c in s.cord),
        bearings=tuple(_bearing(b) for b in s.bearing),
    )


def _line(kind: str, line: t.LineTable) -> _Common:
    return {
        "name": line_name(kind, line),
        "have": line.have,
        "price": line.price,
        "minutes": line.minutes,
        "source": line.source,
    }


def _metal(m: t.MetalTable) -> r.Metal:
    return r.Metal(
        **_line("metal", m),
        yield_=m.yield_MPa,
        ultimate=m.ultimate_MPa,
        endurance=m.endurance_MPa,
        density=m.g_per_mm3,
        modulus=m.modulus_MPa,
        minutes_per_mm_mm=m.minutes_per_mm_outline_and_mm_thickness,
        minutes_per_hole=m.minutes_per_hole,
        price_per_mm3=m.price_per_cm3 / MM3_PER_CM3,
    )


def _plate(p: t.PlateTable) -> r.Plate:
    return r.Plate(
        **_line("plate", p),
        metal=p.metal,
        thickness=p.thickness_mm,
        sheet_x=p.sheet_mm[0],
        sheet_y=p.sheet_mm[1],
    )


def _pin(kind: str, p: t.PinTable) -> r.Pin:
    return r.Pin(
        **_line(kind, p),
        d=p.d_mm,
        yield_=p.yield_MPa,
        ultimate=p.ultimate_MPa,
        endurance=p.endurance_MPa,
        density=p.g_per_mm3,
        fit=p.fit,
        hardened=p.hardened,
    )


def _washer(w: t.WasherTable) -> r.Washer:
    return r.Washer(
        **_line("washer", w), bore=w.bore_mm, outside=w.outside_mm, thickness=w.thickness_mm
    )


def _ring(x: t.RingTable) -> r.Ring:
    return r.Ring(
        **_line("ring", x),
        shaft=x.shaft_mm,
        groove=x.groove_mm,
        thickness=x.thickness_mm,
        outside=x.outside_mm,
        past_groove=x.past_groove_mm,
    )


def _chain(c: t.ChainTable) -> r.Chain:
    return r.Chain(
        **_line("chain", c),
        pitch=c.pitch_mm,
        height=c.plate_height_mm,
        width=c.overall_width_mm,
        inner_width=c.inner_width_mm,
        pin=c.pin_mm,
        tensile=c.min_tensile_N,
        mass_per_mm=c.g_per_mm,
        price_per_pitch=c.price_per_pitch,
        connector=c.connector_mm,
        offset_factor=c.offset_factor,
        wheel_price=c.wheel_price,
        idler_price=c.idler_price,
        bend_radius=c.bend_radius_mm,
    )


def _gear(g: t.GearTable) -> r.Gear:
    return r.Gear(
        **_line("gear", g),
        module=g.module_mm,
        yield_=g.yield_MPa,
        ultimate=g.ultimate_MPa,
        endurance=g.endurance_MPa,
        density=g.g_per_mm3,
        min_teeth=g.min_teeth,
        max_teeth=g.max_teeth,
        side_price=g.side_price,
        planet_price=g.planet_price,
    )


def _cord(c: t.CordTable) -> r.Cord:
    return r.Cord(**_line("cord", c), d=c.d_mm, tensile=c.tensile_N, bend_radius=c.bend_radius_mm)


def _bearing(b: t.BearingTable) -> r.Bearing:
    return r.Bearing(
        **_line("bearing", b),
        kind=b.kind,
        bore=b.bore_mm,
        outside=b.outside_mm,
        width=b.width_mm,
        static=b.static_N,
        dynamic=b.dynamic_N,
    )
