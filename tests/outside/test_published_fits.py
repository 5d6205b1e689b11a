"""ISO 286 limits against printed tables."""

import math
from functools import partial

import numpy as np
import pytest

from explorer.mechanics.fits import clearance, limits
from tests.outside.published import Row, a, check_row, params

GRADE_TABLES = (
    "DIN ISO 286 grades at mechguru.com/machine-design and engineersvault.blogspot.com/2007/02 "
    "(both read, agree)"
)
FORMULAS = "ISO 286-1 formulas at engineersedge.com/mechanical,045tolerances"
DOWELS = "m6 of dowel pins, nutbolt.org/Standards/Pin-Dowel.html"
FITS = "pressfit 0.1.0; rows m6, h6 and H agree with nutbolt.org and DIN 6325 tables"


def width(band: tuple[int, int], grade: int) -> object:
    """Width of a hole's grade at the end of a band of sizes, um."""
    zone = limits(a(band[1]), f"H{grade}")
    return zone.upper_um - zone.lower_um


# Sizes over, up to and including [mm] -> width of grades 6, 7, 8, 9 [um]: rows 8.01 to 8.20.
WIDTHS = {
    (0, 3): (6, 10, 14, 25),
    (3, 6): (8, 12, 18, 30),
    (6, 10): (9, 15, 22, 36),
    (10, 18): (11, 18, 27, 43),
    (18, 30): (13, 21, 33, 52),
}

GRADES = (6, 7, 8, 9)
WIDTH_ROWS = [
    Row(
        f"8.{4 * b + k + 1:02d}",
        GRADE_TABLES,
        partial(width, band, grade),
        WIDTHS[band][k],
        0,
    )
    for b, band in enumerate(WIDTHS)
    for k, grade in enumerate(GRADES)
]


def both(nominal: float, zone: str) -> tuple[object, object]:
    found = limits(a(nominal), zone)
    return found.lower_um, found.upper_um


def fit(nominal: float, hole: str, shaft: str) -> tuple[object, object]:
    found = clearance(a(nominal), hole, shaft)
    return found.least_um, found.most_um


LIMITS = [
    # The tolerance unit i = 0.45 D^(1/3) + 0.001 D; grade 7 is 16 i.
    Row(
        "8.21",
        FORMULAS,
        lambda: limits(a(25), "H7").upper_um,
        16 * (0.45 * math.sqrt(18 * 30) ** (1 / 3) + 0.001 * math.sqrt(18 * 30)),
        5e-3,
    ),
    Row("8.22", DOWELS, lambda: both(2.5, "m6"), (2, 8), 0),
    Row("8.23", DOWELS, lambda: both(5, "m6"), (4, 12), 0),
    Row("8.25", DOWELS, lambda: both(12, "m6"), (7, 18), 0),
    Row("8.26", DOWELS, lambda: both(20, "m6"), (8, 21), 0),
    Row(
        "8.37",
        "ISO 286-1, n lies 5 D^0.34 above; memory",
        lambda: limits(a(8), "n6").lower_um,
        5 * math.sqrt(6 * 10) ** 0.34,
        0.01,
        memory=True,
    ),
    # Deviation m is the difference of the widths of grades 7 and 6.
    Row(
        "8.38",
        "ISO 286-1, m lies IT7 - IT6 above (memory); value in the dowel table at nutbolt.org",
        lambda: limits(a(5), "m6").lower_um,
        12 - 8,
        0,
    ),
]
CLEARANCES = [
    Row("8.27", FITS, lambda: fit(3, "H7", "m6"), (-8, 8), 0),
    Row("8.29", FITS, lambda: fit(10, "H7", "m6"), (-15, 9), 0),
    Row("8.30", FITS, lambda: fit(3, "H7", "g6"), (2, 18), 0),
    Row("8.31", FITS, lambda: fit(6, "H7", "g6"), (4, 24), 0),
    Row("8.33", FITS, lambda: fit(6, "H7", "h6"), (0, 20), 0),
    Row("8.34", FITS, lambda: fit(6, "H7", "p6"), (-20, 0), 0),
    Row("8.35", FITS, lambda: fit(6, "H8", "f7"), (10, 40), 0),
]


@pytest.mark.parametrize("grade", [6, 7, 8, 9])
@pytest.mark.parametrize("band", WIDTHS, ids=str)
def test_grades_have_the_tabulated_width(band: tuple[int, int], grade: int) -> None:
    """DIN ISO 286 tables, rows 8.01 to 8.20; each holds just over the band's start and at its end."""
    over, to = band
    sizes = np.array([over + 1e-6, (over + to) / 2, to])
    for letter in "HEhm":
        zone = limits(sizes, f"{letter}{grade}")
        width = zone.upper_um - zone.lower_um
        assert (width == WIDTHS[band][grade - 6]).all(), GRADE_TABLES


@pytest.mark.parametrize("row", params(WIDTH_ROWS))
def test_widths_are_the_tabulated_ones(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(LIMITS))
def test_limits_are_the_printed_ones(row: Row) -> None:
    check_row(row)


@pytest.mark.parametrize("row", params(CLEARANCES))
def test_clearances_are_the_printed_ones(row: Row) -> None:
    check_row(row)
