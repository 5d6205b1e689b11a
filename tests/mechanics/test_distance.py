"""Distances against shapely and against what plane geometry says must not matter."""

import math
from dataclasses import fields

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from explorer.mechanics.distance import gap, keepout_gap
from explorer.mechanics.outline import Box, Sector, Shape, Stadium, bounds, disc
from explorer.mechanics.types import Floats
from tests.mechanics.polygons import polygon_points


def arr(v: float) -> Floats:
    return np.asarray(v, dtype=np.float64)


# Whole millimetres make touching, parallel, collinear and crossing cases likely; quarter
# millimetres and free numbers cover the rest.
whole = st.integers(-6, 6).map(float)
coords = st.one_of(whole, st.integers(-80, 80).map(lambda i: i / 4.0), st.floats(-20.0, 20.0))
tidy = coords.map(lambda v: 0.0 if abs(v) < 1e-6 else v)  # squares must not underflow
radii = st.one_of(st.just(0.0), st.floats(0.25, 8.0))
stadiums = st.tuples(tidy, tidy, tidy, tidy, radii).map(lambda v: Stadium(*map(arr, v)))
discs = st.tuples(tidy, tidy, radii).map(lambda v: disc(*map(arr, v)))
slots = st.one_of(stadiums, discs)
halves = st.one_of(st.floats(0.0, 4.0), st.sampled_from([math.pi / 4, math.pi / 2, math.pi]))
sectors = st.tuples(
    tidy, tidy, st.floats(0.0, 3.0), st.floats(0.5, 9.0), st.floats(-4.0, 4.0), halves
).map(lambda v: Sector(*map(arr, v)))
boxes = st.tuples(tidy, st.floats(0.25, 9.0), tidy, st.floats(0.25, 9.0)).map(
    lambda v: Box(arr(v[0]), arr(v[0] + v[1]), arr(v[2]), arr(v[2] + v[3]))
)
shapes = st.one_of(slots, sectors, boxes)


def moved(s: Shape, dx: float, dy: float) -> Shape:
    step = {"x": dx, "y": dy}
    names = [f.name for f in fields(s)]
    return type(s)(*(getattr(s, n) + sum(d for k, d in step.items() if k in n) for n in names))


def meeting(
    first: st.SearchStrategy[Shape], second: st.SearchStrategy[Shape]
) -> st.SearchStrategy[tuple[Shape, Shape]]:
    """Pairs whose boxes have their middles within 3 mm in x and y: most overlap."""

    def meet(v: tuple[Shape, Shape, float, float]) -> tuple[Shape, Shape]:
        a, b = bounds(v[0]), bounds(v[1])
        dx = 0.5 * float(a.x0 + a.x1 - b.x0 - b.x1) + v[2]
        dy = 0.5 * float(a.y0 + a.y1 - b.y0 - b.y1) + v[3]
        return v[0], moved(v[1], dx, dy)

    near = st.floats(-3.0, 3.0)
    return st.tuples(first, second, near, near).map(meet)


ARC = 600
# A polygon of ARC chords an arc lies inside its shape by at most this, for r <= 9: 1.2e-4 mm.
SAGITTA = 9.0 * (1.0 - math.cos(math.pi / ARC))


def segment(s: Stadium) -> shapely.Geometry:
    return LineString([(s.px, s.py), (s.qx, s.qy)])


def square(b: Box) -> shapely.Geometry:
    return shapely.box(float(b.x0), float(b.y0), float(b.x1), float(b.y1))


def mirrored(s: Shape) -> Shape:
    """Left hand for right: x changes sign."""
    if isinstance(s, Stadium):
        return Stadium(-s.px, s.py, -s.qx, s.qy, s.r)
    if isinstance(s, Sector):
        return Sector(-s.cx, s.cy, s.r_hub, s.r, np.pi - s.direction, s.half_angle)
    return Box(-s.x1, -s.x0, s.y0, s.y1)


def turned(s: Shape) -> Shape:
    """A quarter turn: (x, y) goes to (-y, x)."""
    if isinstance(s, Stadium):
        return Stadium(-s.py, s.px, -s.qy, s.qx, s.r)
    if isinstance(s, Sector):
        return Sector(-s.cy, s.cx, s.r_hub, s.r, s.direction + np.pi / 2, s.half_angle)
    return Box(-s.y1, -s.y0, s.x0, s.x1)


def doubled(s: Shape) -> Shape:
    angles = ("direction", "half_angle")
    return type(s)(*(getattr(s, f.name) * (1.0 if f.name in angles else 2.0) for f in fields(s)))


def thicker(s: Stadium, dr: float) -> Stadium:
    return Stadium(s.px, s.py, s.qx, s.qy, s.r + dr)


# ---- stadium and stadium -------------------------------------------------------------------


@given(slots, slots)
def test_stadium_gap_is_the_distance_of_the_segments_less_the_radii(a: Stadium, b: Stadium) -> None:
    twin = segment(a).distance(segment(b)) - float(a.r) - float(b.r)
    assert float(gap(a, b)) == pytest.approx(twin, abs=1e-9)


@given(slots, slots)
def test_stadium_gap_is_equal_to_the_bit_under_swap_mirror_quarter_turn_and_scale(
    a: Stadium, b: Stadium
) -> None:
    g = float(gap(a, b))
    assert float(gap(b, a)) == g
    assert float(gap(mirrored(a), mirrored(b))) == g
    assert float(gap(turned(a), turned(b))) == g
    assert float(gap(doubled(a), doubled(b))) == 2.0 * g


@given(slots, slots)
def test_a_disc_gives_the_bits_of_a_stadium_without_length(a: Stadium, b: Stadium) -> None:
    plain_a, plain_b = (Stadium(s.px, s.py, +s.qx, +s.qy, s.r) for s in (a, b))
    centre = disc(a.px, a.py, a.r)
    point = Stadium(a.px, a.py, np.array(a.px), np.array(a.py), a.r)
    assert centre.is_disc
    assert not point.is_disc
    assert float(gap(a, b)) == float(gap(plain_a, plain_b))
    assert float(gap(centre, b)) == float(gap(point, plain_b))
    assert float(gap(b, centre)) == float(gap(plain_b, point))


def test_links_in_one_line_do_not_cross_through_rounding() -> None:
    """Their cross products are noise around zero."""
    rng = np.random.default_rng(11)
    x, y, angle = rng.uniform(-9.0, 9.0, (3, 4000))
    first, between, second = rng.uniform(0.1, 9.0, (3, 4000))
    c, s, o = np.cos(angle), np.sin(angle), np.zeros(4000)
    k = (o, first, first + between, first + between + second)
    ends = [(x + t * c, y + t * s) for t in k]
    g = gap(Stadium(*ends[0], *ends[1], o), Stadium(*ends[2], *ends[3], o))
    assert g == pytest.approx(between, abs=1e-12)


@pytest.mark.parametrize(
    "ends",
    [
        [
            (-6.748970211654627, 6.474694915671833),
            (-14.274477480349852, 3.662210625850187),
            (-17.047471175243807, 2.6258683668896263),
            (-23.889441885995975, 0.06884005659119463),
        ],
        [
            (0.9165446648199307, -4.076708559151428),
            (-0.5817304130066085, -10.790237301331558),
            (-0.7193699525558663, -11.406977857521575),
            (-1.1089033902144778, -13.15241430538331),
        ],
        [
            (-1.57834021366281, -1.1427740232279913),
            (4.785504229204612, 3.5432712736074166),
            (8.204884182936652, 6.06114698445045),
            (14.05319644808306, 10.367577858201631),
        ],
    ],
)
def test_links_in_one_line_whose_noise_looks_like_a_crossing(
    ends: list[tuple[float, float]],
) -> None:
    """Found among a million random pairs: all four cross products have the signs of a crossing."""
    a, b = (Stadium(*map(arr, (*p, *q, 0.0))) for p, q in (ends[:2], ends[2:]))
    assert float(gap(a, b)) == pytest.approx(math.dist(ends[1], ends[2]), abs=1e-12)


@given(tidy, tidy, st.floats(0.1, 3.0), st.floats(0.1, 3.0), st.floats(0.3, 2.8))
def test_crossing_segments_are_no_distance_apart(
    x: float, y: float, u: float, v: float, angle: float
) -> None:
    c, s = math.cos(angle), math.sin(angle)
    a = Stadium(*map(arr, (x - u, y, x + 2 * u, y, 1.0)))
    b = Stadium(*map(arr, (x - v * c, y - v * s, x + 2 * v * c, y + 2 * v * s, 0.5)))
    assert float(gap(a, b)) == -1.5


@given(slots, shapes, st.floats(0.0, 5.0))
def test_growing_a_radius_closes_the_gap_by_as_much(a: Stadium, b: Shape, dr: float) -> None:
    assert float(gap(thicker(a, dr), b)) == pytest.approx(float(gap(a, b)) - dr, abs=1e-12)


# ---- all pairs -----------------------------------------------------------------------------


@given(shapes, shapes, tidy, tidy)
def test_gap_knows_no_order_place_side_or_direction(a: Shape, b: Shape, x: float, y: float) -> None:
    g = float(gap(a, b))
    # Angles near the edge of a sector turn by rounding: an overlap may then be measured from its
    # rim or from its edge, which agree there. Hence 1e-9 and not the bit.
    assert float(gap(b, a)) == pytest.approx(g, abs=1e-9)
    assert float(gap(moved(a, x, y), moved(b, x, y))) == pytest.approx(g, abs=1e-9)
    assert float(gap(mirrored(a), mirrored(b))) == pytest.approx(g, abs=1e-9)
    assert float(gap(turned(a), turned(b))) == pytest.approx(g, abs=1e-9)
    assert float(gap(doubled(a), doubled(b))) == 2.0 * g


def drawn(s: Shape) -> shapely.Geometry:
    """The shape as polygon; a shape of no area as the line or point that it is."""
    if isinstance(s, Stadium):
        return segment(s).buffer(float(s.r), quad_segs=ARC // 2) if s.r > 0.0 else segment(s)
    if isinstance(s, Box):
        return square(s)
    edge = polygon_points(Sector(s.cx, s.cy, arr(0.0), s.r, s.direction, s.half_angle), ARC, ())
    pie = Polygon(edge)
    hub = Point(float(s.cx), float(s.cy)).buffer(float(s.r_hub), quad_segs=ARC // 2)
    spokes = [LineString([(t.px, t.py), (t.qx, t.qy)]) for t in s.radii]
    return shapely.union_all([pie if pie.is_valid else pie.buffer(0.0), hub, *spokes])


@given(shapes, shapes)
def test_gap_of_any_pair_is_the_distance_of_the_drawn_shapes(a: Shape, b: Shape) -> None:
    g, twin = float(gap(a, b)), drawn(a).distance(drawn(b))
    # Each polygon lies inside its shape by at most SAGITTA.
    assert max(g, 0.0) - 1e-9 <= twin <= max(g, 0.0) + 2.0 * SAGITTA + 1e-9


@given(meeting(shapes, shapes))
def test_drawn_shapes_that_share_area_have_no_positive_gap(pair: tuple[Shape, Shape]) -> None:
    a, b = pair
    if drawn(a).intersection(drawn(b)).area > 1e-6:
        g = float(gap(a, b))
        # A stadium across a sector's edge counts as depth 0 less its radius.
        assert g <= 0.0 if isinstance(a, Sector) or isinstance(b, Sector) else g < 0.0


@given(sectors, shapes)
def test_a_wider_sector_is_never_further_away(s: Sector, b: Shape) -> None:
    wide = Sector(s.cx, s.cy, s.r_hub, s.r, s.direction, s.half_angle + 0.3)
    assert max(float(gap(wide, b)), 0.0) <= max(float(gap(s, b)), 0.0) + 1e-9


@given(tidy, tidy, st.floats(0.5, 9.0), st.floats(-4.0, 4.0), shapes)
def test_a_whole_wheel_is_a_disc(x: float, y: float, r: float, angle: float, b: Shape) -> None:
    assume(not isinstance(b, Sector))
    wheel = Sector(arr(x), arr(y), arr(0.1), arr(r), arr(angle), arr(math.pi))
    plain = disc(arr(x), arr(y), arr(r))
    assert float(gap(wheel, b)) == pytest.approx(float(gap(plain, b)), abs=1e-9)


@given(
    st.floats(2.0, 9.0),
    st.floats(-4.0, 4.0),
    st.floats(0.1, 3.1),
    st.floats(0.05, 0.95),
    st.floats(-0.95, 0.95),
)
def test_depth_of_a_point_in_a_pie_is_its_way_to_the_edge(
    r: float, way: float, half: float, out: float, off: float
) -> None:
    pie = Sector(*map(arr, (1.0, -2.0, 0.0, r, way, half)))
    x, y = 1.0 + out * r * math.cos(way + off * half), -2.0 + out * r * math.sin(way + off * half)
    to_edge = Polygon(polygon_points(pie, ARC, ())).exterior.distance(Point(x, y))
    assert float(gap(pie, disc(arr(x), arr(y), arr(0.0)))) == pytest.approx(-to_edge, abs=SAGITTA)


@given(
    st.floats(-4.0, 4.0),
    st.floats(0.2, 1.5),
    st.floats(0.2, 1.5),
    st.floats(-0.9, 0.9),
    st.floats(-0.9, 0.9),
    st.floats(-3.0, 9.0),
)
def test_rims_that_face_each_other_are_nearest_on_the_line_of_centres(
    way: float, half_a: float, half_b: float, off_a: float, off_b: float, between: float
) -> None:
    far = 5.0 + 7.0 + between
    a = Sector(*map(arr, (0.0, 0.0, 1.0, 5.0, way + off_a * half_a, half_a)))
    x, y = far * math.cos(way), far * math.sin(way)
    b = Sector(*map(arr, (x, y, 1.0, 7.0, way + math.pi + off_b * half_b, half_b)))
    if between > 0.0:
        assert float(gap(a, b)) == pytest.approx(between, abs=1e-12)
    else:
        assert float(gap(a, b)) <= between + 1e-12


# ---- keep-outs -----------------------------------------------------------------------------


@given(meeting(slots, boxes))
def test_depth_in_a_keepout_is_the_shortest_way_out(pair: tuple[Stadium, Box]) -> None:
    a, box = pair
    depth = -float(keepout_gap(a, box))
    assume(depth > 1e-6)
    for way in np.linspace(-math.pi, math.pi, 17):
        x, y = 0.99 * depth * math.cos(way), 0.99 * depth * math.sin(way)
        assert float(keepout_gap(moved(a, x, y), box)) < 0.0
    if depth > float(a.r) + 1e-6:  # the axis itself is inside: out along x, y or its normal
        normal = float(np.arctan2(a.qx - a.px, a.py - a.qy))
        ways = [(math.cos(w + k), math.sin(w + k)) for w in (0, math.pi) for k in (0, normal)]
        after = [
            keepout_gap(moved(a, depth * x, depth * y), box) for x, y in [*ways, (0, 1), (0, -1)]
        ]
        assert float(max(after)) == pytest.approx(0.0, abs=1e-9)


@given(boxes, boxes)
def test_boxes_keep_shapelys_distance(a: Box, b: Box) -> None:
    g = float(keepout_gap(a, b))
    assert max(g, 0.0) == pytest.approx(square(a).distance(square(b)), abs=1e-12)
    if square(a).intersection(square(b)).area > 1e-9:
        assert g < 0.0


@given(st.integers(0, 3), st.floats(0.5, 9.0), st.floats(0.1, 1.5))
def test_a_pie_around_a_small_keepout_overlaps_it(quarter: int, r: float, half: float) -> None:
    """No edge, rim or hub touches the box: only the inside of the pie does."""
    way = quarter * math.pi / 2
    x, y, h = 0.5 * r * math.cos(way), 0.5 * r * math.sin(way), 0.01 * r * half
    box = Box(arr(x - h), arr(x + h), arr(y - h), arr(y + h))
    pie = Sector(*map(arr, (0.0, 0.0, 0.0, r, way, half)))
    assert float(keepout_gap(pie, box)) < 0.0


# ---- arrays --------------------------------------------------------------------------------


def batch(seed: int, kind: type[Shape], shape: tuple[int, ...]) -> Shape:
    rng = np.random.default_rng(seed)
    cols = [rng.uniform(-9.0, 9.0, shape) for _ in fields(kind)]
    if kind is Box:
        cols[1], cols[3] = cols[0] + np.abs(cols[1]), cols[2] + np.abs(cols[3])
    for k, f in enumerate(fields(kind)):
        if f.name in {"r", "r_hub", "half_angle"}:
            cols[k] = 0.25 * np.abs(cols[k])
    return kind(*cols)


def rows(s: Shape, i: int) -> Shape:
    return type(s)(*(getattr(s, f.name)[i : i + 1] for f in fields(s)))


@pytest.mark.parametrize("one", [Stadium, Sector, Box])
@pytest.mark.parametrize("other", [Stadium, Sector, Box])
def test_a_batch_gives_the_bits_of_its_rows_and_leaves_its_inputs(
    one: type[Shape], other: type[Shape]
) -> None:
    a, b = batch(1, one, (37, 5)), batch(2, other, (37, 5))
    before = [getattr(s, f.name).copy() for s in (a, b) for f in fields(s)]
    together = gap(a, b)
    assert together.shape == (37, 5)
    assert together.flags.c_contiguous
    for i in range(37):
        assert np.array_equal(gap(rows(a, i), rows(b, i)), together[i : i + 1])
    after = [getattr(s, f.name) for s in (a, b) for f in fields(s)]
    assert all(map(np.array_equal, before, after))


@pytest.mark.parametrize("other", [Stadium, Sector, Box])
def test_fixed_pieces_broadcast_over_positions(other: type[Shape]) -> None:
    fixed, moving = batch(3, Stadium, (8, 1)), batch(4, other, (8, 5))
    full = Stadium(*(np.repeat(getattr(fixed, f.name), 5, axis=1) for f in fields(fixed)))
    assert np.array_equal(gap(fixed, moving), gap(full, moving))


def test_points_in_one_place_raise_no_warning() -> None:
    """Warnings are errors here: 0/0 would show. Scalars and arrays divide by different code."""
    for shape in ((), (3,), (9, 4)):
        o = np.zeros(shape)
        point = Stadium(o, o.copy(), o.copy(), o.copy(), o)
        box = Box(o, o, o, o)
        pie = Sector(o, o, o, o, o, o)
        for a in (point, box, pie):
            for b in (point, box, pie):
                assert np.all(gap(a, b) == 0.0)


@pytest.mark.parametrize("twist", [0.0, 0.3, 1.1, 2.0])
def test_links_side_by_side_keep_their_spacing(twist: float) -> None:
    """Two equal parallel links of 20 mm, 7 mm apart, radii 3 and 2: 2 mm of air."""
    c, s = math.cos(twist), math.sin(twist)
    a = Stadium(*map(arr, (0.0, 0.0, 20 * c, 20 * s, 3.0)))
    b = Stadium(*map(arr, (-7 * s, 7 * c, 20 * c - 7 * s, 20 * s + 7 * c, 2.0)))
    assert float(gap(a, b)) == pytest.approx(2.0, abs=1e-12)
