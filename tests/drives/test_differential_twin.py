"""Chain differentials against the same told plainly: places on the shaft, masses, minutes, limits."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import pi

import numpy as np
import pytest

from explorer.drives import chain_differential as family
from explorer.drives import chain_differential_pins as pins
from explorer.drives import chain_differential_unit as parts
from explorer.drives import windows
from explorer.drives.assemble import Space
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.shelf import Shelf
from explorer.drives.wheels import carrier_fork
from explorer.mechanics import gears
from explorer.mechanics.outline import Box
from tests.drives.differential_twin import Chosen, Stack, apart, chosen, holes, pieces
from tests.drives.old_differential import make_space, some_vectors, vector

CASES = [(n, seed) for n in (2, 3, 4) for seed in range(3)]


def drawn(fingers: int, seed: int) -> tuple[Space, np.ndarray]:
    space = make_space(fingers)
    return space, some_vectors(space, 6, seed)


@pytest.mark.parametrize(("fingers", "seed"), CASES)
def test_every_piece_on_the_shaft_is_where_the_layout_says(fingers: int, seed: int) -> None:
    space, X = drawn(fingers, seed)
    for x in X:
        drive = space.build(x[None])
        motion = space.move(drive)
        x0 = float(parts.unit(space.shelf, drive.columns).x0[0, 0])
        found = {p.key: p for p in family.pieces(space.shelf, drive, motion)}
        for key, told in pieces(chosen(space, x)).items():
            p = found[key]
            assert isinstance(p.shape, Box)
            y = float(drive.y_ratio[0, 0])
            box = [float(np.ravel(b)[0]) for b in (p.shape.x0, p.shape.x1, p.shape.y0, p.shape.y1)]
            r = told.r
            expected = [x0 + told.x[0], x0 + told.x[1], y - r, y + r]
            assert box == pytest.approx(expected, abs=1e-9), key
            assert float((p.z1 - p.z0)[0, 0]) == pytest.approx(2.0 * r, abs=1e-9), key
            assert float((p.z1 + p.z0)[0, 0]) / 2.0 == pytest.approx(height(space, x), abs=1e-9), (
                key
            )
            assert p.count.item() == told.count, key
            assert p.mass.item() == pytest.approx(told.mass, rel=1e-9, abs=1e-12), key
            assert p.minutes.item() == pytest.approx(told.minutes, rel=1e-9), key


def height(space: Space, x: np.ndarray) -> float:
    """The shaft stands the larger wheel's arm off the drawbars, less the drop, on the chosen side."""
    c = chosen(space, x)
    s = Stack(c)
    arm = max(s.a.mean, s.b.mean) if s.two else s.a.mean
    side = 1.0 if c.v["shaft_side"] else -1.0
    return space.shelf.z + side * (arm - c.v["strand_drop_mm"])


@pytest.mark.parametrize("fingers", [2, 4])
def test_the_input_chain_is_cut_for_the_longest_draw(fingers: int) -> None:
    """Whole pitches of it, one link on the wheel and one free."""
    space, X = drawn(fingers, 1)
    must = np.array([p.must for p in space.shelf.demand.positions])
    drive = space.build(X)
    motion = space.move(drive)
    found = {p.key: p for p in family.pieces(space.shelf, drive, motion)}["input chain"]
    for i, x in enumerate(X):
        pitch = Stack(chosen(space, x)).into.chain.pitch
        assert found.number[1][i, 0] == np.ceil(motion.X[i, must].max() / pitch) + 2.0


@pytest.mark.parametrize("fingers", [2, 4])
def test_brackets_stand_at_both_ends(fingers: int) -> None:
    space, X = drawn(fingers, 2)
    for x in X:
        drive = space.build(x[None])
        s = Stack(chosen(space, x))
        x0 = float(parts.unit(space.shelf, drive.columns).x0[0, 0])
        found = {p.key: p for p in family.pieces(space.shelf, drive, space.move(drive))}
        for key, at in (("bracket a", 0.0), ("bracket b", s.span)):
            shape = found[key].shape
            assert isinstance(shape, Box)
            ends = [shape.x0.item() - x0, shape.x1.item() - x0]
            assert ends == pytest.approx([at - s.t / 2.0, at + s.t / 2.0], abs=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_cage_plates_are_drilled_where_the_pins_stand(seed: int) -> None:
    space, X = drawn(4, seed)
    for x in X:
        c = chosen(space, x)
        drive = space.build(x[None])
        found = {p.key: p for p in family.pieces(space.shelf, drive, space.move(drive))}
        for which in "ab":
            there = [
                (h.x.item(), h.y.item(), h.d.item())
                for h in found[f"cage plate {which}"].holes[1:]
                if h.d.item() > 0.0
            ]
            expected = sorted(holes(c, Stack(c), which))
            assert np.allclose(sorted(there), expected, atol=1e-9)


def near(space: Space, n: int, seed: int) -> np.ndarray:
    """Drives by any vector, and as many near one that nearly fits, a third of whose sizes are drawn anew."""
    rng = np.random.default_rng(seed)
    any_ = some_vectors(space, 2 * n, seed)
    return np.concatenate(
        [any_[:n], np.where(rng.uniform(size=(n, any_.shape[1])) < 0.3, any_[n:], vector(space))]
    )


def slacks(space: Space, X: np.ndarray) -> tuple[dict[str, np.ndarray], Drive, Motion]:
    """The least slack of each limit (N,)."""
    drive = space.build(X)
    motion = space.move(drive)
    found: dict[str, np.ndarray] = {}
    for m in family.limits(space.shelf, drive, motion):
        found[m.id] = np.minimum(found.get(m.id, m.slack), m.slack)
    return found, drive, motion


def webs(c: Chosen, s: Stack) -> list[float]:
    """Metal beside every hole of the unit, mm."""
    v, gap = c.v, c.shop.gap
    n, r, d = int(v["output_pins"]), v["output_pin_radius_mm"], c.pin("output_pin").d
    ring = [(r * np.cos(2 * pi * k / n), r * np.sin(2 * pi * k / n), d) for k in range(n)]
    out = [r - d / 2.0 - s.d / 2.0, apart(ring[0], ring[1])]
    w, hole = v["end_width_mm"], s.a.chain.pin
    out.append((w - hole) / 2.0)
    if not s.two:
        return out + [w.under - s.boss + c.shop.min_web for w in (s.a, s.into)]
    out += [w.under - s.boss + c.shop.min_web for w in (s.a, s.b)]
    out.append(s.side - 1.25 * s.m - r - d / 2.0)
    d_p, bore = c.pin("planet_pin").d, s.boss + gap
    R, d_c = v["cage_pin_radius_mm"], c.pin("cage_pin").d
    cage = [h for h in holes(c, s, "b") if abs(np.hypot(h[0], h[1]) - R) < 1e-9 and h[2] == d_c]
    planets = holes(c, s, "a")
    out += [R - d_c / 2.0 - bore, s.into.under - R - d_c / 2.0, s.radius - R - d_c / 2.0]
    out += [2.0 * R * np.sin(pi / v["cage_pins"]) - d_c]
    if v["planet_pairs"] % v["cage_pins"] == 0.0 and s.psi <= pi / v["planet_pairs"]:
        out += [apart(a, b) for a, b in itertools.product(cage, planets)]
    else:  # their numbers do not let them stand midway: only the circles' radii count
        out += [abs(s.circle - R) - (d_p + d_c) / 2.0]
    out += [s.circle - d_p / 2.0 - bore, 2.0 * s.planet - d_p]
    return [*out, s.planet - 1.25 * s.m - d_p / 2.0]


@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_limits_of_the_unit_are_what_is_left_in_the_metal(fingers: int) -> None:
    space = make_space(fingers)
    X = near(space, 120, fingers)
    found, _, _ = slacks(space, X)
    for i, x in enumerate(X):
        expected = left(chosen(space, x))
        for kind, slack in expected.items():
            assert found[kind][i] == pytest.approx(slack, abs=1e-9), kind


def test_every_web_of_the_unit_and_not_the_least_alone() -> None:
    """Metal beside each hole by itself: most never are the least with the sizes of a common stock."""
    space = make_space(4)
    X = near(space, 60, 1)
    cols = space.build(X).columns
    u = parts.unit(space.shelf, cols)
    assert u.cage is not None
    out = pins.output_webs(space.shelf, cols, u)
    cage = pins.cage_webs(space.shelf, cols, u, u.cage)
    for i, x in enumerate(X):
        c = chosen(space, x)
        s = Stack(c)
        told = webs(c, s)
        web = c.shop.min_web
        own = [told[0] - web, told[1] - web, told[3] - web, told[4] - web, told[5] - web]
        assert [w[i, 0] for w in out] == pytest.approx(own, abs=1e-9)
        apart_ = min(told[10:-3])
        rest = [*told[6:10], apart_, *told[-3:]]
        assert [w[i, 0] for w in cage] == pytest.approx([w - web for w in rest], abs=1e-9)


def test_metal_between_holes_on_a_circle() -> None:
    """Four holes of 2 mm on 3 mm: chords of 4.243, so 2.243 between them, 1.243 beyond a web of 1."""
    one = np.ones((1, 1))
    found = windows.around(4.0 * one, 3.0 * one, 2.0 * one, 1.0)
    assert found.item() == pytest.approx(3.0 * np.sqrt(2.0) - 3.0, rel=1e-12)


def test_gears_have_the_teeth_that_are_to_be_had() -> None:
    """A stock whose gears have 25 to 26 teeth."""
    plain = make_space(4)
    gears_ = tuple(replace(g, min_teeth=25, max_teeth=26) for g in plain.shelf.stock.gears)
    shelf = Shelf(plain.shelf.brief, replace(plain.shelf.stock, gears=gears_), plain.shelf.demand)
    space = Space(shelf, plain.architecture)
    X = near(space, 60, 4)
    found, _, _ = slacks(space, X)
    for i, x in enumerate(X):
        assert found["teeth"][i] == pytest.approx(left(chosen(space, x))["teeth"], abs=1e-9)


def left(c: Chosen) -> dict[str, float]:
    """The least slack of each kind, sizes only."""
    s, shop, v, space = Stack(c), c.shop, c.v, c.space
    found = {"web": min(webs(c, s)) - shop.min_web}
    t = space.shelf.stock.plates[int(v["link_plate"])].thickness
    chain = s.a.chain
    drills = [chain.pin - max(shop.hole_over_thickness * t, shop.smallest_drill)]
    drills.append(c.pin("output_pin").d - shop.smallest_drill)
    if s.two:
        sheet = max(shop.hole_over_thickness * s.t, shop.smallest_drill)
        drills += [c.pin(k).d - sheet for k in ("cage_pin", "planet_pin")]
    found["hole"] = min(drills)
    found["edge"] = v["end_width_mm"] / 2.0 - shop.edge_over_thickness * t
    found["turned"] = shop.largest_turned - 2.0 * s.reach
    found["pin_size"] = chain.inner_width - t if v["doubled"] else t
    wheels = [s.into.z, s.a.z, *([s.b.z] if s.two else [])]
    teeth = [z - space.shelf.brief.limits.min_wheel_teeth for z in wheels]
    if s.two:
        teeth += gear_teeth(c)
        tip = np.arcsin((v["planet_teeth"] + 2.0) / (v["planet_teeth"] + v["side_teeth"]))
        arc = s.circle * (2.0 * pi - v["planet_pairs"] * 2.0 * (s.psi + tip))
        found["gears"] = min(-((2.0 * v["side_teeth"]) % v["planet_pairs"]), arc)
    return found | {"teeth": min(teeth)}


@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_wrap_and_strands_over_the_positions_that_must_work(fingers: int) -> None:
    """Each wheel's turn and one tooth within the wrap; end pieces off the teeth, strands within 12 degrees."""
    space = make_space(fingers)
    X = near(space, 40, fingers)
    found, drive, motion = slacks(space, X)
    must = [p.must for p in space.shelf.demand.positions]
    assert not all(must)
    brief = space.shelf.brief
    for i, x in enumerate(X):
        c = chosen(space, x)
        s = Stack(c)
        outs = [s.a, s.b] if s.two else [s.a]
        wrap, strand = [], []
        mean = max(w.mean for w in outs)
        for p in [p for p, m in enumerate(must) if m]:
            turns = [(abs(float(motion.theta[i, p])), s.into.z)]
            for k, w in enumerate(outs):
                y, carrier = float(motion.carrier_y[k][i, p]), drive.carriers[k]
                turns.append((abs(y) / w.mean, w.z))
                fork = (
                    0.0
                    if carrier.body is None
                    else float(carrier_fork(space.shelf, drive.columns)[i, 0])
                )
                free = float(carrier.L_in[i, 0]) - y
                among = np.sqrt(max(w.tip**2 - w.mean**2, 0.0))
                strand.append(free - fork - w.chain.connector - among)
                reach = free + min((float(L[i, 0]) for L in carrier.L_out), default=0.0)
                off = abs(mean - w.mean - c.v["strand_drop_mm"])
                strand.append(reach - off / np.tan(np.radians(12.0)))
            wrap += [np.degrees(brief.limits.wrap - t - 2.0 * pi / z) for t, z in turns]
        assert found["wrap"][i] == pytest.approx(min(wrap), abs=1e-9)
        assert found["strand"][i] == pytest.approx(min(strand), abs=1e-9)


def gear_teeth(c: Chosen) -> list[float]:
    """Teeth beyond the fewest that mesh and can be had, and short of the most."""
    gear, z = c.gear, sorted((c.v["side_teeth"], c.v["planet_teeth"]))
    fewest = float(gears.least_pinion_teeth(np.array(z[1] / z[0])))
    return [z[0] - fewest, c.v["planet_teeth"] - 13, z[0] - gear.min_teeth, gear.max_teeth - z[1]]
