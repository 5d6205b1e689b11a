"""First stage "chain differential": statics of every part, and relations that hold exactly."""

from __future__ import annotations

from dataclasses import fields
from math import cos, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import settings

from explorer.drives import chain_differential as family
from explorer.drives import chain_differential_unit as parts
from explorer.drives.assemble import Space
from explorer.drives.checks import evaluate
from explorer.drives.joints import Loads
from explorer.drives.pulls import shares, strength_pulls
from explorer.mechanics import pins
from tests.drives.old_differential import (
    by_key,
    make_space,
    old_loads,
    plain_pulls,
    some_vectors,
    vector,
)
from tests.mechanics.shafts import shaft_moment

few = settings(max_examples=15, deadline=None)


# ---- loads from free bodies written out here


def test_loads_of_one_drive_by_hand() -> None:
    """13-tooth wheels on 3.75 chain, gears 26/14 of module 0.5, two pairs: every part's own balance."""
    _, drive, motion, pulls, found = old_loads()
    p = 4
    r_in, r_out = 3.75 * 19 / (2 * pi), 3.75 * 13 / (2 * pi)
    exits = [float(x[0, 0]) for x in drive.ratio.exits]  # type: ignore[union-attr]
    strands = []
    for k in (0, 1):
        across = motion.carrier_x[k][0, p] - exits[k]
        length = drive.carriers[k].L_in[0, 0] - motion.carrier_y[k][0, p]
        strands.append(pulls.carrier[k][0, p] / sqrt(1 - (across / length) ** 2))
    side = [T * r_out for T in strands]
    circles = by_key(found.circles)
    assert circles["output pins a"].torque[0, p] == pytest.approx(side[0], rel=1e-12)
    assert circles["output pins b"].torque[0, p] == pytest.approx(side[1], rel=1e-12)
    assert circles["cage pins"].torque[0, p] == pytest.approx(pulls.F_in[0, p] * r_in, rel=1e-12)
    F_t = max(side) / (2 * 6.5)
    for tooth in found.teeth:
        assert tooth.force[0, p] == pytest.approx(F_t, rel=1e-12)
    assert [float(t.teeth[0, 0]) for t in found.teeth] == [26.0, 14.0]
    # one planet: force of the side gear and of its partner, both at 20 degrees, by components; its meshes
    # are 2 and 6.3 from its end, 0.3 off a plate of 2, and the plates' middles 15.2 apart
    psi, of_side, of_partner = np.arcsin(3.5 / 10.0), 1 - 3.3 / 15.2, 1 - 7.6 / 15.2
    worst = max(
        hypot(
            of_side + of_partner * (-sin(psi) + s * tan(radians(20)) * cos(psi)),
            of_side * s * tan(radians(20))
            + of_partner * (cos(psi) + s * tan(radians(20)) * sin(psi)),
        )
        for s in (-1, 1)
    )
    assert by_key(found.pins)["planet pin"].load[0, p] == pytest.approx(2 * worst * F_t, rel=1e-12)
    rise = abs(7.3) / float(parts.line(drive, 0, motion.carrier_y[0])[0, p])
    strand = by_key(found.chains)["strand a"].load[0, p]
    assert strand == pytest.approx(strands[0] * hypot(1.0, rise), rel=1e-12)


def planet_near_share() -> float:
    """Reaction of the nearer cage plate: planet 8.3 long, 0.3 off it, plates 2 thick and 13.2 apart."""
    return 1 - (1.0 + 0.3 + 8.3 / 2) / (13.2 + 2.0)


def test_planet_pin_is_a_beam_under_an_even_load() -> None:
    """Moments by adding up small slices of the load, not by the formula's own closed form."""
    _, _, _, _, found = old_loads()
    pin = by_key(found.pins)["planet pin"]
    q = planet_near_share()
    F = float(pin.load[0, 4]) / (2 * q)
    x = np.linspace(0.0, 15.2, 4001)  # from the middle of the nearer plate
    planet = (x >= 1.3) & (x <= 9.6)
    slices = np.where(planet, F / planet.sum(), 0.0)
    moment = q * F * x - np.array([np.sum(slices * np.maximum(at - x, 0.0)) for at in x])
    got = pins.fork_moment(pin.load[0, 4], pin.t_fork, pin.gap, pin.t_mid)
    assert float(got[0, 0]) == pytest.approx(moment.max(), rel=1e-3)


@pytest.mark.parametrize(
    "changes", [{}, {"wheel_b_teeth": 17}, {"unit_x_mm": 6.0, "input_teeth": 25}]
)
def test_unit_is_in_balance(changes: dict[str, float | str]) -> None:
    """Without friction both sides carry the same torque and together hold the cage; shaft forces sum."""
    space, drive, _, pulls, found = old_loads(**changes)
    circles = by_key(found.circles)
    a, b = circles["output pins a"].torque, circles["output pins b"].torque
    np.testing.assert_allclose(a, b, rtol=1e-12)
    np.testing.assert_allclose(a + b, circles["cage pins"].torque, rtol=1e-12)
    u = parts.unit(space.shelf, drive.columns)
    assert u.at_b is not None
    R = [by_key(found.pins)[f"shaft bush {n}"].load / 2.0 for n in "ab"]
    total = pulls.F_in + pulls.carrier[0] + pulls.carrier[1]
    np.testing.assert_allclose(R[0] + R[1], total, rtol=1e-12)
    about_a = pulls.F_in * u.at_in + pulls.carrier[0] * u.at_a + pulls.carrier[1] * u.at_b
    np.testing.assert_allclose(R[1] * u.span, about_a, rtol=1e-12)


@pytest.mark.parametrize("reverses", [True, False])
@pytest.mark.parametrize("n", [2, 4])
def test_shaft_bends_as_a_beam_with_every_load_at_its_place(n: int, reverses: bool) -> None:
    space = make_space(n, reverses=reverses)
    X = some_vectors(space, 20, 3)
    drive = space.build(X)
    motion = space.move(drive)
    pulls = plain_pulls(drive, motion, 300.0)
    u = parts.unit(space.shelf, drive.columns)
    sign = 1.0 if reverses else -1.0
    load = np.stack([sign * pulls.F_in, *pulls.carrier], axis=-1)
    at = np.stack([a + 0.0 * motion.Y for a in (u.at_in, *u.at_out)], axis=-1)
    want = np.abs(shaft_moment(load, at, u.span + 0.0 * motion.Y)).max(axis=-1)
    found = family.loads(space.shelf, drive, motion, pulls)
    np.testing.assert_allclose(found.shafts[0].moment, want, rtol=1e-9)


def test_bush_record_bends_as_the_beam_under_its_wheel() -> None:
    space, drive, _, _, found = old_loads()
    u = parts.unit(space.shelf, drive.columns)
    pin = by_key(found.pins)["shaft bush a"]
    got = pins.fork_moment(pin.load, pin.t_fork, pin.gap, pin.t_mid)
    np.testing.assert_allclose(got, pin.load / 2.0 * u.at_a, rtol=1e-12)


def test_two_fingers_have_no_gears_and_one_circle() -> None:
    space = make_space(2)
    keys = {v.key for v in space.variables}
    assert not keys & {"gear", "planet_pin", "cage_pins", "wheel_b_teeth", "face_mm"}
    drive = space.build(vector(space, output_pin_radius_mm=4.0))
    motion = space.move(drive)
    pulls = plain_pulls(drive, motion, 200.0)
    found = family.loads(space.shelf, drive, motion, pulls)
    assert [c.key for c in found.circles] == ["output pins"]
    assert found.teeth == ()
    strand = pulls.carrier[0] / np.sqrt(1.0 - motion.exit_sine[0] ** 2)
    np.testing.assert_allclose(found.circles[0].torque, strand * 3.75 * 13 / (2 * pi), rtol=1e-12)


def test_ladder_agrees_with_an_earlier_independent_calculation() -> None:
    """The demo's old differential: cage pins 133, tooth 1077, input chain 1200 N at the wrist.

    That calculation had no room for boss B, so its cage pins stood on 6.0 mm, in 1.5 mm plates.
    """
    space = make_space()
    drive = space.build(vector(space, plate="stainless 1.5", cage_pin_radius_mm=6.0))
    motion = space.move(drive)
    s, demand, brief = shares(drive, motion), space.shelf.demand, space.shelf.brief
    pulls = strength_pulls(motion, s, demand, brief, hook=False)
    found = evaluate(family.loads(space.shelf, drive, motion, pulls), 1)
    gives = {
        (n.key, n.way): demand.pull_peak * float(a / max(x, 1e-9))
        for n, x, a in zip(found.names, found.stress[0], found.allowable[0], strict=True)
    }
    assert gives["cage pins", "drive pins bend"] == pytest.approx(133.0, rel=0.03)
    assert gives["planet tooth", "tooth breaks"] == pytest.approx(1077.0, rel=0.005)
    assert gives["input chain", "chain parts"] == pytest.approx(1200.0, rel=1e-6)
    assert min(gives, key=lambda k: gives[k]) == ("cage pins", "drive pins bend")


# ---- relations


def moving_numbers(space: Space, X: np.ndarray) -> list[np.ndarray]:
    drive = space.build(X)
    motion = space.move(drive)
    pulls = plain_pulls(drive, motion, 300.0)
    out = [lim.slack for lim in family.limits(space.shelf, drive, motion)]
    out += [p.at_input for p in family.play(space.shelf, drive, motion)]
    loads = family.loads(space.shelf, drive, motion, pulls)
    for name in (f.name for f in fields(Loads)):
        for r in getattr(loads, name):
            out += [v for v in vars(r).values() if isinstance(v, np.ndarray)]
    for p in family.pieces(space.shelf, drive, motion):
        out += [v for v in vars(p).values() if isinstance(v, np.ndarray)]
        out += [getattr(p.shape, f.name) for f in fields(p.shape)]
    return out


@pytest.mark.parametrize("second", ["chain", "bar"])
@pytest.mark.parametrize("n", [2, 3, 4])
@pytest.mark.usefixtures("strict_numpy")
def test_any_vector_gives_numbers_and_rows_do_not_depend_on_each_other(n: int, second: str) -> None:
    space = make_space(n, second)
    X = some_vectors(space, 40, n)
    lows = np.array([[v.low for v in space.variables], [v.high for v in space.variables]])
    X = np.concatenate([X, lows])
    batch = moving_numbers(space, X)
    assert all(np.isfinite(v).all() for v in batch)
    for i in (0, 17, 41):
        for many, one in zip(batch, moving_numbers(space, X[i : i + 1]), strict=True):
            row = np.broadcast_to(many, (len(X), *many.shape[1:]))[i] if many.ndim else many
            assert np.array_equal(row, one[0] if one.ndim else one)
