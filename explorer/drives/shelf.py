"""The stock as columns to take from by index: one array a property, (K,) a list.

A search chooses lines of the stock by index; `take` turns (N,1) indices into (N,1) sizes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.records import Brief
from explorer.brief.stock_records import Ring, Stock, of_size
from explorer.drives.endurance import Endurance, endurance
from explorer.mechanics.types import Floats

STEEL = 0.00785  # g/mm3


def take(column: Floats, index: Floats) -> Floats:
    """column[index] for a whole-valued float index (N,1); of a column for each candidate (N,K) its own."""
    if column.ndim == 2:
        return np.take_along_axis(column, index.astype(np.intp), axis=1)
    return np.asarray(column[index.astype(np.intp)])


def _col(values: Sequence[float]) -> Floats:
    return np.array(list(values), dtype=np.float64)


def _ring_mass(r: Ring) -> float:
    """Mass of a steel ring, g: from its groove to its outside, its own gaps not taken off."""
    return np.pi / 4.0 * (r.outside * r.outside - r.groove * r.groove) * r.thickness * STEEL


@dataclass(frozen=True)
class Plates:
    """Sheets: thickness, metal properties, cost of cutting; `metal` index into the metals."""

    names: tuple[str, ...]
    t: Floats
    yield_: Floats
    modulus: Floats
    density: Floats
    wear_bare: Floats
    sheet_price: Floats
    minutes_mm_mm: Floats
    minutes_hole: Floats
    metal: Floats


@dataclass(frozen=True)
class Pins:
    """Pins or shafts with the bush and the ring that go with each size.

    `bush_od`: outside of its bush, or d where the stock has none (`has_bush` 0); `end`: length past the
    plates on one side, ring and groove included; `head`: radius of ring or head.
    """

    names: tuple[str, ...]
    d: Floats
    yield_: Floats
    density: Floats
    hardened: Floats
    has_bush: Floats
    bush_od: Floats
    bush_price: Floats
    bush_minutes: Floats
    has_ring: Floats
    ring_price: Floats
    ring_mass: Floats  # g
    end: Floats
    head: Floats
    price: Floats
    minutes: Floats
    fits: tuple[str, ...]


@dataclass(frozen=True)
class Chains:
    """Chains."""

    names: tuple[str, ...]
    pitch: Floats
    height: Floats
    width: Floats
    inner: Floats
    pin: Floats
    tensile: Floats
    mass: Floats
    price_pitch: Floats
    connector: Floats
    offset: Floats
    wheel_price: Floats
    idler_price: Floats


@dataclass(frozen=True)
class Gears:
    """Gear modules."""

    names: tuple[str, ...]
    module: Floats
    yield_: Floats
    density: Floats
    min_teeth: Floats
    max_teeth: Floats
    side_price: Floats
    planet_price: Floats


def _plates(brief: Brief, stock: Stock) -> Plates:
    metals = {m.name: (i, m) for i, m in enumerate(stock.metals)}
    rows = [(p, *metals[p.metal]) for p in stock.plates]
    return Plates(
        tuple(p.name for p in stock.plates),
        _col([p.thickness for p, _, _ in rows]),
        _col([m.yield_ for _, _, m in rows]),
        _col([m.modulus for _, _, m in rows]),
        _col([m.density for _, _, m in rows]),
        _col([brief.wear.bare.get(m.name, max(brief.wear.bare.values())) for _, _, m in rows]),
        _col([p.price for p, _, _ in rows]),
        _col([m.minutes_per_mm_mm for _, _, m in rows]),
        _col([m.minutes_per_hole for _, _, m in rows]),
        _col([i for _, i, _ in rows]),
    )


def _pins(stock: Stock, lines: tuple, gap: float) -> Pins:  # type: ignore[type-arg]
    bushes = [of_size(stock.bushes, "bore", p.d) for p in lines]
    rings = [of_size(stock.rings, "shaft", p.d) for p in lines]
    return Pins(
        tuple(p.name for p in lines),
        _col([p.d for p in lines]),
        _col([p.yield_ for p in lines]),
        _col([p.density for p in lines]),
        _col([float(p.hardened) for p in lines]),
        _col([0.0 if b is None else 1.0 for b in bushes]),
        _col([p.d if b is None else b.outside for p, b in zip(lines, bushes, strict=True)]),
        _col([0.0 if b is None else b.price for b in bushes]),
        _col([0.0 if b is None else b.minutes for b in bushes]),
        _col([0.0 if r is None else 1.0 for r in rings]),
        _col([0.0 if r is None else r.price for r in rings]),
        _col([0.0 if r is None else _ring_mass(r) for r in rings]),
        # without a ring the end is peened over: half a diameter (common practice, no source)
        _col(
            [
                p.d / 2 if r is None else r.thickness + r.past_groove + gap / 2
                for p, r in zip(lines, rings, strict=True)
            ]
        ),
        _col(
            [0.8 * p.d if r is None else r.outside / 2 for p, r in zip(lines, rings, strict=True)]
        ),
        _col([p.price for p in lines]),
        _col([p.minutes for p in lines]),
        tuple(p.fit for p in lines),
    )


@dataclass(frozen=True)
class Shelf:
    """Brief, stock and demand together with the stock's columns: all that a drive is decoded from."""

    brief: Brief
    stock: Stock
    demand: Demand
    plates: Plates = field(init=False)
    pins: Pins = field(init=False)
    shafts: Pins = field(init=False)
    chains: Chains = field(init=False)
    gears: Gears = field(init=False)
    endurance: Endurance = field(init=False)

    def __post_init__(self) -> None:
        """Fill the columns."""
        s = self.stock
        put = object.__setattr__
        put(self, "plates", _plates(self.brief, s))
        put(self, "endurance", endurance(self.brief, s))
        put(self, "pins", _pins(s, s.pins, self.brief.shop.gap))
        put(self, "shafts", _pins(s, s.shafts, self.brief.shop.gap))
        put(
            self,
            "chains",
            Chains(
                tuple(c.name for c in s.chains),
                _col([c.pitch for c in s.chains]),
                _col([c.height for c in s.chains]),
                _col([c.width for c in s.chains]),
                _col([c.inner_width for c in s.chains]),
                _col([c.pin for c in s.chains]),
                _col([c.tensile for c in s.chains]),
                _col([c.mass_per_mm for c in s.chains]),
                _col([c.price_per_pitch for c in s.chains]),
                _col([c.connector for c in s.chains]),
                _col([c.offset_factor for c in s.chains]),
                _col([c.wheel_price for c in s.chains]),
                _col([c.idler_price for c in s.chains]),
            ),
        )
        put(
            self,
            "gears",
            Gears(
                tuple(g.name for g in s.gears),
                _col([g.module for g in s.gears]),
                _col([g.yield_ for g in s.gears]),
                _col([g.density for g in s.gears]),
                _col([g.min_teeth for g in s.gears]),
                _col([g.max_teeth for g in s.gears]),
                _col([g.side_price for g in s.gears]),
                _col([g.planet_price for g in s.gears]),
            ),
        )

    def scoring(self) -> Shelf:
        """The same with the must positions alone."""
        few = self.demand.only_must()
        return self if few is self.demand else Shelf(self.brief, self.stock, few)

    def with_yields(self, metal: Floats, pin: Floats) -> Shelf:
        """The same stock a candidate stronger or weaker: factors (N,1) on sheets and gears, pins and shafts."""
        out = Shelf(self.brief, self.stock, self.demand)
        for name, factor in (("plates", metal), ("gears", metal), ("pins", pin), ("shafts", pin)):
            lines = getattr(self, name)
            object.__setattr__(out, name, replace(lines, yield_=lines.yield_ * factor))
        return out

    @property
    def z(self) -> float:
        """Plane of the drawbars: the mean of the finger pins' z, mm."""
        return float(self.demand.pin_z.mean())
