"""A plate with a hole by finite elements against the stress concentration that fatigue uses.

Quarter of a plate three widths long, plane stress, quadratic elements crowded at the hole (scikit-fem).
"""

import numpy as np
import pytest

from explorer.mechanics.fatigue import empty_hole_kt

E, NU = 193e3, 0.3
AROUND, ACROSS = 64, 40  # elements along the quarter of the hole, and from it to the edge


def quarter(d: float, w: float, length: float) -> tuple[np.ndarray, np.ndarray]:
    """Points (2,n) and four-cornered elements (4,m): rays from the hole to the plate's edge."""
    corner = np.arctan2(w, length)
    half = AROUND // 2
    angle = np.concatenate(
        [np.linspace(0.0, corner, half + 1), np.linspace(corner, np.pi / 2, half + 1)[1:]]
    )
    direction = np.stack([np.cos(angle), np.sin(angle)])
    with np.errstate(divide="ignore"):
        out = np.minimum(length / 2 / direction[0], w / 2 / direction[1])
    share = np.linspace(0.0, 1.0, ACROSS + 1) ** 2.5
    radius = d / 2 + share[:, None] * (out - d / 2)
    points = (radius[None] * direction[:, None]).reshape(2, -1)
    n = AROUND + 1
    first = (np.arange(ACROSS)[:, None] * n + np.arange(AROUND)).ravel()
    return points, np.stack([first, first + n, first + n + 1, first + 1])


def concentration(d: float, w: float) -> float:
    """Greatest stress at the hole over the mean stress of the net section."""
    import skfem as fem
    from skfem.helpers import dot
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    length, pull = 3.0 * w, 1.0
    points, cells = quarter(d, w, length)
    mesh = fem.MeshQuad(points, cells).with_boundaries({
        "left": lambda x: np.isclose(x[0], 0.0, atol=1e-9 * w),
        "bottom": lambda x: np.isclose(x[1], 0.0, atol=1e-9 * w),
        "right": lambda x: np.isclose(x[0], length / 2),
    })  # fmt: skip
    element = fem.ElementVector(fem.ElementQuad2())
    basis = fem.Basis(mesh, element)
    lam, mu = lame_parameters(E, NU)
    K = linear_elasticity(2.0 * lam * mu / (lam + 2.0 * mu), mu).assemble(basis)

    @fem.LinearForm
    def traction(v: np.ndarray, _w: object) -> np.ndarray:
        return dot(np.stack([pull + 0.0 * v[0], 0.0 * v[0]]), v)

    f = traction.assemble(basis.boundary("right"))
    held = np.concatenate([
        basis.get_dofs("left").all(["u^1"]), basis.get_dofs("bottom").all(["u^2"]),
    ])  # fmt: skip
    u = fem.solve(*fem.condense(K, f, D=held))
    # Stress at the hole's side, where the rim crosses the plate's narrowest section.
    at = np.array([[1e-6 * d], [d / 2 * (1.0 + 1e-6)]])
    cell = mesh.element_finder()(*at)
    local = mesh.mapping().invF(at[:, :, None], tind=cell)[:, 0]
    there = fem.Basis(mesh, element, elements=cell, quadrature=(local, np.ones(1)))
    gradient = np.asarray(there.interpolate(u).grad)[:, :, 0, 0]
    stress = E / (1.0 - NU * NU) * (gradient[0, 0] + NU * gradient[1, 1])
    return float(stress * (w - d) / w / pull)


@pytest.mark.parametrize(
    "share",
    [
        0.1,
        pytest.param(0.25, marks=pytest.mark.long),
        0.4,
        pytest.param(0.5, marks=pytest.mark.long),
        0.6,
    ],
)
def test_a_hole_in_a_pulled_plate(share: float) -> None:
    """Roark, table 17.1, as the tool uses it, within 1 %."""
    ours = float(empty_hole_kt(np.array(share)))
    assert ours == pytest.approx(concentration(3.0, 3.0 / share), rel=0.01)
