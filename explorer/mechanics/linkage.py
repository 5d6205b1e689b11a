"""Plane bodies joined by straight pieces that keep their length: positions and forces together.

A path (a link, or a strand over a wheel) is a sum of pieces.  A piece runs from its start, toward the
wrist, to its end, toward the fingers; its start may be the tangent point of a circle.  Rest and pull
follow from the lengths g(Q) alone: positions from g = const, forces from the multipliers of
J^T lambda = load (principle of virtual work; Lagrange's equations of the first kind).
Leading axes are positions; the last ones pieces S, paths J, coordinates n.  Lengths mm, angles rad.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from explorer.mechanics.types import Bools, Floats, Ints

_STEPS = 25
_TURN_CAP = 0.4  # rad; longer Newton steps fold a linkage over
_DONE = 1e-11  # mm of a length of tens, N of a pull of one
_ROUNDING = 1e-13  # nothing left to gain
_COMPLEX_STEPS = 4
_LEAST_SQUARE = 1e-6  # mm^2; a piece never vanishes


@dataclass(frozen=True)
class Ends:
    """One end of every piece: columns of x, y and turn of its body, its place in the body's frame.

    The body's frame stands turned by sense x Q[turn].  x, y, turn, sense (S,); arm (S,2).
    """

    x: Ints
    y: Ints
    turn: Ints
    sense: Floats
    arm: Floats


@dataclass(frozen=True)
class Linkage:
    """What joins what.  radius, side (S,): circle at the start, tangent on its +x or -x side.

    `path` (S,) the path of each piece; `wound` (J,n) length taken up per unit of a coordinate;
    `load` (n,) the generalised load that the paths balance.
    """

    start: Ends
    end: Ends
    radius: Floats
    side: Floats
    path: Ints
    wound: Floats
    load: Floats

    @property
    def paths(self) -> int:
        """How many paths, J."""
        return len(self.wound)

    @property
    def coordinates(self) -> int:
        """How many coordinates, n."""
        return len(self.load)


@dataclass(frozen=True)
class Shape:
    """Pieces in every position.  u, n (...,S,2) along and across; straight (...,S) free length.

    taken (...,S): length with what the circle takes up, whose gradient is that of the free end;
    across, along (...,S,n): n and u times d(end - start)/dQ; stretch (...,S,n) d straight/dQ;
    swing (...,S,n): u times d2(end - start)/dQ2, of the turns (diagonal).
    """

    u: Floats
    straight: Floats
    taken: Floats
    along: Floats
    across: Floats
    stretch: Floats
    swing: Floats


def _place(ends: Ends, Q: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """x, y of the ends and their arms after the turn (...,S)."""
    angle = ends.sense * Q[..., ends.turn]
    c, s = np.cos(angle), np.sin(angle)
    ax = c * ends.arm[:, 0] - s * ends.arm[:, 1]
    ay = s * ends.arm[:, 0] + c * ends.arm[:, 1]
    return Q[..., ends.x] + ax, Q[..., ends.y] + ay, ax, ay


def _above(square: Floats) -> Floats:
    """Squares kept positive while an iteration is astray; complex passes."""
    return square if np.iscomplexobj(square) else np.maximum(square, _LEAST_SQUARE)


def shape_of(link: Linkage, Q: Floats) -> Shape:
    """Every piece for coordinates Q (...,n).

    Tangent to a circle: v = R n + t u with t^2 = v^2 - R^2; length t plus R times the wrapped angle,
    whose gradient is u alone (a taut strand neither slips nor bends at its tangent point).
    """
    x0, y0, ax, ay = _place(link.start, Q)
    x1, y1, bx, by = _place(link.end, Q)
    vx, vy = x1 - x0, y1 - y0
    square = _above(vx * vx + vy * vy)
    turned = link.side * link.radius
    straight = np.sqrt(_above(square - turned * turned))
    ux = (straight * vx - turned * vy) / square
    uy = (straight * vy + turned * vx) / square
    taken = straight - turned * np.arctan(ux / uy)
    d = _Motions(link, vx.shape, Q.dtype)
    d.turns(-1.0, link.start, ax, ay, ux, uy)
    d.turns(1.0, link.end, bx, by, ux, uy)
    along = ux[..., None] * d.dx + uy[..., None] * d.dy
    across = uy[..., None] * d.dx - ux[..., None] * d.dy
    pull = (vx / straight)[..., None] * d.dx + (vy / straight)[..., None] * d.dy
    return Shape(np.stack((ux, uy), axis=-1), straight, taken, along, across, pull, d.swing)


class _Motions:
    """d(end - start)/dQ, x and y, and u times its second derivative, filled in end by end."""

    def __init__(self, link: Linkage, lead: tuple[int, ...], dtype: np.dtype[np.float64]) -> None:
        shape = (*lead, link.coordinates)
        self.dx, self.dy, self.swing = (
            np.zeros(shape, dtype),
            np.zeros(shape, dtype),
            np.zeros(shape, dtype),
        )
        self.rows = np.arange(lead[-1])

    def turns(
        self, sign: float, ends: Ends, ax: Floats, ay: Floats, ux: Floats, uy: Floats
    ) -> None:
        """Add one end's part: its body's place and turn."""
        rows, w = self.rows, ends.sense
        self.dx[..., rows, ends.x] += sign
        self.dy[..., rows, ends.y] += sign
        self.dx[..., rows, ends.turn] -= sign * w * ay
        self.dy[..., rows, ends.turn] += sign * w * ax
        self.swing[..., rows, ends.turn] -= sign * w * w * (ux * ax + uy * ay)


def path_sums(link: Linkage, of_pieces: Floats) -> Floats:
    """Sums over the pieces of each path: (...,S,m) -> (...,J,m)."""
    total = np.zeros((*of_pieces.shape[:-2], link.paths, of_pieces.shape[-1]), of_pieces.dtype)
    for s, j in enumerate(link.path):
        total[..., j, :] += of_pieces[..., s, :]
    return total


def lengths(link: Linkage, shape: Shape, Q: Floats) -> Floats:
    """g (...,J): free, round a circle and wound, mm."""
    wound = (Q[..., None, :] * link.wound).sum(axis=-1)
    return np.asarray(path_sums(link, shape.taken[..., None])[..., 0] + wound)


def gradient(link: Linkage, shape: Shape) -> Floats:
    """dg/dQ (...,J,n)."""
    return path_sums(link, shape.along) + link.wound


def balance(link: Linkage, grad: Floats, force: Floats) -> Floats:
    """What is out of balance on every coordinate (...,n); `force` (...,J) tension of the paths, N."""
    return np.asarray((force[..., None] * grad).sum(axis=-2) - link.load)


def stiffness(link: Linkage, shape: Shape, force: Floats) -> Floats:
    """d balance/dQ (...,n,n): each piece turns (n n^T/t) and its ends swing with their bodies."""
    tension = force[..., link.path]
    scaled = (tension / shape.straight)[..., None] * shape.across
    K = np.einsum("...si,...sj->...ij", scaled, shape.across)
    diagonal = np.arange(link.coordinates)
    K[..., diagonal, diagonal] += (tension[..., None] * shape.swing).sum(axis=-2)
    return np.asarray(K)


Equations = Callable[[Floats], tuple[Floats, Floats]]


@dataclass(frozen=True)
class Root:
    """z (P,m), the largest residual of each row (P,)."""

    z: Floats
    residual: Floats


def newton(z: Floats, equations: Equations, turns: Ints) -> Root:
    """Newton on all rows at once; `equations` gives r (P,m) and dr/dz (P,m,m); `turns` the angles in z.

    Rows that fail come back with a large or undefined residual; they never stop the others.
    """
    if np.iscomplexobj(z):  # a derivative by complex step, started from its real root
        for _ in range(_COMPLEX_STEPS):
            r, K = equations(z)
            z = z - solve_rows(K, r)
        return Root(z, np.abs(equations(z)[0]).max(axis=-1))
    best, least = z, np.full(len(z), np.inf)
    with np.errstate(all="ignore"):
        for _ in range(_STEPS):
            r, K = equations(z)
            size = np.abs(r).max(axis=-1)
            better = size < least
            best, least = np.where(better[:, None], z, best), np.where(better, size, least)
            if np.all((least < _DONE) & ~better | (least < _ROUNDING)):
                break
            z = z - _bounded(solve_rows(K, r), turns)
    return Root(best, least)


def solve_rows(K: Floats, r: Floats) -> Floats:
    """x of K x = r, row by row: K (P,m,m), r (P,m)."""
    try:
        return np.asarray(np.linalg.solve(K, r[..., None])[..., 0])
    except np.linalg.LinAlgError:  # one dead row would stop the batch: a trace of damping for all
        return np.asarray(np.linalg.solve(K + 1e-9 * np.eye(K.shape[-1]), r[..., None])[..., 0])


def _bounded(step: Floats, turns: Ints) -> Floats:
    """Steps no longer than the cap of an angle, row by row."""
    if turns.size == 0:
        return step
    largest = np.abs(step[:, turns]).max(axis=-1)
    short = np.minimum(1.0, _TURN_CAP / np.maximum(largest, 1e-300))
    return np.asarray(step * short[:, None])


def converged(residual: Floats) -> Bools:
    """True (P,) where a root holds to the last digits that matter."""
    return np.asarray(residual < _DONE * 10.0)
