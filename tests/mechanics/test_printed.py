"""Tables and fits, typed a second time as their sources print them, and worked without the package's code.

A slip of one digit in a constant is what these are for.  Sources as in the modules, from memory.
"""

import math

import numpy as np
import pytest

from explorer.mechanics import bearings, gears, tooth
from explorer.mechanics import fatigue as fg
from explorer.mechanics.types import Floats

KPSI = 6.894757
INCH_ROOT = math.sqrt(25.4)  # in^0.5 to mm^0.5


def a(x: float) -> Floats:
    return np.array([x])


def test_lewis_table() -> None:
    """Shigley table 14-2."""
    teeth = "12 13 14 15 16 17 18 19 20 21 22 24 26 28 30 34 38 43 50 60 75 100 150 300 400"
    form = ".245 .261 .277 .290 .296 .303 .309 .314 .322 .328 .331 .337 .346 .353 .359 .371 .384 "
    form += ".397 .409 .422 .435 .447 .460 .472 .480"
    assert [str(z) for z in gears.LEWIS_TABLE] == teeth.split()
    assert [f"{y:.3f}".lstrip("0") for y in gears.LEWIS_TABLE.values()] == form.split()


def test_axial_factors_of_deep_groove_bearings() -> None:
    """ISO 281, the table that textbooks print: Fa/C0, e, Y."""
    rows = """.014 .19 2.30
    .021 .21 2.15
    .028 .22 1.99
    .042 .24 1.85
    .056 .26 1.71
    .070 .27 1.63
    .084 .28 1.55
    .110 .30 1.45
    .17 .34 1.31
    .28 .38 1.15
    .42 .42 1.04
    .56 .44 1.00"""
    printed = [tuple(map(float, row.split())) for row in rows.splitlines()]
    assert list(zip(bearings.AXIAL, bearings.E, bearings.Y, strict=True)) == printed
    assert (bearings.X, bearings.X0, bearings.Y0) == (0.56, 0.6, 0.5)


@pytest.mark.parametrize(
    ("finish", "strength", "factor"),
    [
        ("ground", 520.0, 1.58 * 520.0**-0.085), ("machined", 600.0, 4.51 * 600.0**-0.265),
        ("hot-rolled", 700.0, 57.7 * 700.0**-0.718), ("as-forged", 800.0, 272.0 * 800.0**-0.995),
    ],
)  # fmt: skip
def test_surface_factors(finish: str, strength: float, factor: float) -> None:
    """Shigley table 6-2, MPa."""
    assert fg.surface_factor(a(strength), finish)[0] == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    ("alloy", "strength", "limit", "knee"),
    [
        ("steel", 1000.0, 500.0, 1e6), ("steel", 1600.0, 700.0, 1e6),
        ("aluminium", 300.0, 120.0, 5e8), ("aluminium", 500.0, 130.0, 5e8),
        ("titanium", 900.0, 405.0, 1e7), ("titanium", 1600.0, 700.0, 1e7),
        ("other", 200.0, 70.0, 5e8), ("other", 400.0, 96.0, 5e8),
    ],
)  # fmt: skip
def test_specimen_limits(alloy: str, strength: float, limit: float, knee: float) -> None:
    """Steel: Shigley eq. 6-8; aluminium and copper alloys: Norton; titanium: least of the usual 0.45."""
    assert fg.specimen_limit(a(strength), alloy)[0] == pytest.approx(limit, rel=1e-12)
    assert fg.ALLOYS[alloy].knee == knee


@pytest.mark.parametrize(
    ("density", "metal"),
    [
        (1.8e-3, "other"), (2.5e-3, "aluminium"), (2.99e-3, "aluminium"), (3.2e-3, "other"),
        (4.25e-3, "titanium"), (4.85e-3, "titanium"), (5.1e-3, "other"), (7.14e-3, "other"),
        (7.5e-3, "steel"), (8.25e-3, "steel"), (8.4e-3, "other"),
    ],
)  # fmt: skip
def test_metals_by_density(density: float, metal: str) -> None:
    """Handbooks: magnesium 1.8, zinc 7.14, brass from 8.4 are none of the three."""
    assert fg.alloy_of(density) == metal


def test_size_factor_on_both_sides_of_51() -> None:
    """Shigley eq. 6-20: (d/7.62)^-0.107 to 51 mm, 1.51 d^-0.157 above."""
    d = np.array([20.0, 50.0, 55.0, 200.0])
    printed = [(20.0 / 7.62) ** -0.107, (50.0 / 7.62) ** -0.107, 1.51 * 55.0**-0.157]
    assert fg.size_factor(d) == pytest.approx([*printed, 1.51 * 200.0**-0.157], rel=1e-12)


def test_fraction_left_after_a_thousand_cycles() -> None:
    """Shigley fig. 6-18, read to 0.01: 0.90 at 70 kpsi, 0.84 at 105, 0.775 at 200; level outside."""
    S = np.array([50.0, 70.0, 105.0, 200.0, 230.0]) * KPSI
    assert fg.fatigue_fraction(S) == pytest.approx([0.90, 0.90, 0.84, 0.775, 0.775], abs=0.006)
    f = fg.fatigue_fraction(S)
    assert f[0] == pytest.approx(f[1], rel=1e-6)
    assert f[3] == pytest.approx(f[4], rel=1e-6)


@pytest.mark.parametrize("kpsi", [60.0, 80.0, 100.0, 140.0, 180.0, 210.0])
def test_neuber_cubics_in_inches(kpsi: float) -> None:
    """Shigley eq. 6-35a and b in in^0.5 and kpsi; the metric ones are roundings of them."""
    S = kpsi
    bent = 0.246 - 3.08e-3 * S + 1.51e-5 * S * S - 2.67e-8 * S**3
    turned = 0.190 - 2.51e-3 * S + 1.35e-5 * S * S - 2.67e-8 * S**3
    assert fg.neuber_root(a(S * KPSI))[0] == pytest.approx(bent * INCH_ROOT, abs=0.005)
    assert fg.neuber_root_torsion(a(S * KPSI))[0] == pytest.approx(turned * INCH_ROOT, abs=0.005)


def test_neuber_constants_of_aluminium() -> None:
    """Norton's table of heat-treated aluminium, kpsi and in^0.5; straight between, level outside."""
    rows = {20: 0.380, 30: 0.278, 40: 0.219, 50: 0.186, 60: 0.162, 70: 0.144, 80: 0.131, 90: 0.122}
    S = np.array(list(rows), dtype=float) * KPSI
    printed = np.array(list(rows.values())) * INCH_ROOT
    assert fg.neuber_root_aluminium(S) == pytest.approx(printed, rel=1e-9)
    between = fg.neuber_root_aluminium((S[1:] + S[:-1]) / 2.0)
    assert between == pytest.approx((printed[1:] + printed[:-1]) / 2.0, rel=1e-9)


@pytest.mark.parametrize("q", [0.25, 0.7, 1.0, 2.0, 2.5, 9.0, 50.0])
def test_a_groove_as_deep_as_the_bar_is_thick_has_none(q: float) -> None:
    """Roark's eight rows of four coefficients: at 2h/D = 1 each column sums to 1, 0 and 0, as printed."""
    assert fg.groove_kt(a(10.0), a(5.0), 5.0 / q)[0] == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("q", [0.25, 0.5, 1.0, 2.0, 2.1, 4.0, 10.0, 25.0, 50.0])
def test_a_scratch_in_a_thick_bar_has_the_factor_of_theory(q: float) -> None:
    """Elliptical notch in shear: 1 + sqrt(h/r); Roark's two fits keep to it within 8 %."""
    assert fg.groove_kt(a(1e4), a(0.1), 0.1 / q)[0] == pytest.approx(1.0 + math.sqrt(q), rel=0.08)


def test_a_groove_is_held_to_the_charts_range() -> None:
    sharp = fg.groove_kt(np.full(2, 20.0), np.full(2, 2.0), 2.0 / np.array([50.0, 52.0]))
    blunt = fg.groove_kt(np.full(2, 20.0), np.full(2, 2.0), 2.0 / np.array([0.25, 0.1]))
    assert sharp[0] == sharp[1]
    assert blunt[0] == blunt[1]


def test_the_lug_cubic_from_its_printed_range_on() -> None:
    """Peterson's chart 4.67 as a cubic between d/w 0.15 and 0.75."""
    for x in (0.15, 0.155, 0.16, 0.3, 0.5, 0.7):
        cubic = 12.882 - 52.714 * x + 89.762 * x**2 - 51.667 * x**3
        assert fg.loaded_hole_kt(a(x))[0] == pytest.approx(cubic, rel=1e-12)
    empty = [3.0 - 3.13 * x + 3.66 * x**2 - 1.53 * x**3 for x in (0.1, 0.6)]
    assert fg.empty_hole_kt(np.array([0.1, 0.6])) == pytest.approx(empty, rel=1e-12)


@pytest.mark.parametrize("z", [12, 16, 25, 60, 200])
def test_tooth_factor_of_twenty_degrees(z: int) -> None:
    """Dolan and Broghamer at 20 degrees: H 0.18, L 0.156, M 0.45; root radius by the hob's 0.3 tip."""
    Y = gears.lewis_factor(a(float(z)))[0]
    t = math.sqrt(4.0 * 2.25 * 1.5 * Y)
    r = 0.3 + (1.25 - 0.3) ** 2 / (z / 2.0 + 1.25 - 0.3)
    printed = 0.18 + (t / r) ** 0.156 * (t / 2.25) ** 0.45
    assert fg.tooth_factor(a(float(z)), a(Y))[0] == pytest.approx(printed, rel=1e-5)


def test_rollers_and_gaps_of_chain_wheels() -> None:
    """ISO 606: rollers of 03, 04C, 05B, 06B, 08B; gap of 17 teeth of 08B, arcs and seating angle."""
    printed = {5.0: 3.2, 6.35: 3.3, 8.0: 5.0, 9.525: 6.35, 12.7: 8.51}
    assert dict(tooth.ROLLERS) == printed
    assert tooth.usual_roller(a(4.0))[0] == pytest.approx(0.625 * 4.0)  # no chain: as 05B
    f = tooth.tooth_form(a(12.7), a(17.0), a(8.51))
    assert f.seat[0] == pytest.approx(0.505 * 8.51, rel=1e-12)
    assert f.flank[0] == pytest.approx(0.12 * 8.51 * 19.0, rel=1e-12)
    assert math.degrees(2.0 * f.half[0]) == pytest.approx(140.0 - 90.0 / 17.0, rel=1e-12)


def test_what_is_held_outside_its_range() -> None:
    """No surface is better than polished; Neuber's cubics are for 340 to 1500 MPa."""
    assert fg.surface_factor(a(150.0), "ground")[0] == 1.0
    for root in (fg.neuber_root, fg.neuber_root_torsion):
        low, edge, inside = root(np.array([250.0, 340.0, 360.0]))
        assert low == edge > inside
        inside, edge, high = root(np.array([1450.0, 1500.0, 1800.0]))
        assert inside > edge == high
