"""Pins, eyes, dowels and struts against printed examples and tables.

What is not here, and why: `rows.toml`.
"""

import math

import pytest

from explorer.mechanics.eyes import net_section_stress, tear_out_stress
from explorer.mechanics.pins import (
    bearing_stress,
    bending_stress,
    circle_pin_force,
    fork_moment,
    shear_stress,
)
from explorer.mechanics.sections import euler_load, johnson_load, strut_load
from tests.outside.published import Row, a, check_row, params

CLEVIS = "machinecalcs.com/clevis-pin-calculator, worked example: 10 kN on an 18 mm pin"
KNUCKLE_25 = "gauthmath.com/solution/83vvMfO0oYC, knuckle joint for 25 kN"
KNUCKLE_50 = (
    "Bhandari, Design of Machine Elements, knuckle joint for 50 kN, 30C8, eye 40 and fork arms 25 "
    "thick, pin 40, eye 80 across; result from memory"
)
SHIGLEY_PIN = "Shigley, Mechanical Engineering Design, problem 3-40 (c), psi and inches; memory"
DOWEL = "ASME B18.8.5M, hardened dowel pins, double shear at 1050 MPa, abcdocz.com/doc/1381538"
HIBBELER = "Hibbeler, Mechanics of Materials (SI), ch. 13, read at scribd.com/document/505697168"

PINS_AND_EYES = [
    Row("1.01", CLEVIS, lambda: shear_stress(a(10000), 18, 2), 19.65, 1e-3),
    # Point loads 24 mm apart: a fork and a middle part without thickness, 12 mm from each other.
    Row("1.02", CLEVIS, lambda: fork_moment(a(10000), 0, 12, 0), 60000, 1e-9),
    Row("1.03", CLEVIS, lambda: bending_stress(a(60000), 18), 104.8, 1e-3),
    # The fork's plate thickness, 8 mm, is inferred from the printed pressure.
    Row("1.05", CLEVIS, lambda: bearing_stress(a(10000 / 2), 18, 8), 34.72, 1e-3),
    # The page sizes the pin for 50 MPa and prints 17.84 mm (its formula line is single shear).
    Row(
        "1.06",
        KNUCKLE_25,
        lambda: shear_stress(a(25000), 17.84, 2),
        50,
        1e-3,
        what="shear stress of the printed pin of 17.84 mm under 25 kN, MPa",
    ),
    # The book takes a triangular fork load, M = P/2 (b/4 + a/3), and sizes the pin for 80 MPa.
    Row(
        "1.09",
        KNUCKLE_50,
        lambda: bending_stress(a(50000 / 2 * (40 / 4 + 25 / 3)), 38.79),
        80,
        1e-3,
        memory=True,
        what="bending stress of the printed pin of 38.79 mm under the book's moment, MPa",
    ),
    Row(
        "1.10 tension",
        KNUCKLE_50,
        lambda: net_section_stress(a(50000), 80, 40, 40),
        31.25,
        1e-6,
        memory=True,
    ),
    Row(
        "1.10 tear-out",
        KNUCKLE_50,
        lambda: tear_out_stress(a(50000), 80 / 2, 40, 40),
        31.25,
        1e-6,
        memory=True,
    ),
    Row(
        "1.10 crushing",
        KNUCKLE_50,
        lambda: bearing_stress(a(50000), 40, 40),
        31.25,
        1e-6,
        memory=True,
    ),
    Row(
        "1.11",
        KNUCKLE_50,
        lambda: net_section_stress(a(50000 / 2), 80, 40, 25),
        25.0,
        1e-6,
        memory=True,
    ),
    Row("1.16", SHIGLEY_PIN, lambda: bending_stress(a(218.75), 0.5), 17800, 3e-3, memory=True),
    Row(
        "1.18",
        "Mott, Machine Elements, lug for a clevis, 8.75 kN, d/w 0.40, t/d 0.5; memory",
        lambda: net_section_stress(a(8750), 12 / 0.40, 12, 0.5 * 12),
        81.0,
        1e-3,
        memory=True,
    ),
]

# Printed: the load [N] that breaks the pin; ours: the stress at that load.
DOWELS = [
    Row(
        "7.01",
        DOWEL,
        lambda: shear_stress(a(14800), 3, 2),
        1050,
        6e-3,
        what="stress of a pin of 3 mm under the tabulated 14.8 kN, MPa",
    ),
    Row(
        "7.02",
        DOWEL,
        lambda: shear_stress(a(26400), 4, 2),
        1050,
        6e-3,
        what="stress of a pin of 4 mm under the tabulated 26.4 kN, MPa",
    ),
    Row(
        "7.03",
        DOWEL,
        lambda: shear_stress(a(41200), 5, 2),
        1050,
        6e-3,
        what="stress of a pin of 5 mm under the tabulated 41.2 kN, MPa",
    ),
    Row(
        "7.05",
        DOWEL,
        lambda: shear_stress(a(105000), 8, 2),
        1050,
        6e-3,
        what="stress of a pin of 8 mm under the tabulated 105 kN, MPa",
    ),
]

ROD = 22.1 * 22.1 * math.pi / 4

# An elastic column of 200 GPa; the tube's second moment is pi/4 (75^4 - 70^4).
STRUTS = [
    # The page sizes a tie rod for 65 MPa and prints 0.1 mm; a rod pushed along no length gives by
    # plain stress too.
    Row(
        "1.07",
        KNUCKLE_25 + ", tie rod",
        lambda: strut_load(a(65), ROD, 200e3, ROD * ROD / (4 * math.pi), 1e-6) / 1000,
        25,
        2 * 0.05 / 22.1,
        what="load of the printed rod of 22.1 mm at 65 MPa, kN",
    ),
    Row(
        "11.01",
        HIBBELER + ", example 13.1, kN",
        lambda: euler_load(a(200e3), math.pi / 4 * (75**4 - 70**4), 7200) / 1000,
        228.2,
        1e-3,
    ),
    Row(
        "11.02",
        HIBBELER + ", example 13.2, kN",
        lambda: euler_load(a(200e3), 15.3e6, 4000) / 1000,
        1887.6,
        5e-4,
    ),
    # A strut without length gives by yielding.
    Row(
        "11.03",
        HIBBELER + ", example 13.2, yield load, kN",
        lambda: johnson_load(a(250), 5890, 200e3, 15.3e6, 1e-6) / 1000,
        1472.5,
        1e-4,
    ),
    # At the column constant the Euler stress is half the yield strength.
    Row(
        "11.06",
        "Mott, Machine Elements, example 6-2, column constant 119 at Sy 290 MPa; memory",
        lambda: euler_load(a(207e3), 1.0, 119.0) / (290 / 2),
        1.0,
        1e-2,
        memory=True,
        what="Euler stress at the printed column constant over half the yield strength",
    ),
]

# Another implementation of the same statics, made apart from this one; no publication.
APART = [
    Row(
        "0.14 shear",
        "independent implementation: 4200 N*mm on 3 reamed pins of 2 mm at radius 8",
        lambda: shear_stress(circle_pin_force(a(4200), 3, 8), 2, 1),
        55.7,
        1e-3,
        what="shear stress of a drive pin, MPa",
    ),
    Row(
        "0.14 bearing",
        "independent implementation: the same pins in a 1.5 mm plate",
        lambda: bearing_stress(circle_pin_force(a(4200), 3, 8), 2, 1.5),
        58.3,
        1e-3,
        what="bearing stress in the 1.5 mm plate, MPa",
    ),
]


@pytest.mark.parametrize("row", params(PINS_AND_EYES))
def test_pins_and_eyes_give_the_printed_stress(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(DOWELS))
def test_dowels_break_at_the_tabulated_load(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(STRUTS))
def test_struts_give_at_the_printed_load(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(APART))
def test_drive_pins_agree_with_an_implementation_made_apart(row: Row) -> None:
    check_row(row)
