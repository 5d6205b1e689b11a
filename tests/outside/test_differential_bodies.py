"""A differential cut free: gears, planets, their pins and the cage as bodies in space, by vectors alone.

Nothing but forces, places and sums: no formula of a share, a tooth or a pin.  Taken from mechanics: a
strand's force is its wheel's moment over the arm (sections 3 and 4), planets of a side carry alike, teeth
press at 20 degrees on their pitch point in the middle of their common width, and a planet pin rests on
both cage plates (section 6).  Where the parts stand along the shaft is told plainly by
`tests/drives/differential_twin.py`.  Compared: both sides' and the cage's moments, tooth forces, what a
planet pin lays on its nearer plate, bushes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest

from explorer.drives.joints import Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Pulls
from tests.drives.differential_twin import Chosen, Stack, chosen
from tests.drives.old_differential import by_key, plain_pulls
from tests.outside.second.cases import cases

CLOSE = 1e-9
F_OUT = 300.0  # N
Vector = np.ndarray


@dataclass
class Body:
    """Forces (3,) with the places where they act, and couples."""

    forces: list[tuple[Vector, Vector]] = field(default_factory=list)
    couples: list[Vector] = field(default_factory=list)

    def total(self) -> Vector:
        return np.sum([F for F, _ in self.forces], axis=0)

    def moment(self, about: Vector) -> Vector:
        turns = [np.cross(at - about, F) for F, at in self.forces]
        return np.sum([*turns, *self.couples, np.zeros(3)], axis=0)


def act(on: Body, by: Body, F: Vector, at: Vector) -> None:
    """`by` presses on `on` with F, and is pressed back."""
    on.forces.append((F, at))
    by.forces.append((-F, at))


def turn(on: Body, by: Body, couple: Vector) -> None:
    on.couples.append(couple)
    by.couples.append(-couple)


def mesh(one: Vector, other: Vector, r: float, x: float, f: float) -> tuple[Vector, Vector]:
    """Force on the gear about `one` (pitch radius r) by the gear about `other`, and the pitch point at x.

    f of it runs along the pitch circles, anticlockwise seen from the little finger's side where positive; the
    flanks' slope adds a part that pushes the gears asunder.
    """
    toward = (other - one) / np.linalg.norm(other - one)
    along = np.cross([1.0, 0.0, 0.0], toward)
    force = f * along - abs(f) * tan(radians(20.0)) * toward
    return force, one + np.array([x, 0.0, 0.0]) + r * toward


@dataclass(frozen=True)
class Cut:
    """The unit in pieces, one position: moments of the sides given, all else found body by body."""

    s: Stack
    n: int
    bodies: dict[str, Body]
    teeth: list[float]
    plates: list[Vector]  # what the pins lay on the plates


def around(s: Stack, angle: float) -> Vector:
    return s.circle * np.array([0.0, cos(angle), sin(angle)])


def cut(s: Stack, n: int, moment_a: float) -> Cut:
    """Side a's wheel turns with this moment; from there through every planet to side b and the cage.

    Every planet's axis is parallel to the shaft, so a balance about it is the x part of moments.
    """
    names = ["gear a", "gear b", "cage"] + [
        f"{part} {k}{i}" for part in ("planet", "pin") for k in "ab" for i in range(n)
    ]
    bodies = {name: Body() for name in names}
    gear_a, gear_b, cage = (bodies[k] for k in ("gear a", "gear b", "cage"))
    x_a, x_mid, x_b = (x + s.face / 2.0 for x in (s.gear_a, s.middle, s.gear_b))
    shaft, teeth, plates = np.zeros(3), [], []
    gear_a.couples.append(np.array([moment_a, 0.0, 0.0]))
    for i in range(n):
        at = {k: around(s, 2.0 * pi * i / n + q) for k, q in (("a", -s.psi), ("b", s.psi))}
        a, b = (bodies[f"planet {k}{i}"] for k in "ab")
        # side a's share of its moment is held by this pair: the force that does it, by the unit's arm
        F, point = mesh(at["a"], shaft, s.planet, x_a, 1.0)
        arm = np.cross(point, F)[0]
        f_1 = moment_a / n / arm
        act(a, gear_a, *mesh(at["a"], shaft, s.planet, x_a, f_1))
        # each planet turns free on its pin
        f_2 = _freeing(a, at["a"], at["b"], s.planet, x_mid)
        act(a, b, *mesh(at["a"], at["b"], s.planet, x_mid, f_2))
        f_3 = _freeing(b, at["b"], shaft, s.planet, x_b)
        act(b, gear_b, *mesh(at["b"], shaft, s.planet, x_b, f_3))
        teeth += [abs(f_1), abs(f_2), abs(f_3)]
        for k, planet in (("a", a), ("b", b)):
            pin = bodies[f"pin {k}{i}"]
            act(planet, pin, -planet.total(), at[k])
            turn(planet, pin, -planet.moment(at[k]))
            plates += _rest_on_plates(s, pin, cage, at[k])
    return Cut(s, n, bodies, teeth, plates)


def _freeing(planet: Body, axis: Vector, other: Vector, r: float, x: float) -> float:
    """The tooth force that leaves a planet no moment about its axis."""
    F, point = mesh(axis, other, r, x, 1.0)
    return -float(planet.moment(axis)[0] / np.cross(point - axis, F)[0])


def _rest_on_plates(s: Stack, pin: Body, cage: Body, axis: Vector) -> list[Vector]:
    """Both plates hold the pin in their middles; what it lays on each."""
    near, far = (axis + np.array([x + s.t / 2.0, 0.0, 0.0]) for x in (s.plate_a, s.plate_b))
    load, about = pin.total(), pin.moment(near)
    span = far[0] - near[0]
    # moments about `near`: (span, 0, 0) x R = (0, -span R_z, span R_y)
    at_far = -np.array([0.0, about[2], -about[1]]) / span
    at_near = -load - at_far
    act(pin, cage, at_near, near)
    act(pin, cage, at_far, far)
    return [at_near, at_far]


@dataclass(frozen=True)
class Drawn:
    """A random differential and the product's numbers for it under frictionless pulls."""

    c: Chosen
    s: Stack
    drive: Drive
    motion: Motion
    pulls: Pulls
    loads: Loads

    def strand(self, k: int, p: int) -> Vector:
        """The force of strand k in the drawbar plane: along the line from its wheel to its carrier."""
        ratio, carrier = self.drive.ratio, self.drive.carriers[k]
        across = float(self.motion.carrier_x[k][0, p] - ratio.exits[k][0, 0])  # type: ignore[union-attr]
        length = float(carrier.L_in[0, 0] - self.motion.carrier_y[k][0, p])
        ahead = (length * length - across * across) ** 0.5
        pull = float(self.pulls.carrier[k][0, p])
        return pull / ahead * np.array([across, ahead, 0.0])


@cache
def drawn(seed: int, n: int) -> tuple[Drawn, ...]:
    found = []
    for case in cases(seed, n):
        space = case.space
        if not space.architecture.startswith("chain_differential") or len(space.groups) < 2:
            continue
        drive = space.build(case.X)
        motion = space.move(drive)
        pulls = plain_pulls(drive, motion, F_OUT)
        c = chosen(space, case.X[0])
        found.append(Drawn(c, Stack(c), drive, motion, pulls, space.loads(drive, motion, pulls)))
    return tuple(found)


def whole(d: Drawn, p: int) -> Body:
    """Wrist and strands on the unit, each at its own place along the shaft and on its own side of it."""
    unit, sign = Body(), d.drive.ratio.source.sign
    side = (
        -1.0 if d.c.v["shaft_side"] else 1.0
    )  # strands leave on the palm side of a shaft behind them
    for k, (x, w) in enumerate(((d.s.at_a, d.s.a), (d.s.at_b, d.s.b))):
        unit.forces.append((d.strand(k, p), np.array([x, 0.0, side * w.mean])))
    F_in = np.array([0.0, sign * float(d.pulls.F_in[0, p]), 0.0])
    unit.forces.append((F_in, np.array([d.s.at_in, 0.0, -side * sign * d.s.into.mean])))
    return unit


@pytest.fixture(
    params=[0, 1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 20))]
)
def some(request: pytest.FixtureRequest) -> tuple[Drawn, ...]:
    return drawn(request.param, 60)


POSITIONS = (1, 3, -1)


def pieces(d: Drawn, p: int) -> Cut:
    moment_a = float(np.linalg.norm(d.strand(0, p))) * d.s.a.mean
    return cut(d.s, int(d.c.v["planet_pairs"]), moment_a)


def test_every_piece_is_in_balance(some: tuple[Drawn, ...]) -> None:
    """Planets and their pins to the last part; gears and cage but for the one moment that the next part holds."""
    for d in some:
        for p in POSITIONS:
            c = pieces(d, p)
            F, M = max(c.teeth), max(c.teeth) * d.s.circle
            for name, body in c.bodies.items():
                assert body.total() == pytest.approx(np.zeros(3), abs=CLOSE * F), name
                rest = body.moment(np.zeros(3))
                if name in {"gear b", "cage"}:
                    rest = rest * [0.0, 1.0, 1.0]
                assert rest == pytest.approx(np.zeros(3), abs=CLOSE * M), name


def test_sides_and_cage_carry_what_the_bodies_say(some: tuple[Drawn, ...]) -> None:
    for d in some:
        circles = by_key(d.loads.circles)
        for p in POSITIONS:
            c = pieces(d, p)
            moment_b = float(np.linalg.norm(d.strand(1, p))) * d.s.b.mean
            held = {k: abs(float(c.bodies[k].moment(np.zeros(3))[0])) for k in ("gear b", "cage")}
            assert held["gear b"] == pytest.approx(moment_b, rel=CLOSE)
            got = {k: float(circle.torque[0, p]) for k, circle in circles.items()}
            assert got["output pins b"] == pytest.approx(held["gear b"], rel=CLOSE)
            assert got["cage pins"] == pytest.approx(held["cage"], rel=CLOSE)
            by_wrist = float(d.pulls.F_in[0, p]) * d.s.into.mean
            assert by_wrist == pytest.approx(held["cage"], rel=CLOSE)


def test_teeth_carry_what_the_bodies_say(some: tuple[Drawn, ...]) -> None:
    for d in some:
        for p in POSITIONS:
            teeth = pieces(d, p).teeth
            assert teeth == pytest.approx([teeth[0]] * len(teeth), rel=CLOSE)
            for tooth in d.loads.teeth:
                assert float(tooth.force[0, p]) == pytest.approx(teeth[0], rel=CLOSE)


def test_a_planet_pin_lays_on_its_plate_what_the_bodies_say(some: tuple[Drawn, ...]) -> None:
    """The record is a fork's, whose two plates bear half a load each."""
    for d in some:
        pin = by_key(d.loads.pins)["planet pin"]
        for p in POSITIONS:
            most = max(float(np.linalg.norm(F)) for F in pieces(d, p).plates)
            assert float(pin.load[0, p]) / 2.0 == pytest.approx(most, rel=CLOSE)


def test_bushes_hold_the_whole_unit(some: tuple[Drawn, ...]) -> None:
    """Along y both bushes hold what the strands and the wrist pull, each at its own place."""
    for d in some:
        bushes = [by_key(d.loads.pins)[f"shaft bush {k}"].load / 2.0 for k in "ab"]
        for p in POSITIONS:
            unit = whole(d, p)
            F = float(d.pulls.F_out[0, p])
            far = unit.moment(np.zeros(3))[2] / d.s.span
            near = unit.total()[1] - far
            assert float(bushes[0][0, p]) == pytest.approx(abs(near), abs=CLOSE * F)
            assert float(bushes[1][0, p]) == pytest.approx(abs(far), abs=CLOSE * F)
