"""Linkages: every derivative by complex step, Newton on functions with known roots."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.mechanics import linkage as lk
from explorer.mechanics.types import Floats

S, J, n = 5, 3, 9  # pieces, paths, coordinates: three bodies of x, y and turn
STEP = 1e-30


def ends(rng: np.random.Generator) -> lk.Ends:
    """Ends on any of the three bodies."""
    body = rng.integers(0, 3, S)
    sense = rng.choice([-1.0, 1.0, 0.0], S)
    return lk.Ends(3 * body, 3 * body + 1, 3 * body + 2, sense, rng.uniform(-5.0, 5.0, (S, 2)))


def drawn(seed: int) -> tuple[lk.Linkage, Floats]:
    """Pieces from wrist to fingers, some from circles; coordinates of two positions."""
    rng = np.random.default_rng(seed)
    start, end = ends(rng), ends(rng)
    far = lk.Ends(end.x, end.y, end.turn, end.sense, end.arm + np.array([0.0, 60.0]))
    far = lk.Ends(far.x, far.y, far.turn, 0.3 * far.sense, far.arm)
    radius = np.array([0.0, 4.0, 0.0, 6.0, 3.0])
    side = rng.choice([-1.0, 1.0], S)
    path = np.array([0, 1, 1, 2, 0])
    wound = rng.uniform(-1.0, 1.0, (J, n))
    link = lk.Linkage(start, far, radius, side, path, wound, rng.uniform(-1.0, 1.0, n))
    return link, rng.uniform(-0.4, 0.4, (2, n))


def stepped(Q: Floats, j: int) -> Floats:
    z = Q.astype(np.complex128)
    z[:, j] += 1j * STEP
    return z


@pytest.mark.parametrize("seed", range(12))
def test_gradient_is_the_slope_of_the_lengths(seed: int) -> None:
    link, Q = drawn(seed)
    grad = lk.gradient(link, lk.shape_of(link, Q))
    for j in range(n):
        z = stepped(Q, j)
        slope = lk.lengths(link, lk.shape_of(link, z), z).imag / STEP
        np.testing.assert_allclose(grad[..., j], slope, atol=1e-11)


@pytest.mark.parametrize("seed", range(12))
def test_stretch_is_the_slope_of_the_straight_length(seed: int) -> None:
    link, Q = drawn(seed)
    shape = lk.shape_of(link, Q)
    for j in range(n):
        slope = lk.shape_of(link, stepped(Q, j)).straight.imag / STEP
        np.testing.assert_allclose(shape.stretch[..., j], slope, atol=1e-11)


@pytest.mark.parametrize("seed", range(12))
def test_stiffness_is_the_slope_of_the_balance(seed: int) -> None:
    link, Q = drawn(seed)
    force = np.random.default_rng(seed).uniform(0.5, 2.0, (2, J))
    K = lk.stiffness(link, lk.shape_of(link, Q), force)
    for j in range(n):
        z = stepped(Q, j)
        grad = lk.gradient(link, lk.shape_of(link, z))
        slope = lk.balance(link, grad, force).imag / STEP
        np.testing.assert_allclose(K[..., j], slope, atol=1e-10)


@pytest.mark.parametrize("seed", range(6))
def test_a_taut_piece_leaves_its_circle_square_to_the_radius(seed: int) -> None:
    """Free length, radius and distance of the ends are a right triangle; u points along the strand."""
    link, Q = drawn(seed)
    shape = lk.shape_of(link, Q)
    assert np.allclose(np.hypot(shape.u[..., 0], shape.u[..., 1]), 1.0, atol=1e-12)
    plain = link.radius == 0.0
    assert np.allclose(shape.taken[..., plain], shape.straight[..., plain])


def cubic(z: Floats) -> tuple[Floats, Floats]:
    """z^3 = 5, row by row."""
    return z * z * z - 5.0, (3.0 * z * z)[..., None]


NO_TURNS = np.zeros(0, dtype=np.intp)


def test_a_step_that_makes_things_worse_does_not_end_the_search() -> None:
    """From 0.1 the first step lands at 167."""
    root = lk.newton(np.array([[0.1], [2.0]]), cubic, NO_TURNS)
    assert root.z[:, 0] == pytest.approx(5.0 ** (1 / 3), abs=1e-12)
    assert lk.converged(root.residual).all()


def test_angles_take_small_steps() -> None:
    """sin z = 0 from 1.4: a whole Newton step would jump by 5.8 over to another root."""

    def sine(z: Floats) -> tuple[Floats, Floats]:
        return np.sin(z), np.cos(z)[..., None]

    free = lk.newton(np.array([[1.4]]), sine, NO_TURNS)
    held = lk.newton(np.array([[1.4]]), sine, np.array([0]))
    assert abs(free.z.item()) > 3.0
    assert held.z.item() == pytest.approx(0.0, abs=1e-11)


def test_a_row_without_a_root_is_told_and_spares_the_others() -> None:
    def square(z: Floats) -> tuple[Floats, Floats]:
        return z * z - np.array([[4.0], [-4.0]]), (2.0 * z)[..., None]

    root = lk.newton(np.array([[3.0], [3.0]]), square, NO_TURNS)
    assert lk.converged(root.residual).tolist() == [True, False]
    assert root.z[0, 0] == pytest.approx(2.0, abs=1e-12)
    assert lk.converged(np.array([1e-11, 1e-9])).tolist() == [True, False]


def test_a_dead_row_does_not_stop_a_batch() -> None:
    """The first system has no solution; the second keeps its own."""
    K = np.array([[[1.0, 1.0], [1.0, 1.0]], [[2.0, 0.0], [0.0, 4.0]]])
    x = lk.solve_rows(K, np.array([[1.0, 2.0], [2.0, 8.0]]))
    np.testing.assert_allclose(x[1], [1.0, 2.0], rtol=1e-6)
