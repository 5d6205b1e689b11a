"""Second scorer, equalisers: where every body settles in one position, and what each side gets.

Every body is cut free: pins are points, links pull along their own direction, and shares follow from the
balance of moments and forces.  y points to the fingertips, so a draw moves a point toward -y; a tilt is
anticlockwise where end a (index side, -x) is drawn further.  Lengths mm, angles rad, pulls of 1 N.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, sin, sqrt

from tests.outside.second.hand import Vec, cross
from tests.outside.second.plan import Bar, Carrier, Gears, Plan, Rocker, Wheel

STEEPEST = 0.95  # sine of an angle beyond which no lever or link of this kind works
SHORTEST = 0.5  # mm of free strand
LEAST_ARM = 1e-3  # mm


class OutOfReachError(Exception):
    """A lever, link or strand cannot follow this draw."""


def angle_of(sine: float) -> float:
    if abs(sine) > STEEPEST:
        raise OutOfReachError
    return asin(sine)


def turned(p: Vec, phi: float) -> Vec:
    """p turned anticlockwise."""
    c, s = cos(phi), sin(phi)
    return p[0] * c - p[1] * s, p[0] * s + p[1] * c


def toward(dx: float, L: float, way: float = 1.0) -> Vec:
    """Direction of a link of length L whose far end stands dx to the right, scaled to 1 along y."""
    angle_of(dx / L)
    return dx / sqrt(L * L - dx * dx), way


@dataclass(frozen=True)
class Stage:
    """One equaliser in one position.

    `end_*` from its centre; `link_*` directions of the pulls per newton along y; `arm_*` their moments
    about the centre; share of a without friction and half the difference that friction can make.
    """

    s_a: float
    s_b: float
    y: float
    tilt: float
    x: float
    end_a: Vec
    end_b: Vec
    link_in: Vec
    link_a: Vec
    link_b: Vec
    share_a: float
    skew: float
    arm_a: float
    arm_b: float


@dataclass(frozen=True)
class Shape:
    """A whole drive in one position; `leaving` the directions of what leaves the ratio part."""

    draw: tuple[float, ...]
    first: Stage | None
    second: tuple[Stage | None, ...]
    carrier_y: tuple[float, ...]
    carrier_x: tuple[float, ...]
    carrier_link: tuple[Vec, ...]
    Y: float
    theta: float
    leaving: tuple[Vec, ...]


@dataclass(frozen=True)
class Drawn:
    """Draws of the sides and of the centre, tilt, ends from the centre."""

    s_a: float
    s_b: float
    y: float
    tilt: float
    end_a: Vec
    end_b: Vec


def drawn(body: Bar | Wheel | Gears | None, s_a: float, s_b: float) -> Drawn:
    if body is None:
        return Drawn(s_a, s_b, s_a, 0.0, (0.0, 0.0), (0.0, 0.0))
    if isinstance(body, Wheel):
        R = body.D / 2.0
        return Drawn(s_a, s_b, (s_a + s_b) / 2.0, (s_a - s_b) / body.D, (-R, 0.0), (R, 0.0))
    if isinstance(body, Gears):
        a, b = s_a / body.r_a, s_b / body.r_b  # turns of the sides; the cage turns by their mean
        common = 2.0 * body.r_a * body.r_b / (body.r_a + body.r_b)
        return Drawn(s_a, s_b, common * (a + b) / 2.0, (a - b) / 2.0, (0.0, 0.0), (0.0, 0.0))
    tilt = angle_of((s_a - s_b) / (body.l_a + body.l_b))
    end_a, end_b = turned((-body.l_a, body.e), tilt), turned((body.l_b, body.e), tilt)
    # end a stood e above the centre at rest and has gone down by s_a
    return Drawn(s_a, s_b, s_a + end_a[1] - body.e, tilt, end_a, end_b)


def split(body: Bar | Wheel | Gears, d: Drawn, link_a: Vec, link_b: Vec) -> float:
    """Share of a of a pull of 1 N along y, no friction."""
    if isinstance(body, Wheel):  # one chain: the same force along both strands
        up_a, up_b = 1.0 / size(link_a), 1.0 / size(link_b)
    elif isinstance(body, Gears):  # the same moment on both sides
        up_a, up_b = 1.0 / (size(link_a) * body.r_a), 1.0 / (size(link_b) * body.r_b)
    else:  # the pulls' moments about the centre pin cancel
        up_a, up_b = cross(d.end_b, link_b), -cross(d.end_a, link_a)
        if min(up_a, up_b) < LEAST_ARM:  # tipped over: no pull on one end balances the other
            raise OutOfReachError
    return up_a / (up_a + up_b)


def size(link: Vec) -> float:
    """Force along a link per newton along y."""
    return sqrt(link[0] * link[0] + link[1] * link[1])


def plain_share(body: Bar | Wheel | Gears, d: Drawn) -> float:
    return split(body, d, (0.0, 1.0), (0.0, 1.0))


def rubbed(body: Bar | Wheel | Gears, d: Drawn, c: float, links: tuple[Vec, Vec, Vec]) -> float:
    """Half of what friction moves from one share to the other, of a pull of 1 N."""
    link_in, link_a, link_b = links
    if isinstance(body, Wheel):  # (S_a - S_b) D/2 = couples of the axle and of both bending chains
        couple = body.mu * body.d_axle / 2.0 + body.mu_chain * body.d_chain / 2.0
        return couple / (body.D / 2.0) / 2.0
    if isinstance(body, Gears):
        fast = 1.0
        for _ in range(body.meshes):
            fast *= body.eta
        return abs(fast - 1.0) / (fast + 1.0) / 2.0
    forces = (
        size(link_in) * body.d_centre + (c * size(link_a) + (1.0 - c) * size(link_b)) * body.d_end
    )
    couple = body.mu / 2.0 * forces
    moments = -cross(d.end_a, link_a) + cross(d.end_b, link_b)
    return couple / moments


def solve(A: list[list[float]], b: list[float]) -> list[float]:
    """Gauss with the largest pivot."""
    n = len(b)
    rows = [[*row, value] for row, value in zip(A, b, strict=True)]
    for k in range(n):
        best = max(range(k, n), key=lambda i: abs(rows[i][k]))
        rows[k], rows[best] = rows[best], rows[k]
        for i in range(k + 1, n):
            times = rows[i][k] / rows[k][k]
            rows[i] = [u - times * w for u, w in zip(rows[i], rows[k], strict=True)]
    x = [0.0] * n
    for k in reversed(range(n)):
        x[k] = (rows[k][n] - sum(rows[k][j] * x[j] for j in range(k + 1, n))) / rows[k][k]
    return x


@dataclass(frozen=True)
class Hang:
    """One body's sideways springs: pull/length toward the wrist side and toward each finger side."""

    to_wrist: float
    to_a: float
    to_b: float


def _strands(body: Bar | Wheel | None, L: tuple[float, ...], d: Drawn) -> tuple[float, ...]:
    """Finger-side lengths in this position: a chain runs over its wheel."""
    if not isinstance(body, Wheel):
        return L
    over = (d.s_a - d.s_b) / 2.0
    return enough(L[0] - over), enough(L[1] + over)


def enough(L: float) -> float:
    if L < SHORTEST:
        raise OutOfReachError
    return L


@dataclass(frozen=True)
class Lengths:
    """Lengths in this position: exit, each carrier's wrist side, each carrier's finger side."""

    out: float
    wrist: tuple[float, ...]
    finger: tuple[tuple[float, ...], ...]


def lengths(p: Plan, up: tuple[Drawn, ...], Y: float) -> Lengths:
    out = p.L_exit if isinstance(p.ratio, Rocker) else enough(p.L_exit - Y)
    if p.first is None:
        wrist: tuple[float, ...] = (out,)
    elif isinstance(p.first, Gears):
        wrist = tuple(enough(c.L_in - u.y) for c, u in zip(p.carriers, up, strict=True))
    else:
        both = tuple(c.L_in for c in p.carriers)
        wrist = _strands(p.first, both, Drawn(up[0].y, up[1].y, Y, 0.0, (0.0, 0.0), (0.0, 0.0)))
    finger = tuple(_strands(c.body, c.L_out, u) for c, u in zip(p.carriers, up, strict=True))
    return Lengths(out, wrist, finger)


def settle(
    p: Plan, up: tuple[Drawn, ...], top: Drawn | None, L: Lengths, starts: tuple[float, ...]
) -> tuple[float | None, tuple[float, ...]]:
    """x of the first body and of the carriers: every body's sideways pulls cancel, lean for lean.

    A pull P on a link of length L that stands dx aside pulls sideways by P dx/L.  Unknowns: the first
    body (if it floats), then the carriers; `starts` where the wrist-side members are held.
    """
    floats = isinstance(p.first, Bar | Wheel) and top is not None
    n = len(p.carriers) + (1 if floats else 0)
    shift = 1 if floats else 0
    A = [[0.0] * n for _ in range(n)]
    b = [0.0] * n

    def link(i: int, weight: float, other: int | None, offset: float) -> None:
        """Body i is pulled by `weight` toward x_other + offset (or the fixed place `offset`)."""
        A[i][i] += weight
        b[i] += weight * offset
        if other is not None:
            A[i][other] -= weight

    if floats:
        assert p.first is not None
        assert top is not None
        c = plain_share(p.first, top)
        link(0, 1.0 / L.out, None, starts[0])
        for k, (part, end) in enumerate(((c, top.end_a), (1.0 - c, top.end_b))):
            link(0, part / L.wrist[k], 1 + k, -end[0])
    for k, (carrier, u) in enumerate(zip(p.carriers, up, strict=True)):
        i = k + shift
        if carrier.body is None:  # a finger alone stays at its pin
            link(i, 1.0, None, p.m.pin_x(carrier.fingers[0]))
            continue
        if floats:
            assert top is not None
            link(i, 1.0 / L.wrist[k], 0, (top.end_a, top.end_b)[k][0])
        else:
            link(i, 1.0 / L.wrist[k], None, starts[k])
        c = plain_share(carrier.body, u)
        for part, end, finger, length in zip(
            (c, 1.0 - c), (u.end_a, u.end_b), carrier.fingers, L.finger[k], strict=True
        ):
            link(i, part / length, None, p.m.pin_x(finger) - end[0])
    x = solve(A, b)
    return (x[0] if floats else None), tuple(x[shift:])


def stage(body: Bar | Wheel | Gears, d: Drawn, x: float, links: tuple[Vec, Vec, Vec]) -> Stage:
    share = split(body, d, links[1], links[2])
    return Stage(
        d.s_a, d.s_b, d.y, d.tilt, x, d.end_a, d.end_b, *links, share, rubbed(body, d, share, links),
        -cross(d.end_a, links[1]), cross(d.end_b, links[2]),
    )  # fmt: skip


def _carrier_stage(
    p: Plan, c: Carrier, d: Drawn, x: float, link_in: Vec, L: tuple[float, ...]
) -> Stage | None:
    if c.body is None:
        return None
    i, j = c.fingers
    link_a = toward(p.m.pin_x(i) - x - d.end_a[0], L[0])
    link_b = toward(p.m.pin_x(j) - x - d.end_b[0], L[1])
    return stage(c.body, d, x, (link_in, link_a, link_b))


def turn_of(p: Plan, Y: float) -> float:
    """Angle of the ratio part: of the rocker's output arm from square to the pull, or of the shaft."""
    if isinstance(p.ratio, Rocker):
        return angle_of(Y / p.ratio.r_out + sin(p.ratio.rest))
    return Y / p.ratio.arm_out


def exits_of(p: Plan, theta: float) -> tuple[float, ...]:
    """x where links or strands leave the ratio part."""
    if isinstance(p.ratio, Rocker):
        return (p.ratio.x + p.ratio.side * p.ratio.r_out * cos(theta),)
    return p.ratio.exits


def shape(p: Plan, draw: tuple[float, ...]) -> Shape:
    """The drive where the finger drawbars are drawn by `draw`."""
    up = tuple(drawn(c.body, draw[c.fingers[0]], draw[c.fingers[-1]]) for c in p.carriers)
    top = None if p.first is None else drawn(p.first, up[0].y, up[1].y)
    Y = up[0].y if top is None else top.y
    theta = turn_of(p, Y)
    exits = exits_of(p, theta)
    L = lengths(p, up, Y)
    x_first, x = settle(p, up, top, L, exits)
    starts = exits
    if x_first is not None and top is not None:
        starts = (x_first + top.end_a[0], x_first + top.end_b[0])
    held = tuple(toward(xk - s, Lk) for xk, s, Lk in zip(x, starts, L.wrist, strict=True))
    second = tuple(
        _carrier_stage(p, c, d, xk, link, Lk)
        for c, d, xk, link, Lk in zip(p.carriers, up, x, held, L.finger, strict=True)
    )
    first, leaving = None, held
    if p.first is not None and top is not None:
        link_in: Vec = (0.0, 1.0)
        if x_first is not None:
            link_in = toward(x_first - exits[0], L.out)
            leaving = (link_in,)
        first = stage(p.first, top, x_first or 0.0, (link_in, held[0], held[1]))
    return Shape(draw, first, second, tuple(u.y for u in up), x, held, Y, theta, leaving)
