"""What the stock stands grip after grip, line by line with the formulas' own names (their tests: mechanics)."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest

from explorer.brief.stock_records import Pin, Ring
from explorer.drives.endurance import cycles, endurance
from explorer.mechanics import fatigue as fg
from explorer.mechanics.types import Floats
from tests.factories import make_brief, make_stock


def a(x: float) -> Floats:
    return np.array(x)


def reversed_strength(S: float, kind: str, finish: str, factor: float, N: float) -> float:
    """S_e = k_a k_e factor S_e'; then along the S-N line to N grips."""
    sure = float(fg.reliability_factor(a(0.99)))
    S_e = float(fg.specimen_limit(a(S), kind) * fg.surface_factor(a(S), finish)) * sure * factor
    return float(fg.strength_at_life(a(S), a(S_e), fg.life_exponent(N, fg.ALLOYS[kind].knee)))


def pulsating(S_f: float, S: float) -> float:
    return 2.0 * S_f * S / (S_f + S)


def test_grips_of_five_years() -> None:
    """400 a day, 6 days a week, 365.25/7 weeks a year, 5 years: 626,143."""
    assert cycles(make_brief()) == pytest.approx(626_142.857, rel=1e-9)


def test_columns_begin_where_their_lists_do() -> None:
    stock = make_stock()
    e = endurance(make_brief(), stock)
    sheets, pins, shafts = len(stock.plates), len(stock.pins), len(stock.shafts)
    assert (e.pins, e.shafts, e.gears) == (sheets, sheets + pins, sheets + pins + shafts)
    assert e.wheel == sheets + pins + shafts + len(stock.gears)
    assert len(e.S_ut) == e.wheel + 1
    assert e.S_ut[int(e.wheel)] == 500.0


@pytest.mark.parametrize(("sheet", "kind", "root"), [
    ("stainless 2", "steel", None), ("7075 2", "aluminium", None), ("Ti 6-4 2", "titanium", 0.0),
])  # fmt: skip
def test_a_sheet(sheet: str, kind: str, root: float | None) -> None:
    stock, N = make_stock(), cycles(make_brief())
    i = [p.name for p in stock.plates].index(sheet)
    S = next(m.ultimate for m in stock.metals if m.name == stock.plates[i].metal)
    e = endurance(make_brief(), stock)
    S_f = reversed_strength(S, kind, "machined", 1.0, N)
    assert e.S_ut[i] == S
    assert e.S_f[i] == pytest.approx(S_f, rel=1e-12)
    assert e.bent[i] == pytest.approx(pulsating(S_f, S), rel=1e-12)
    pulled = reversed_strength(S, kind, "machined", 0.85, N)
    assert e.pulled[i] == pytest.approx(pulsating(pulled, S), rel=1e-12)
    neuber = fg.neuber_root if kind == "steel" else fg.neuber_root_aluminium
    expected = float(neuber(a(S))) if root is None else root
    assert e.root[i] == pytest.approx(expected, rel=1e-12)
    assert e.groove[i] == 0.0


def test_a_pin_with_its_ring() -> None:
    """Half the joint's force on the rim of the groove, K_f of the groove in torsion, von Mises.

    Groove 0.8 d, its corner a tenth of the ring's 0.4 mm; the pin's 1200 MPa stand for its tensile strength.
    """
    stock, N = make_stock(), cycles(make_brief())
    e = endurance(make_brief(), stock)
    for k, pin in enumerate(stock.pins):
        i, S = int(e.pins) + k, pin.yield_
        size = float(fg.size_factor(a(0.37 * pin.d)))
        S_f = reversed_strength(S, "steel", "ground", size, N)
        assert e.bent[i] == pytest.approx(pulsating(S_f, S), rel=1e-12)
        g = 0.8 * pin.d
        kt = float(fg.groove_kt(a(pin.d), a((pin.d - g) / 2.0), 0.04))
        q = 1.0 / (1.0 + float(fg.neuber_root_torsion(a(S))) / sqrt(0.04))
        stress = sqrt(3.0) * (1.0 + q * (kt - 1.0)) / 2.0 / (pi * g * g / 4.0)
        assert e.groove[i] == pytest.approx(stress, rel=1e-12)


def test_a_thick_rod_stands_less() -> None:
    """30 mm, not turning: (0.37 x 30/7.62)^-0.107 = 0.9605; 2 mm: 1 (Shigley 9th ed., eq. 6-20 and 6-24)."""
    stock, N = make_stock(), cycles(make_brief())
    for d, size in ((2.0, 1.0), (30.0, (11.1 / 7.62) ** -0.107)):
        rods = (replace(stock.pins[0], d=d), *stock.pins[1:])
        e = endurance(make_brief(), replace(stock, pins=rods))
        S_f = reversed_strength(1200.0, "steel", "ground", size, N)
        assert e.bent[int(e.pins)] == pytest.approx(pulsating(S_f, 1200.0), rel=1e-12)


def test_stated_strengths_come_before_estimates() -> None:
    """A pin with its own tensile strength and endurance limit; a tensile strength below yield counts as yield."""
    stock = make_stock()

    def first(**stated: float) -> tuple[float, float]:
        pin: Pin = replace(stock.pins[0], **stated)
        e = endurance(make_brief(), replace(stock, pins=(pin, *stock.pins[1:])))
        return float(e.S_ut[int(e.pins)]), float(e.bent[int(e.pins)])

    plain = first()
    assert plain[0] == 1200.0
    assert first(ultimate=1500.0)[0] == 1500.0
    assert first(ultimate=900.0)[0] == 1200.0
    assert first(endurance=100.0)[1] < plain[1]


def test_a_groove_as_wide_as_the_pin_or_without_depth_is_none() -> None:
    stock = make_stock()
    for groove in (0.0, stock.pins[0].d, 2.0 * stock.pins[0].d):
        rings: tuple[Ring, ...] = tuple(replace(r, groove=groove) for r in stock.rings)
        e = endurance(make_brief(), replace(stock, rings=rings))
        assert e.groove[int(e.pins)] == 0.0
    bare = endurance(make_brief(), replace(stock, rings=()))
    assert (bare.groove == 0.0).all()
