"""Textbook formulas with numbers of our own: they guard against slips, not against a wrong model.

No independent evidence; the printed examples and foreign solvers stand in the files beside.
"""

import math

import numpy as np
import pytest

from explorer.mechanics.chain import arm_max_toothed, arm_min_toothed, mean_arm_toothed
from explorer.mechanics.equaliser import gear_split_draw, gear_split_share
from explorer.mechanics.pins import circle_pin_force, fork_moment, shear_stress
from explorer.mechanics.sections import hole_edge_stress, johnson_load, net_second_moment
from explorer.mechanics.wear import depth_per_grip
from tests.mechanics.shafts import bush_reactions
from tests.outside.published import Row, a, check_row, params

ROLOFF = "Roloff/Matek, Maschinenelemente, pin cases 1 to 3; memory"
CHORDAL = "1 - cos(pi/z) in percent, formula at novasolver.jp/en/tools/roller-chain-drive.html"


def chordal_percent(z: float) -> np.ndarray:
    return 100 * (1 - arm_min_toothed(a(9.525), z) / arm_max_toothed(a(9.525), z))


IDENTITIES = [
    Row("1.12", ROLOFF, lambda: fork_moment(a(50000), 25, 0, 40), 562500, 1e-9, memory=True),
    # A pin tight in the fork bends as if each half of the fork bore at its inner edge.
    Row("1.13", ROLOFF, lambda: fork_moment(a(50000), 0, 0, 40), 250000, 1e-9, memory=True),
    # A pin tight in the eye bends as if the eye bore at the fork's faces only.
    Row("1.14", ROLOFF, lambda: fork_moment(a(50000), 25, 0, 0), 312500, 1e-9, memory=True),
    Row(
        "2.14",
        "Peterson/Pilkey, hole in a bent plate, Kt = 2; memory",
        lambda: hole_edge_stress(a(1), a(10), 5, 1),
        0.06857142857142857,
        1e-9,
        memory=True,
    ),
    Row("4.35", CHORDAL, lambda: chordal_percent(9), 6.03, 5e-3),
    Row("4.36", CHORDAL, lambda: chordal_percent(11), 4.05, 5e-3),
    Row("4.37", CHORDAL, lambda: chordal_percent(13), 2.91, 5e-3),
    Row("4.38", CHORDAL, lambda: chordal_percent(17), 1.70, 5e-3),
    Row("4.39", CHORDAL, lambda: chordal_percent(25), 0.79, 5e-3),
    # Shigley's speed variation is the swing of the arm over its mean.
    Row(
        "4.40",
        "Shigley sec. 17-5, pi/z (1/sin(pi/z) - 1/tan(pi/z)) in percent at 17 teeth; memory",
        lambda: (
            100
            * (arm_max_toothed(a(9.525), 17) - arm_min_toothed(a(9.525), 17))
            / mean_arm_toothed(a(9.525), 17)
        ),
        1.71,
        5e-3,
        memory=True,
    ),
    # A gear differential, whatever its gears are: the carrier turns by the mean of the sides.
    Row(
        "5.17",
        "kinematics of a differential, carrier at the mean of 30 and 10; memory",
        lambda: gear_split_draw(a(30), a(10), a(8), a(8)),
        20,
        1e-9,
        memory=True,
    ),
    Row(
        "5.18",
        "balance of a differential, each side half of 300; memory",
        lambda: 300 * gear_split_share(a(8), a(8), a(1), a(1)),
        150,
        1e-9,
        memory=True,
    ),
    # A million cycles of 0.6 rad each way, 60 N, radius 2 mm, 1e-6 mm^3/(N*m); one surface's
    # volume is half of our depth times d t.
    Row(
        "6.14",
        "specific wear rate k = V/(F L), themechanicalengineeringhandbook.com",
        lambda: 1e6 * depth_per_grip(a(1e-9), 60, 2 * 0.6, 3) * 4 * 3 / 2,
        0.144,
        1e-9,
    ),
    # With k^2 = I/A = 1 and (L/k)^2 = 2 pi^2 E/Sy, half the yield load remains.
    # A moment of 600 N*mm as a pair of 100 N at 3 and 9 between bushes 12 apart.
    Row(
        "10.09",
        "statics: a moment M on two bearings L apart loads each with M/L; memory",
        lambda: abs(
            vars(bush_reactions(np.array([100.0, -100.0]), np.array([3.0, 9.0]), a(12)))["at_zero"]
        ),
        50,
        1e-9,
        memory=True,
    ),
    Row(
        "11.05",
        "Shigley eq. 4-44, where Johnson's parabola meets Euler; memory",
        lambda: johnson_load(a(290), 1, 207e3, 1, math.sqrt(2 * math.pi**2 * 207e3 / 290)) / 290,
        0.5,
        1e-9,
        memory=True,
    ),
    Row(
        "11.07",
        "statics of a bolt circle, Shigley ch. 8; memory",
        lambda: circle_pin_force(a(1200), 3, 6),
        66.667,
        1e-4,
        memory=True,
    ),
    Row(
        "11.08",
        "statics: the same pin of 2 mm in single shear",
        lambda: shear_stress(circle_pin_force(a(1200), 3, 6), 2, 1),
        21.22,
        1e-3,
        memory=True,
    ),
    Row(
        "11.09",
        "law of the lever, T b/(a + b); anastruct 1.7.0 gives 60 and 30 for 90 at 10 of 30",
        lambda: vars(bush_reactions(np.array([90.0]), np.array([10.0]), a(30)))["at_zero"],
        60,
        1e-9,
        memory=True,
    ),
    Row(
        "11.10",
        "t (w^3 - d^3)/12 for 4 x 12 with a hole of 5; integrated in test_libraries_section.py",
        lambda: net_second_moment(a(12), 5, 4),
        534.333,
        1e-5,
        memory=True,
    ),
]


@pytest.mark.parametrize("row", params(IDENTITIES))
def test_formula_gives_its_own_number(row: Row) -> None:
    check_row(row)
