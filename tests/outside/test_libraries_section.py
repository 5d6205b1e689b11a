"""A section library (sectionproperties) confirms the lever's section through a hole."""

import numpy as np
import pytest

from explorer.mechanics.sections import net_second_moment, outer_edge_stress

pytest.importorskip(
    "sectionproperties", reason="sectionproperties is a test-only package and is not installed"
)


def section(w: float, d: float, t: float) -> tuple[float, float]:
    """Second moment [mm^4] and section modulus at the outer edge [mm^3], bent in the plate's plane."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import library

    shape = library.rectangular_section(d=w, b=t)
    if d:
        shape -= library.rectangular_section(d=d, b=t).shift_section(0.0, (w - d) / 2)
    solved = Section(shape.create_mesh([w * t / 20]))
    solved.calculate_geometric_properties()
    return solved.get_ic()[0], solved.get_z()[0]


def test_section_library_knows_the_rectangle() -> None:
    """b h^3/12 and b h^2/6; any text on strength."""
    assert section(12.0, 0.0, 4.0) == pytest.approx((4 * 12**3 / 12, 4 * 12**2 / 6), rel=1e-9)


@pytest.mark.parametrize(
    ("w", "d", "t"),
    [(12.0, 5.0, 4.0), (8.0, 3.0, 1.5), (10.0, 5.0, 2.0), (7.0, 4.2, 3.0), (20.0, 2.0, 6.0)],
)
def test_lever_section_agrees_with_the_section_library(w: float, d: float, t: float) -> None:
    second_moment, modulus = section(w, d, t)
    assert net_second_moment(np.array(w), d, t) == pytest.approx(second_moment, rel=1e-9)
    M = np.array(1234.0)
    assert outer_edge_stress(M, np.array(w), d, t) == pytest.approx(1234.0 / modulus, rel=1e-9)
