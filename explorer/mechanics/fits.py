"""Limits of holes and shafts after ISO 286, nominal sizes to 30 mm.

Limits and clearances in micrometres, as the standard tabulates them; play in mm.
"""

from dataclasses import dataclass

import numpy as np

from explorer.mechanics.types import Floats, Ints

# Nominal sizes over the previous up to and including this one [mm].
BANDS = np.array([3.0, 6.0, 10.0, 18.0, 30.0])

# Width of the tolerance [um] by grade and band: ISO 286-1, table 1.
GRADES = {
    6: np.array([6.0, 8.0, 9.0, 11.0, 13.0]),
    7: np.array([10.0, 12.0, 15.0, 18.0, 21.0]),
    8: np.array([14.0, 18.0, 22.0, 27.0, 33.0]),
    9: np.array([25.0, 30.0, 36.0, 43.0, 52.0]),
}

# Distance [um] from the nominal size to the near limit by letter and band: ISO 286-1, tables of
# fundamental deviations (h and m checked against pin tables, the rest from memory). Up to h it is
# the shaft's upper limit, from k on its lower one. Holes E to H mirror shafts e to h.
BELOW = {
    "e": np.array([-14.0, -20.0, -25.0, -32.0, -40.0]),
    "f": np.array([-6.0, -10.0, -13.0, -16.0, -20.0]),
    "g": np.array([-2.0, -4.0, -5.0, -6.0, -7.0]),
    "h": np.array([0.0, 0.0, 0.0, 0.0, 0.0]),
}
ABOVE = {
    "k": np.array([0.0, 1.0, 1.0, 1.0, 2.0]),
    "m": np.array([2.0, 4.0, 6.0, 7.0, 8.0]),
    "n": np.array([4.0, 8.0, 10.0, 12.0, 15.0]),
    "p": np.array([6.0, 12.0, 15.0, 18.0, 22.0]),
}
# The standard gives k other values from grade 8 on.
COARSEST_K = 7


@dataclass(frozen=True)
class Limits:
    """Limits of size [um from nominal], shape of the nominal size."""

    lower_um: Floats
    upper_um: Floats


@dataclass(frozen=True)
class Clearance:
    """Least and most clearance of a fit [um], negative where it presses."""

    least_um: Floats
    most_um: Floats


def limits(nominal: Floats, zone: str) -> Limits:
    """Limits of a hole ("H7") or shaft ("m6") of nominal size [mm], any shape.

    Capitals are holes (E to H), small letters shafts (e to h, k, m, n, p), grades 6 to 9.
    Source: ISO 286-1 and 286-2.
    """
    letter, width, band = zone[:1], _grade(zone), _band(nominal)
    if letter in BELOW:
        upper = BELOW[letter][band]
        return Limits(lower_um=upper - width[band], upper_um=upper)
    if letter in ABOVE and not (letter == "k" and int(zone[1:]) > COARSEST_K):
        lower = ABOVE[letter][band]
    elif letter.lower() in BELOW:
        lower = 0.0 - BELOW[letter.lower()][band]
    else:
        raise ValueError(_unknown(zone))
    return Limits(lower_um=lower, upper_um=lower + width[band])


def clearance(nominal: Floats, hole: str, shaft: str) -> Clearance:
    """Least and most clearance [um] of a fit such as H7 with g6; nominal size [mm], any shape.

    Source: ISO 286-1, hole limits minus shaft limits.
    """
    if not (hole[:1].isupper() and shaft[:1].islower()):
        raise ValueError(f"a fit is a hole and a shaft, such as H7 and g6, not {hole} and {shaft}")
    outer, inner = limits(nominal, hole), limits(nominal, shaft)
    return Clearance(
        least_um=outer.lower_um - inner.upper_um, most_um=outer.upper_um - inner.lower_um
    )


def mean_play(nominal: Floats, hole: str, shaft: str) -> Floats:
    """Clearance [mm] at the middle of both tolerances, none where the middles press.

    nominal size [mm], any shape. Source: ISO 286-1 limits; the middle is common practice.
    """
    fit = clearance(nominal, hole, shaft)
    return np.maximum(0.0, (fit.least_um + fit.most_um) / 2000.0)


def _grade(zone: str) -> Floats:
    """Widths [um] by band of a zone's grade."""
    grade = zone[1:]
    if not (grade.isdecimal() and int(grade) in GRADES):
        raise ValueError(_unknown(zone))
    return GRADES[int(grade)]


def _band(nominal: Floats) -> Ints:
    """Index of each nominal size [mm] in `BANDS`."""
    size = np.asarray(nominal, dtype=np.float64)
    if not np.all((size > 0.0) & (size <= BANDS[-1])):
        raise ValueError(f"limits are tabulated for sizes over 0 up to {BANDS[-1]:g} mm")
    return np.asarray(np.searchsorted(BANDS, size, side="left"), dtype=np.int64)


def _unknown(zone: str) -> str:
    """What to say about a zone outside the tables."""
    return (
        f"tolerance zone {zone!r} is not tabulated: holes E F G H, shafts e f g h k m n p "
        f"(k to grade {COARSEST_K}), grades 6 to 9"
    )
