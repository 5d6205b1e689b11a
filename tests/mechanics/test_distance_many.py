"""Thousands of pairs at once against shapely, and depths against every direction a shape could leave by."""

from collections.abc import Callable
from dataclasses import fields

import numpy as np
import pytest
import shapely

from explorer.mechanics.distance import gap
from explorer.mechanics.outline import Box, Sector, Shape, Stadium, disc
from explorer.mechanics.types import Floats

N = 1500
ARC = 64  # chords in the arc of a pie; its rim lies inside by at most SAGITTA
R_MOST = 6.0
SAGITTA = R_MOST * (1.0 - np.cos(np.pi / ARC))
Draw = Callable[[np.random.Generator], Shape]


def places(rng: np.random.Generator, n: int = N, spread: float = 8.0) -> Floats:
    """Half whole millimetres, which touch and line up, half any number."""
    x = rng.uniform(-spread, spread, n)
    return np.where(np.arange(n) % 2, np.round(x), x)


def stadiums(rng: np.random.Generator) -> Stadium:
    return Stadium(*(places(rng) for _ in range(4)), rng.uniform(0.0, 2.0, N))


def discs(rng: np.random.Generator) -> Stadium:
    return disc(places(rng), places(rng), rng.uniform(0.0, 2.0, N))


def boxes(rng: np.random.Generator) -> Box:
    x, y = places(rng), places(rng)
    return Box(x, x + rng.uniform(0.5, 6.0, N), y, y + rng.uniform(0.5, 6.0, N))


def sectors(rng: np.random.Generator) -> Sector:
    r = rng.uniform(2.0, R_MOST, N)
    hub = rng.uniform(0.0, 1.5, N)
    return Sector(places(rng), places(rng), hub, r, rng.uniform(-4, 4, N), rng.uniform(0.2, 3.0, N))


def drawn(s: Shape) -> np.ndarray:
    """Each shape as a shapely geometry, a stadium as its axis, a sector as pie, hub and spokes."""
    if isinstance(s, Box):
        return shapely.box(s.x0, s.y0, s.x1, s.y1)
    if isinstance(s, Stadium):
        ends = np.stack([np.stack([s.px, s.py], -1), np.stack([s.qx, s.qy], -1)], axis=-2)
        return shapely.linestrings(ends)
    at = s.direction[:, None] + s.half_angle[:, None] * np.linspace(-1.0, 1.0, ARC + 1)
    rim = np.stack([s.cx[:, None] + s.r[:, None] * np.cos(at),
                    s.cy[:, None] + s.r[:, None] * np.sin(at)], -1)  # fmt: skip
    centre = np.stack([s.cx, s.cy], -1)
    pie = shapely.polygons(np.concatenate([rim, centre[:, None, :]], axis=1))
    return shapely.union(pie, shapely.buffer(shapely.points(centre), s.r_hub, quad_segs=ARC))


def radius(s: Shape) -> Floats:
    return s.r if isinstance(s, Stadium) else np.zeros(N)


KINDS: list[Draw] = [stadiums, discs, boxes, sectors]


@pytest.mark.parametrize("second", KINDS)
@pytest.mark.parametrize("first", KINDS)
def test_the_gap_is_the_distance_of_what_is_drawn(first: Draw, second: Draw) -> None:
    rng = np.random.default_rng(3)
    a, b = first(rng), second(rng)
    g, one, other = gap(a, b), drawn(a), drawn(b)
    axes = shapely.distance(one, other)
    twin = axes - radius(a) - radius(b)
    apart = axes > 2.0 * SAGITTA
    off = (2.0 * SAGITTA if Sector in {type(a), type(b)} else 0.0) + 1e-9
    assert apart.sum() > N // 10
    assert (g[apart] <= twin[apart] + 1e-9).all()
    assert (g[apart] >= twin[apart] - off).all()
    meet = ~apart & (shapely.area(shapely.intersection(one, other)) > 1e-6)
    assert (g[meet] <= -np.maximum(radius(a), radius(b))[meet] + 1e-9).all()
    if first is second is stadiums:
        cross = shapely.crosses(one, other)
        assert (g[cross] == twin[cross]).all()


@pytest.mark.parametrize("first", [stadiums, discs])
def test_depth_in_a_box_is_the_shortest_way_out_of_all_directions(first: Draw) -> None:
    """Convex shapes part soonest along the direction in which their shadows overlap least."""
    rng = np.random.default_rng(5)
    a, b = first(rng), boxes(rng)
    assert isinstance(a, Stadium)
    assert isinstance(b, Box)
    inside = shapely.intersects(drawn(a), drawn(b))
    way = np.linspace(0.0, 2.0 * np.pi, 721)[:, None]
    normal = np.arctan2(a.qx - a.px, a.py - a.qy)[None, :]
    way = np.concatenate([way + np.zeros(N), normal, normal + np.pi])
    c, s = np.cos(way), np.sin(way)
    axis = np.maximum(a.px * c + a.py * s, a.qx * c + a.qy * s)
    box = np.minimum(b.x0 * c, b.x1 * c) + np.minimum(b.y0 * s, b.y1 * s)
    out = (axis - box).min(axis=0) + a.r
    assert inside.sum() > N // 30
    assert gap(a, b)[inside] == pytest.approx(-out[inside], abs=1e-9)


def test_a_pie_that_moves_changes_its_gap_by_no_more() -> None:
    """Overlapping or not; two pies on one centre face each other in no direction, and are left out."""
    rng = np.random.default_rng(7)
    for draw in (boxes, sectors, discs):
        a, b = sectors(rng), draw(rng)
        way = rng.uniform(-np.pi, np.pi, N)
        step = 1e-3
        names = [f.name for f in fields(a)]
        at = [getattr(a, n) for n in names]
        to = Sector(at[0] + step * np.cos(way), at[1] + step * np.sin(way), *at[2:])
        apart = (
            (a.cx != b.cx) | (a.cy != b.cy)
            if isinstance(b, Sector)
            else np.full(N, fill_value=True)
        )
        changed = np.abs(gap(to, b) - gap(a, b))[apart]
        assert (changed <= step + 1e-9).all()


def test_an_upright_segment_that_shares_its_x_is_no_disc() -> None:
    """The same array for both x: 6 mm tall, so a point beside its middle is 2 mm away."""
    x, zero = np.zeros(1), np.zeros(1)
    upright = Stadium(x, np.full(1, -3.0), x, np.full(1, 3.0), zero)
    level = Stadium(np.full(1, -3.0), x, np.full(1, 3.0), x, zero)
    assert not upright.is_disc
    assert not level.is_disc
    assert gap(upright, disc(np.full(1, 2.0), zero, zero))[0] == 2.0
    assert gap(level, disc(zero, np.full(1, 2.0), zero))[0] == 2.0
