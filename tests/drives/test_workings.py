"""Which formula is shown: where a body has next to no wall, and at the edges of the fits of fatigue."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.endurance import MetalLine
from explorer.drives.workings import WORKINGS, Step
from explorer.drives.workings_fatigue import FATIGUE
from explorer.drives.workings_life import Use


@pytest.mark.parametrize(
    ("D", "d", "plain"),
    [(6.0, 4.0, True), (3.0, 2.9, True), (1.0, 0.5, True), (2.0, 2.0, False), (2.0, 3.0, False)],
)
def test_a_ring_without_a_wall_shows_the_number_that_keeps_it_finite(
    D: float, d: float, plain: bool
) -> None:
    (formula,) = [s[1] for s in _stresses() if callable(s[1]) and "D^4" in _text(s[1], 6.0, 4.0)]
    assert _text(formula, D, d) == ("16*T*D/(pi*(D^4 - d^4))" if plain else "16*T*D/(pi*1e-6)")


def _stresses() -> list:
    """Symbol and formula of every way's stress."""
    return [w.stress for w in WORKINGS.values()]


def _text(formula: object, D: float, d: float) -> str:
    try:
        return str(formula({"D": np.array([[D]]), "d": np.array([[d]])}))
    except KeyError:
        return ""


def _steps(way: str, ultimate: float = 650.0, d: float = 0.0) -> dict[str, Step]:
    """What is worked out on the way to the stress and strength of a steel, by symbol."""
    metal = MetalLine(ultimate, 7.85e-3, None, "machined", d)
    made = FATIGUE[way][0]((metal,), Use(3e4, 0.99, 1.5))
    return {s.symbol: s for s in made.working.steps}


def _shown(step: Step, **values: float) -> str:
    assert callable(step.formula)
    return step.formula({s: np.array([[v]]) for s, v in values.items()})


@pytest.mark.parametrize("way", ["pin cracks", "drive pins crack", "shaft cracks"])
def test_a_rod_has_a_size_factor_and_a_sheet_has_none(way: str) -> None:
    """30 mm, not turning: (0.37 x 30/7.62)^-0.107 = 0.9605 (Shigley 9th ed., eq. 6-20 and 6-24)."""
    rod = _steps(way, d=30.0)
    d_e = rod["d_e"].value({"d": np.array([[30.0]])})
    assert d_e.item() == pytest.approx(11.1)
    assert rod["k_b"].value({"d_e": d_e}).item() == pytest.approx(0.9605, abs=1e-4)
    assert not {"d_e", "k_b"} & _steps(way).keys()


@pytest.mark.parametrize(("x", "at"), [(0.16, "x"), (0.75, "x"), (0.76, "0.75"), (0.9, "0.75")])
def test_the_fit_of_a_pinned_eye_ends_at_three_quarters(x: float, at: str) -> None:
    """Above a hole of 0.75 of the width the curve is held at its last value."""
    fit = f"12.882 - 52.714*{at} + 89.762*{at}^2 - 51.667*{at}^3"
    assert fit in _shown(_steps("cracks at the hole")["K_t"], x=x)


@pytest.mark.parametrize(("ultimate", "at"), [
    (480.0, "70"), (485.0, "(S_ut/6.894757)"), (1375.0, "(S_ut/6.894757)"), (1382.0, "200"),
    (1500.0, "200"),
])  # fmt: skip
def test_the_fit_of_the_fraction_is_of_70_to_200_kpsi(ultimate: float, at: str) -> None:
    """482.6 to 1379.0 MPa."""
    formula = _steps("cracks at the hole", ultimate)["f"].formula
    assert formula == f"1.06 - 0.0028*{at} + 0.0000069*{at}^2"


@pytest.mark.parametrize(("ultimate", "held"), [
    (300.0, 340.0), (341.0, 341.0), (370.0, 370.0), (1490.0, 1490.0), (1600.0, 1500.0),
])  # fmt: skip
def test_the_root_of_steel_is_of_340_to_1500_megapascal(ultimate: float, held: float) -> None:
    step = _steps("cracks at the hole", ultimate)["S_n"]
    assert step.value({"S_ut": np.array([[ultimate]])}).item() == held


@pytest.mark.parametrize(("d_e", "shown"), [
    (2.0, "min((7.62/max(d_e, 2.79))^0.107, 1)"), (51.0, "min((7.62/max(d_e, 2.79))^0.107, 1)"),
    (51.1, "1.51/d_e^0.157"),
])  # fmt: skip
def test_the_first_fit_of_the_size_factor_goes_to_51_mm(d_e: float, shown: str) -> None:
    """51 mm itself belongs to it (Shigley 9th ed., eq. 6-20)."""
    assert _shown(_steps("pin cracks", d=100.0)["k_b"], d_e=d_e) == shown
