"""Outlines of lines and arcs against shapely's buffered and united shapes."""

from math import cos, pi, sin, tan

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from explorer.build.blank import (
    Arc,
    Blank,
    Bore,
    Edge,
    Point,
    bent_plate,
    distance_to_edge,
    hull_of_discs,
    moved,
    round_blank,
    sector_blank,
)

FINE = 400  # chords a quarter circle: shapely's arcs are short of the true ones by 3e-6 of r^2


def outline(edges: tuple[Edge, ...]) -> list[Point]:
    """Places along the outline, arcs in small steps."""
    out: list[Point] = []
    for e in edges:
        if isinstance(e, Arc):
            steps = 200
            turn = (e.end - e.start) / steps
            out += [e.centre.stepped(e.start + n * turn, e.r) for n in range(steps)]
        else:
            out.append(e.start)
    return out


def assert_like(edges: tuple[Edge, ...], shape: shapely.Geometry) -> None:
    """Same area by Green's theorem, same place all round, ends that meet."""
    assert sum(e.area for e in edges) == pytest.approx(shape.area, rel=2e-5)
    for p in outline(edges):
        assert shape.exterior.distance(shapely.Point(p.x, p.y)) < 1e-4 * max(1.0, shape.length)
    for a, b in zip(edges, (*edges[1:], edges[0]), strict=True):
        last = a.last if isinstance(a, Arc) else a.end
        first = b.first if isinstance(b, Arc) else b.start
        assert (last - first).length < 1e-9


@given(st.floats(5.0, 40.0), st.floats(5.0, 40.0), st.floats(-1.2, 1.2), st.floats(1.0, 4.0))
def test_a_bent_plate_is_two_stadiums_united(a: float, b: float, bend: float, r: float) -> None:
    middle, end = Point(3.0, -2.0), Point(3.0 + a, -2.0)
    other = middle.stepped(pi - bend, b)
    arms = [
        shapely.LineString([(p.x, p.y), (middle.x, middle.y)]).buffer(r, quad_segs=FINE)
        for p in (end, other)
    ]
    assert_like(bent_plate(other, middle, end, r), shapely.union(*arms))


@given(st.floats(5.0, 40.0), st.floats(5.0, 40.0), st.floats(-1.2, 1.2), st.floats(1.0, 4.0))
def test_a_bent_plate_has_the_area_of_the_straight_one_but_for_the_bend(
    a: float, b: float, bend: float, r: float
) -> None:
    """A sector bend/2 r^2 is won outside, a kite tan(bend/2) r^2 lost inside; derived."""
    plate = bent_plate(Point(-a, 0.0), Point(0.0, 0.0), Point(b * cos(bend), b * sin(bend)), r)
    straight = pi * r * r + 2.0 * r * (a + b)
    won = r * r * (abs(bend) / 2.0 - tan(abs(bend) / 2.0))
    assert sum(e.area for e in plate) == pytest.approx(straight + won, rel=1e-12)


@given(
    st.lists(st.tuples(st.floats(-20, 20), st.floats(-20, 20)), min_size=1, max_size=5, unique=True)
)
@example([(0.0, 1.0), (0.0, 5e-58), (-1.0, 0.0), (-2e-309, 0.0)])  # two places too near for a side
def test_a_hull_of_discs_is_the_buffered_hull(places: list[tuple[float, float]]) -> None:
    hull = shapely.MultiPoint(places).convex_hull
    if isinstance(hull, shapely.LineString) and hull.length < 1e-3:
        places = places[:1]
        hull = shapely.Point(places[0])
    edges = hull_of_discs([Point(*p) for p in places], 3.0)
    assert_like(edges, hull.buffer(3.0, quad_segs=FINE))


@given(st.floats(1.0, 4.0), st.floats(5.0, 12.0), st.floats(0.3, 2.8))
def test_a_sector_is_hub_and_pie(hub: float, r: float, half: float) -> None:
    pie = shapely.Polygon(
        [(0.0, 0.0)]
        + [(r * cos(half * n / 500), r * sin(half * n / 500)) for n in range(-500, 501)]
    )
    whole = shapely.union(shapely.Point(0.0, 0.0).buffer(hub, quad_segs=FINE), pie)
    assert_like(sector_blank(hub, r, half), whole)


def test_an_arm_shorter_than_its_width_is_refused() -> None:
    with pytest.raises(ValueError, match="shorter than its width"):
        bent_plate(Point(-1.0, 0.0), Point(0.0, 0.0), Point(0.0, 20.0), 5.0)


def plate(*places: tuple[float, float], d: tuple[float, ...] = (2.0, 2.0, 2.0)) -> Blank:
    middle, end, other = (Point(*p) for p in places)
    bores = tuple(Bore(p, w, "press") for p, w in zip((middle, end, other), d, strict=True))
    return Blank(bent_plate(other, middle, end, 3.0), bores)


def test_only_what_no_mirror_carries_onto_itself_is_handed() -> None:
    assert plate((0, 0), (20, 0), (-12, -4)).handed
    assert not plate((0, 0), (20, 0), (-20, 0)).handed
    assert not plate((0, 0), (15, 5), (-15, 5)).handed  # equal arms: a mirror through the middle
    assert plate((0, 0), (15, 5), (-15, 5), d=(2.0, 2.0, 3.0)).handed
    assert not Blank(round_blank(8.0), (Bore(Point(0.0, 0.0), 3.0, "press"),)).handed


@given(st.floats(6.0, 30.0), st.floats(6.0, 30.0), st.floats(-8.0, 8.0))
def test_a_mirrored_part_mirrors_back_and_keeps_its_area(a: float, b: float, e: float) -> None:
    blank = plate((0, 0), (a, 0), (-b, e))
    twice = blank.mirrored().mirrored()
    assert blank.mirrored().area == pytest.approx(blank.area, rel=1e-12)
    for p, q in zip(twice.edges, blank.edges, strict=True):
        assert (p.middle - q.middle).length < 1e-12
    assert twice.bores == blank.bores


def test_moving_an_outline_keeps_lengths_and_area() -> None:
    edges = plate((0, 0), (20, 0), (-12, -4)).edges
    carried = moved(edges, 0.7, Point(3.0, 5.0))
    assert sum(e.area for e in carried) == pytest.approx(sum(e.area for e in edges), rel=1e-12)
    assert [e.length for e in carried] == pytest.approx([e.length for e in edges], rel=1e-12)


def test_distance_to_an_edge() -> None:
    arc = Arc(Point(0.0, 0.0), 5.0, 0.0, pi / 2.0)
    assert distance_to_edge(arc, Point(3.0, 3.0)) == pytest.approx(5.0 - 18.0**0.5)
    assert distance_to_edge(arc, Point(5.0, -2.0)) == pytest.approx(2.0)
