import numpy as np
from hypothesis import given

from explorer.mechanics.eyes import net_section_stress, tear_out_stress
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns

FORCE, HOLE, WALL, PLATE = (1.0, 2000.0), (1.0, 6.0), (0.25, 6.0), (0.5, 6.0)


@given(columns(FORCE, HOLE, WALL, PLATE))
def test_formulas_are_elementwise(inputs: list[Floats]) -> None:
    F, d, wall, t = inputs
    check_elementwise(net_section_stress, F, d + wall, d, t)
    check_elementwise(tear_out_stress, F, d + wall, d, t)


@given(columns(FORCE, HOLE, WALL, PLATE))
def test_stress_scales_with_force_over_area(inputs: list[Floats]) -> None:
    F, d, wall, t = inputs
    for formula, edge in ((net_section_stress, d + wall), (tear_out_stress, d / 2 + wall)):
        one = formula(F, edge, d, t)
        assert np.array_equal(formula(2 * F, edge, d, t), 2 * one)
        assert np.array_equal(formula(F, 2 * edge, 2 * d, 2 * t), one / 4)


@given(columns(FORCE, HOLE, WALL, PLATE))
def test_round_eye_tears_out_at_the_stress_of_its_net_section(inputs: list[Floats]) -> None:
    """With the edge at w/2 all round, two shear planes have the area of the two sides."""
    F, d, wall, t = inputs
    w = d + 2 * wall
    np.testing.assert_allclose(
        tear_out_stress(F, w / 2, d, t), net_section_stress(F, w, d, t), rtol=1e-12
    )


@given(columns(FORCE, HOLE, WALL, PLATE))
def test_more_material_is_never_weaker(inputs: list[Floats]) -> None:
    F, d, wall, t = inputs
    assert (
        net_section_stress(F, d + wall + 0.5, d, t) < net_section_stress(F, d + wall, d, t)
    ).all()
    assert (tear_out_stress(F, d + wall + 0.5, d, t) < tear_out_stress(F, d + wall, d, t)).all()
