"""A library of ISO 286 fits (pressfit) confirms the limits of every pin size in common use."""

import numpy as np
import pytest

from explorer.mechanics.fits import clearance, limits

pressfit = pytest.importorskip("pressfit", reason="pressfit is a test-only package and is absent")

PIN_SIZES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)
OTHER_SIZES = (8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0)
SHAFTS = [f"{letter}{grade}" for letter in "efghmnp" for grade in (6, 7, 8, 9)] + ["k6", "k7"]


def test_fit_library_knows_the_standards_own_example() -> None:
    """25 H7/g6 leaves 7 to 41 um: 0/+21 and -7/-20 in ISO 286-2 (from memory)."""
    assert pressfit.fit("25 H7/g6").clearance_um == (7, 41)


@pytest.mark.parametrize("hole", ["H6", "H7", "H8", "H9"])
@pytest.mark.parametrize("shaft", SHAFTS)
def test_limits_agree_with_the_fit_library(hole: str, shaft: str) -> None:
    sizes = np.array(PIN_SIZES + OTHER_SIZES)
    theirs = [pressfit.fit(f"{size:g} {hole}/{shaft}") for size in sizes]
    outer, inner, fit = limits(sizes, hole), limits(sizes, shaft), clearance(sizes, hole, shaft)
    assert outer.lower_um.tolist() == [f.hole_ei_um for f in theirs]
    assert outer.upper_um.tolist() == [f.hole_es_um for f in theirs]
    assert inner.lower_um.tolist() == [f.shaft_ei_um for f in theirs]
    assert inner.upper_um.tolist() == [f.shaft_es_um for f in theirs]
    assert list(zip(fit.least_um, fit.most_um, strict=True)) == [f.clearance_um for f in theirs]
