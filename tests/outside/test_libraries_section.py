"""A finite-element library (scikit-fem) integrates the lever's section through a hole."""

import numpy as np
import pytest
import skfem as fem

from explorer.mechanics.sections import net_second_moment, outer_edge_stress


@fem.Functional
def strip(at: fem.element.DiscreteField) -> np.ndarray:
    """y^2 over a strip."""
    return np.asarray(at.x[1] ** 2)


def section(w: float, d: float, t: float) -> tuple[float, float]:
    """Second moment [mm^4] and section modulus at the outer edge [mm^3], bent in the plate's plane.

    Both strips beside the hole as meshes of quadrilaterals; their quadrature is exact for y^2.
    """
    halves = [(d / 2.0, w / 2.0), (-w / 2.0, -d / 2.0)] if d else [(-w / 2.0, w / 2.0)]
    across = np.linspace(0.0, t, 4)
    total = 0.0
    for low, high in halves:
        mesh = fem.MeshQuad.init_tensor(across, np.linspace(low, high, 9))
        total += float(strip.assemble(fem.Basis(mesh, fem.ElementQuad1())))
    return total, total / (w / 2.0)


def test_the_library_knows_the_rectangle() -> None:
    """b h^3/12 and b h^2/6; any text on strength."""
    assert section(12.0, 0.0, 4.0) == pytest.approx((4 * 12**3 / 12, 4 * 12**2 / 6), rel=1e-9)


@pytest.mark.parametrize(
    ("w", "d", "t"),
    [(12.0, 5.0, 4.0), (8.0, 3.0, 1.5), (10.0, 5.0, 2.0), (7.0, 4.2, 3.0), (20.0, 2.0, 6.0)],
)
def test_lever_section_agrees_with_the_integral(w: float, d: float, t: float) -> None:
    second_moment, modulus = section(w, d, t)
    assert net_second_moment(np.array(w), d, t) == pytest.approx(second_moment, rel=1e-9)
    M = np.array(1234.0)
    assert outer_edge_stress(M, np.array(w), d, t) == pytest.approx(1234.0 / modulus, rel=1e-9)
