"""Stress concentration and fatigue against printed examples and tables.

Not here, with the reason: 2.12 and 2.13, holes in biaxial tension and pure shear (no part of ours
is loaded so); 3.18 and 3.19, Heywood's notch equation (we take Neuber's); 3.22, Gerber's line (we
take modified Goodman's).  2.06 to 2.10 are printed with Heywood's 2 + (1 - d/w)^3: we take the
cubic, and their values are Howland's, so the cubic must give them.  2.20 and 2.21 compare the two
cubics of one chart, of which we take one.
"""

import numpy as np
import pytest

from explorer.mechanics import fatigue as fg
from explorer.mechanics.sections import hole_edge_stress
from tests.outside.published import Row, a, check_row, params

ROARK = "Roark, table 17.1, read at eng-calculations.com; values of Howland, 1930, from memory"
HEYWOOD = "Peterson, Stress Concentration Factors, chart 4.1; values of Howland; memory"
LUG = "Peterson, Stress Concentration Factors, chart 4.67, Frocht and Hill, close pin; memory"
TABLE_6_2 = "Shigley 9th ed., p. 345, table 6-2 and eq. 6-20"
FEA = "fea-solutions.co.uk/surface-factor, worked at 520 MPa"
LIFE = "engineering-calculators.pages.dev/fatigue-life-calculator, worked at 700 MPa"
KPSI, ROOT_INCH = 6.894757, 25.4**0.5


def chart_by_bearing(x: float) -> float:
    """The chart's other cubic, on the bearing stress, brought to the net section."""
    return (0.2880 + 8.820 * x - 23.196 * x**2 + 29.167 * x**3) * (1 - x) / x


HOLES = [
    *(
        Row(number, ROARK, lambda x=x: fg.empty_hole_kt(a(x)), kt, 5e-3)
        for number, x, kt in (
            ("2.01", 0.1, 2.727),
            ("2.02", 0.2, 2.512),
            ("2.03", 0.3, 2.352),
            ("2.05", 0.5, 2.16),
        )
    ),
    *(
        Row(number, HEYWOOD, lambda x=x: fg.empty_hole_kt(a(x)), kt, 5e-3, memory=True)
        for number, x, kt in (
            ("2.06", 0.1, 2.727),
            ("2.07", 0.2, 2.512),
            ("2.09", 0.4, 2.244),
            ("2.10", 0.5, 2.16),
        )
    ),
    Row(
        "2.11",
        "amesweb.info, circular hole in an infinite plate, one-way tension",
        lambda: fg.empty_hole_kt(a(0)),
        3.0,
        0,
    ),
    Row(
        "2.14",
        "Peterson, hole in a bent lever, K_t 2, 1 N*mm on 10 x 1 with a hole of 5; memory",
        lambda: hole_edge_stress(a(1), 10, 5, 1),
        0.06857142857142857,
        1e-9,
        memory=True,
    ),
    *(
        Row(number, LUG, lambda x=x: fg.loaded_hole_kt(a(x)), kt, 2e-3, memory=True)
        for number, x, kt in (
            ("2.15", 0.2, 5.516),
            ("2.16", 0.3, 3.748),
            ("2.17", 0.4, 2.851),
            ("2.18", 0.5, 2.507),
            ("2.19", 0.6, 2.408),
        )
    ),
    *(
        Row(
            number,
            LUG,
            lambda x=x: fg.loaded_hole_kt(a(x)),
            chart_by_bearing(x),
            5e-2,
            memory=True,
        )
        for number, x in (("2.20", 0.3), ("2.21", 0.5))
    ),
]

MARIN = [
    Row("3.01", FEA + ", ground", lambda: fg.surface_factor(a(520), "ground"), 0.929, 1e-3),
    Row("3.02", FEA + ", as forged", lambda: fg.surface_factor(a(520), "as-forged"), 0.54, 1e-3),
    Row(
        "3.03",
        "Shigley 9th ed., example 6-3, machined, 520 MPa; memory",
        lambda: fg.surface_factor(a(520), "machined"),
        0.86,
        1e-3,
        memory=True,
    ),
    Row("3.05", LIFE + ", machined", lambda: fg.surface_factor(a(700), "machined"), 0.795, 1e-3),
    # The page takes k_b 0.9 as given; its k_e 0.897 is ours at 90 %.
    Row(
        "3.06",
        LIFE + ", 90 %",
        lambda: (
            fg.surface_factor(a(700), "machined")
            * 0.9
            * fg.reliability_factor(a(0.90))
            * fg.specimen_limit(a(700))
        ),
        224.6,
        1e-3,
    ),
    Row(
        "3.09",
        "Shigley 9th ed., example 6-4 (a), a turning bar of 32 mm; memory",
        lambda: fg.size_factor(a(32)),
        0.858,
        1e-3,
        memory=True,
    ),
    Row(
        "3.10",
        "Shigley 9th ed., example 6-4 (b), the bar does not turn; memory",
        lambda: fg.size_factor(fg.equivalent_round(a(32))),
        0.954,
        1e-3,
        memory=True,
    ),
    # The book prints both (d/7.62)^-0.107 and 1.24 d^-0.107; they differ by 0.22 %.
    Row("3.11", TABLE_6_2 + ", 32 mm", lambda: fg.size_factor(a(32)), 1.24 * 32**-0.107, 5e-3),
    Row(
        "3.12",
        "Shigley 9th ed., eq. 6-25, 10 x 10 mm; memory",
        lambda: fg.equivalent_rectangle(a(10), 10),
        8.08,
        1e-6,
        memory=True,
    ),
    Row(
        "3.13",
        "Shigley 9th ed., eq. 6-8, 1500 MPa; memory",
        lambda: fg.specimen_limit(a(1500)),
        700,
        1e-9,
        memory=True,
    ),
    Row("3.14", TABLE_6_2 + ", 99 %", lambda: fg.reliability_factor(a(0.99)), 0.814, 1e-3),
    # 2.70 S^-0.265 in kpsi is the same row of the table, each rounded to three digits.
    Row(
        "3.20",
        "Shigley 9th ed., example 6-10, machined, 100 kpsi; memory",
        lambda: fg.surface_factor(a(100 * KPSI), "machined"),
        0.797,
        3e-3,
        memory=True,
    ),
]

NOTCHES = [
    # The metric cubic is a rounding of the one in inches and kpsi: within 1 %.
    Row(
        "3.15",
        "Shigley 9th ed., eq. 6-35a at 100 kpsi, in^0.5, cubic read at holooly.com/?p=490988",
        lambda: fg.neuber_root(a(100 * KPSI)) / ROOT_INCH,
        0.0622,
        1e-2,
    ),
    Row(
        "3.16",
        "metric form of the same cubic at 690 MPa, read at danielrhuynh.github.io/quartz",
        lambda: fg.neuber_root(a(690)),
        0.3133823698445718,
        1e-2,
    ),
]

LINES = [
    Row("3.07", LIFE, lambda: fg.goodman_factor(a(200), 100, 224.6, 700), 0.97, 5e-3),
    Row(
        "3.23",
        "Shigley 9th ed., inputs of example 6-10 on the modified Goodman line; memory",
        lambda: fg.goodman_factor(a(8.38), 8.38, 33.9, 100),
        3.02,
        3e-3,
        memory=True,
    ),
    # Our pulsating strength is the same line read the other way: 3.02 x (8.38 + 8.38).
    Row(
        "3.23 from zero",
        "the same, as the largest stress from zero that is stood, kpsi; memory",
        lambda: fg.pulsating_strength(a(33.9), 100),
        3.02 * 2 * 8.38,
        3e-3,
        memory=True,
    ),
]

TEETH = [
    Row(
        "14-2",
        "Shigley 9th ed., example 14-2, 16 teeth, Y 0.296: K_f 1.42 by notch sensitivity; memory",
        lambda: fg.tooth_factor(a(16), a(0.296)),
        1.42,
        # two independent estimates of one factor
        3e-2,
        memory=True,
    ),
]


@pytest.mark.parametrize("row", params(HOLES))
def test_holes_concentrate_stress_as_charted(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(MARIN))
def test_marin_factors_are_the_printed_ones(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(NOTCHES))
def test_neuber_lengths_are_the_printed_ones(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(LINES))
def test_goodman_line_gives_the_printed_factor(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(TEETH))
def test_teeth_concentrate_stress_as_in_the_example(row: Row) -> None:
    check_row(row)


def test_both_cubics_of_the_lug_chart_meet_between_their_points() -> None:
    """Two fits of one set of measurements agree within the 4 % by which they differ at the points."""
    x = np.linspace(0.2, 0.6, 41)
    other = np.array([chart_by_bearing(v) for v in x])
    np.testing.assert_allclose(fg.loaded_hole_kt(x), other, rtol=0.05)
