"""Outlines against polygons built by hand from their definition, and against plain invariants."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from explorer.mechanics.outline import (
    Box,
    Sector,
    Shape,
    Stadium,
    area,
    bounds,
    disc,
    perimeter,
)
from explorer.mechanics.types import Floats
from tests.mechanics.polygons import polygon_points

N_ARC = 512


def arr(v: float) -> Floats:
    return np.asarray(v, dtype=np.float64)


coords = st.floats(-30.0, 30.0, allow_subnormal=False)
radii = st.floats(0.25, 20.0)
angles = st.floats(-7.0, 7.0)
halves = st.one_of(st.floats(0.0, 4.0), st.sampled_from([0.0, math.pi / 2, math.pi]))

stadiums = st.tuples(coords, coords, coords, coords, radii).map(lambda v: Stadium(*map(arr, v)))
sectors = st.tuples(coords, coords, st.floats(0.0, 20.0), radii, angles, halves).map(
    lambda v: Sector(*map(arr, v))
)
boxes = st.tuples(coords, radii, coords, radii).map(
    lambda v: Box(arr(v[0]), arr(v[0] + v[1]), arr(v[2]), arr(v[2] + v[3]))
)
shapes = st.one_of(stadiums, sectors, boxes)


def outward(shape: Shape) -> float:
    """Largest sagitta of a polygon of N_ARC chords an arc: it lies inside by at most this."""
    if isinstance(shape, Box):
        return 0.0
    r = max(float(shape.r), float(getattr(shape, "r_hub", 0.0)))
    return r * (1.0 - math.cos(math.pi / N_ARC))


def from_definition(shape: Shape) -> shapely.Geometry:
    """The shape by union and buffer, polygonised with 4 * 128 chords a circle."""
    if isinstance(shape, Stadium):
        line = LineString([(shape.px, shape.py), (shape.qx, shape.qy)])
        return line.buffer(float(shape.r), quad_segs=128)
    if isinstance(shape, Sector):
        centre = Point(float(shape.cx), float(shape.cy))
        hub = centre.buffer(float(shape.r_hub), quad_segs=128)
        half = min(float(shape.half_angle), math.pi)
        a = float(shape.direction) + np.linspace(-half, half, 513)
        rim = np.stack([shape.cx + shape.r * np.cos(a), shape.cy + shape.r * np.sin(a)], axis=1)
        pie = Polygon([(float(shape.cx), float(shape.cy)), *rim]).buffer(0.0)
        return shapely.union_all([hub, pie])
    return shapely.box(float(shape.x0), float(shape.y0), float(shape.x1), float(shape.y1))


@given(shapes)
def test_area_is_that_of_the_shape_built_from_its_definition(shape: Shape) -> None:
    # A circle of n chords lacks (2 pi/n)^2/6 of its area: 2.6e-5 of it at n = 512.
    r = 0.0 if isinstance(shape, Box) else max(shape.r, getattr(shape, "r_hub", 0.0))
    tolerance = 2.7e-5 * math.pi * float(r) ** 2 + 1e-9
    twin = from_definition(shape).area
    assert twin - 1e-6 <= float(area(shape)) <= twin + tolerance + 1e-6


@given(shapes)
def test_drawn_polygon_closes_around_the_area_and_along_the_perimeter(shape: Shape) -> None:
    points = polygon_points(shape, N_ARC, ())
    after = np.roll(points, -1, axis=0)
    shoelace = 0.5 * float(np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]))
    around = float(np.sum(np.hypot(*(after - points).T)))
    # 512 chords over at most a full circle: relative lack of area 2.6e-5, of length 6.3e-6.
    assert shoelace == pytest.approx(float(area(shape)), rel=3e-5, abs=1e-9)
    assert around == pytest.approx(float(perimeter(shape)), rel=7e-6, abs=1e-9)


@given(shapes)
def test_bounds_hold_the_outline_and_touch_it_on_all_sides(shape: Shape) -> None:
    points = polygon_points(shape, N_ARC, ())
    box = bounds(shape)
    low, high = points.min(axis=0), points.max(axis=0)
    sagitta = outward(shape)
    for outside, inside in (
        (-float(box.x0), -low[0]),
        (float(box.x1), high[0]),
        (-float(box.y0), -low[1]),
        (float(box.y1), high[1]),
    ):
        assert inside - 1e-9 <= outside <= inside + sagitta + 1e-9


@given(shapes)
def test_drawn_polygon_is_the_shape_built_from_its_definition(shape: Shape) -> None:
    drawn = Polygon(polygon_points(shape, N_ARC, ()))
    if drawn.area > 1e-3:
        # buffer(0) mends a spike where a sector of next to no angle has edges that coincide
        lost = drawn.buffer(0.0).symmetric_difference(from_definition(shape)).area
        # both polygons lie inside the shape, each by at most 2.6e-5 of a circle
        r = 0.0 if isinstance(shape, Box) else max(shape.r, getattr(shape, "r_hub", 0.0))
        assert lost <= 5.4e-5 * math.pi * float(r) ** 2 + 1e-6


@pytest.mark.parametrize("half", [math.pi, 3.5])
def test_a_whole_sector_is_a_disc(half: float) -> None:
    wheel = Sector(*map(arr, (3.0, -2.0, 1.0, 8.0, 0.7, half)))
    plain = disc(arr(3.0), arr(-2.0), arr(8.0))
    assert float(area(wheel)) == pytest.approx(float(area(plain)), rel=1e-15)
    assert float(perimeter(wheel)) == pytest.approx(float(perimeter(plain)), rel=1e-15)
    a, b = bounds(wheel), bounds(plain)
    assert (a.x0, a.x1, a.y0, a.y1) == (b.x0, b.x1, b.y0, b.y1)


@given(sectors, st.floats(0.0, 0.5))
def test_bounds_and_area_only_grow_with_the_angle(s: Sector, more: float) -> None:
    wide = Sector(s.cx, s.cy, s.r_hub, s.r, s.direction, s.half_angle + more)
    inner, outer = bounds(s), bounds(wide)
    for side in (
        inner.x0 - outer.x0,
        outer.x1 - inner.x1,
        inner.y0 - outer.y0,
        outer.y1 - inner.y1,
    ):
        assert float(side) >= -1e-12
    assert float(area(wide)) >= float(area(s)) - 1e-9


@given(shapes)
def test_twice_the_size_is_exactly_twice_the_bounds_and_four_times_the_area(shape: Shape) -> None:
    big = doubled(shape)
    a, b = bounds(shape), bounds(big)
    assert (2 * a.x0, 2 * a.x1, 2 * a.y0, 2 * a.y1) == (b.x0, b.x1, b.y0, b.y1)
    assert 4.0 * float(area(shape)) == float(area(big))
    assert 2.0 * float(perimeter(shape)) == float(perimeter(big))


def doubled(shape: Shape) -> Shape:
    if isinstance(shape, Stadium):
        return Stadium(2 * shape.px, 2 * shape.py, 2 * shape.qx, 2 * shape.qy, 2 * shape.r)
    if isinstance(shape, Box):
        return Box(2 * shape.x0, 2 * shape.x1, 2 * shape.y0, 2 * shape.y1)
    return Sector(
        2 * shape.cx,
        2 * shape.cy,
        2 * shape.r_hub,
        2 * shape.r,
        shape.direction,
        shape.half_angle,
    )


def test_one_candidate_is_drawn_from_a_batch_of_mixed_widths() -> None:
    x = np.arange(6.0).reshape(3, 2)
    y, r = np.array([[1.0], [2.0], [3.0]]), np.asarray(2.0)
    batch = Stadium(x, y, x + 4.0, y + 3.0, r)
    points = polygon_points(batch, 8, (2, 1))
    alone = polygon_points(Stadium(*map(arr, (5.0, 3.0, 9.0, 6.0, 2.0))), 8, ())
    assert points.shape == (18, 2)
    assert np.array_equal(points, alone)


def test_a_row_of_candidates_is_bounded_as_each_alone() -> None:
    rng = np.random.default_rng(7)
    v = rng.uniform(0.5, 9.0, (6, 37, 1))
    v[4] = rng.uniform(-4.0, 4.0, (37, 1))
    together = bounds(Sector(*v))
    for i in range(37):
        alone = bounds(Sector(*v[:, i : i + 1]))
        assert together.x0[i] == alone.x0[0]
        assert together.x1[i] == alone.x1[0]
        assert together.y0[i] == alone.y0[0]
        assert together.y1[i] == alone.y1[0]
