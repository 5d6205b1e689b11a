"""A shelf of stock built as records, without files.  Every number is invented or assumed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from explorer.brief.stock_records import (
    Bearing,
    Bush,
    Chain,
    Cord,
    Gear,
    Line,
    Metal,
    Pin,
    Plate,
    Ring,
    Spacer,
    Stock,
    Tool,
    Washer,
)


def _line(name: str, price: float = 0.0, minutes: float = 0.0) -> dict[str, Any]:
    return vars(Line(name, "buy", price, minutes, "invented"))


def _metals() -> tuple[Metal, ...]:
    # name, yield, ultimate, density, modulus, minutes per mm and mm, per hole, price per cm3
    rows = (
        ("stainless", 500.0, 700.0, 0.0079, 195000.0, 0.10, 5.0, 0.15),
        ("7075", 480.0, 550.0, 0.00281, 71000.0, 0.06, 3.0, 0.35),
        ("Ti 6-4", 850.0, 930.0, 0.00443, 114000.0, 0.20, 9.0, 2.2),
    )
    return tuple(
        Metal(
            **_line(name),
            yield_=y,
            ultimate=u,
            density=rho,
            modulus=e,
            minutes_per_mm_mm=mm,
            minutes_per_hole=hole,
            price_per_mm3=p / 1000.0,
        )
        for name, y, u, rho, e, mm, hole, p in rows
    )


def _plates(metals: tuple[Metal, ...]) -> tuple[Plate, ...]:
    sheet = 150.0 * 100.0
    return tuple(
        Plate(
            **_line(f"{metal.name} {t:g}", price=metal.price_per_mm3 * sheet * t),
            metal=metal.name,
            thickness=t,
            sheet_x=150.0,
            sheet_y=100.0,
        )
        for metal in metals
        for t in (1.0, 1.5, 2.0, 3.0)
    )


def _rod(kind: str, d: float) -> Pin:
    fit = "m6" if kind == "pin" else "h6"
    price = 0.3 + 0.25 * d
    hard = kind == "pin"
    body: dict[str, Any] = {
        "d": d,
        "yield_": 1200.0,
        "density": 0.00785,
        "fit": fit,
        "hardened": hard,
    }
    return Pin(**_line(f"{kind} {d:g}", price=price), **body)


def _chains() -> tuple[Chain, ...]:
    # name, pitch, height, width, inner width, pin, tensile, g/mm, price per pitch, connector, bend radius
    rows = (
        ("fine 3.75 (invented)", 3.75, 3.4, 5.2, 1.8, 1.3, 1200.0, 0.05, 0.45, 5.0, 5.0),
        ("5.0 (03B size, memory)", 5.0, 4.1, 7.4, 2.5, 1.49, 2200.0, 0.08, 0.25, 6.0, 6.5),
        ("6.35 (04C size, memory)", 6.35, 6.0, 9.1, 3.1, 2.31, 3500.0, 0.14, 0.20, 8.0, 8.5),
    )
    return tuple(
        Chain(
            **_line(name),
            pitch=p,
            height=h,
            width=w,
            inner_width=iw,
            pin=pin,
            tensile=t,
            mass_per_mm=g,
            price_per_pitch=price,
            connector=con,
            offset_factor=0.8,
            wheel_price=6.0,
            idler_price=4.0,
            bend_radius=r,
        )
        for name, p, h, w, iw, pin, t, g, price, con, r in rows
    )


def _gears() -> tuple[Gear, ...]:
    body: dict[str, Any] = {"yield_": 900.0, "density": 0.00785, "min_teeth": 12, "max_teeth": 40}
    return tuple(
        Gear(**_line(f"module {m:g}"), module=m, side_price=7.0, planet_price=6.0, **body)
        for m in (0.4, 0.5, 0.6, 0.8)
    )


def _tools() -> tuple[Tool, ...]:
    sizes = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0)
    drills = tuple(Tool(**_line(f"drill {d:g}"), d=d, kind="drill", fit="H12") for d in sizes)
    reamers = tuple(Tool(**_line(f"reamer {d:g}"), d=d, kind="reamer", fit="H7") for d in sizes[1:])
    return drills + reamers


def make_stock(**overrides: Any) -> Stock:  # noqa: ANN401
    """A shelf with everything the six architectures need; any field of `Stock` may be replaced."""
    pins = (1.5, 2.0, 2.5, 3.0, 4.0, 5.0)
    rods = (*pins, 6.0)
    metals = _metals()
    bearing: dict[str, Any] = {"bore": 8.0, "outside": 16.0, "width": 5.0}
    stock = Stock(
        schema=1,
        metals=metals,
        plates=_plates(metals),
        pins=tuple(_rod("pin", d) for d in pins),
        shafts=tuple(_rod("shaft", d) for d in (3.0, 4.0, 5.0, 6.0)),
        bushes=tuple(
            Bush(**_line(f"bush {d:g}", price=1.6, minutes=3.0), bore=d, outside=d + 1.0 + d / 10)
            for d in rods
        ),
        washers=tuple(
            Washer(**_line(f"washer {d:g}", price=0.05), bore=d, outside=2.0 * d, thickness=0.3)
            for d in rods
        ),
        rings=tuple(
            Ring(
                **_line(f"ring {d:g}", price=0.1),
                shaft=d,
                groove=0.8 * d,
                thickness=0.4,
                outside=2.0 * d,
                past_groove=0.6,
            )
            for d in rods
        ),
        spacers=tuple(
            Spacer(**_line(f"spacer {d:g}", minutes=4.0), bore=d, outside=d + 2.0) for d in rods
        ),
        chains=_chains(),
        gears=_gears(),
        tools=_tools(),
        cords=(Cord(**_line("cord 1.2", price=1.0), d=1.2, tensile=900.0, bend_radius=4.0),),
        bearings=(
            Bearing(
                **_line("thrust 8", 6.0), kind="thrust", **bearing, static=3100.0, dynamic=2500.0
            ),
            Bearing(
                **_line("deep groove 8", 5.0),
                kind="deep groove",
                **bearing,
                static=710.0,
                dynamic=1600.0,
            ),
        ),
    )
    return replace(stock, **overrides)
