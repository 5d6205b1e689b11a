"""Chain differentials against the same told plainly: places on the shaft, masses, minutes, limits."""

from __future__ import annotations

import itertools
from math import pi

import numpy as np
import pytest

from explorer.drives import chain_differential as family
from explorer.drives import chain_differential_unit as parts
from explorer.drives.assemble import Space
from explorer.drives.motion import Motion
from explorer.mechanics import gears
from explorer.mechanics.outline import Box
from tests.drives.differential_twin import Chosen, Stack, apart, chosen, holes, pieces
from tests.drives.old_differential import make_space, some_vectors

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
            assert p.count.item() == told.count, key
            assert p.mass.item() == pytest.approx(told.mass, rel=1e-9, abs=1e-12), key
            assert p.minutes.item() == pytest.approx(told.minutes, rel=1e-9), key


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


def slacks(space: Space, x: np.ndarray) -> tuple[dict[str, float], Motion]:
    """The least slack of each limit."""
    drive = space.build(x[None])
    motion = space.move(drive)
    found: dict[str, float] = {}
    for m in family.limits(space.shelf, drive, motion):
        found[m.id] = min(found.get(m.id, np.inf), m.slack.item())
    return found, motion


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


@pytest.mark.parametrize(("fingers", "seed"), CASES)
def test_limits_of_the_unit_are_what_is_left_in_the_metal(fingers: int, seed: int) -> None:
    space, X = drawn(fingers, seed)
    for x in X:
        c = chosen(space, x)
        s, shop, v = Stack(c), c.shop, c.v
        found, _ = slacks(space, x)
        assert found["web"] == pytest.approx(min(webs(c, s)) - shop.min_web, abs=1e-9)
        t = space.shelf.stock.plates[int(v["link_plate"])].thickness
        chain = s.a.chain
        drills = [chain.pin - max(shop.hole_over_thickness * t, shop.smallest_drill)]
        drills.append(c.pin("output_pin").d - shop.smallest_drill)
        if s.two:
            sheet = max(shop.hole_over_thickness * s.t, shop.smallest_drill)
            drills += [c.pin(k).d - sheet for k in ("cage_pin", "planet_pin")]
        assert found["hole"] == pytest.approx(min(drills), abs=1e-12)
        edge = v["end_width_mm"] / 2.0 - shop.edge_over_thickness * t
        assert found["edge"] == pytest.approx(edge, abs=1e-12)
        assert found["turned"] == pytest.approx(shop.largest_turned - 2.0 * s.reach, abs=1e-9)
        inside = chain.inner_width - t if v["doubled"] else t
        assert found["pin_size"] == pytest.approx(inside, abs=1e-12)
        wheels = [s.into.z, s.a.z, *([s.b.z] if s.two else [])]
        teeth = [z - space.shelf.brief.limits.min_wheel_teeth for z in wheels]
        if s.two:
            teeth += gear_teeth(c)
            left = -((2.0 * v["side_teeth"]) % v["planet_pairs"])
            tip = np.arcsin((v["planet_teeth"] + 2.0) / (v["planet_teeth"] + v["side_teeth"]))
            arc = s.circle * (2.0 * pi - v["planet_pairs"] * 2.0 * (s.psi + tip))
            assert found["gears"] == pytest.approx(min(left, arc), abs=1e-9)
        assert found["teeth"] == pytest.approx(min(teeth), abs=1e-9)


def gear_teeth(c: Chosen) -> list[float]:
    """Teeth beyond the fewest that mesh and can be had, and short of the most."""
    gear, z = c.line("gear", "gears"), sorted((c.v["side_teeth"], c.v["planet_teeth"]))
    fewest = float(gears.least_pinion_teeth(np.array(z[1] / z[0])))
    return [z[0] - fewest, c.v["planet_teeth"] - 13, z[0] - gear.min_teeth, gear.max_teeth - z[1]]
