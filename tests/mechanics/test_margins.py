import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.margins import margin_of_safety, shear_allowable
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

RANGES = ((50.0, 1500.0), (1.0, 3.0), (-900.0, 900.0))


@given(columns(*RANGES))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    check_elementwise(margin_of_safety, *inputs)
    check_elementwise(shear_allowable, inputs[0])


@given(allowable=st.floats(50.0, 1500.0), factor=st.floats(1.0, 3.0))
def test_margin_is_nought_where_factor_times_stress_is_allowed(
    allowable: float, factor: float
) -> None:
    assert margin_of_safety(np.array(allowable), factor, allowable / factor) == pytest.approx(
        0.0, abs=1e-12
    )


@given(columns(*RANGES))
def test_margin_sees_size_not_sign(inputs: list[Floats]) -> None:
    allowable, factor, stress = inputs
    here = margin_of_safety(allowable, factor, stress)
    assert np.array_equal(here, margin_of_safety(allowable, factor, -stress))
    assert (here > -1.0).all()


@given(allowable=st.floats(50.0, 1500.0), stress=st.floats(1.0, 900.0), more=st.floats(1.01, 2.0))
def test_more_stress_is_less_margin(allowable: float, stress: float, more: float) -> None:
    a = np.array(allowable)
    assert margin_of_safety(a, 1.5, stress * more) < margin_of_safety(a, 1.5, stress)


@pytest.mark.usefixtures("strict_numpy")
def test_unloaded_part_has_boundless_margin() -> None:
    margins = margin_of_safety(np.array(300.0), 1.5, np.array([0.0, 5e-324, 100.0]))
    assert margins.tolist() == [np.inf, np.inf, 1.0]


def test_shear_strength_is_that_of_von_mises() -> None:
    """1/sqrt(3) to three digits, as texts print it."""
    assert shear_allowable(np.array(1000.0)) == pytest.approx(1000.0 / np.sqrt(3.0), rel=1e-3)
