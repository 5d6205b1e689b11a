"""Second stage `chain`: a floating wheel by hand, and the set of wheel and fork that it shares."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives import chain, wheel_loads, wheels
from explorer.drives.values import random_vectors
from tests.drives.wound import Built, built, frictionless, space, vector
from tests.factories import make_brief, make_finger, make_stock

P, C, Z, LINKS = 3.75, 5.0, 15, 20  # fine chain, its connector, teeth and links of the plain drive


@pytest.fixture(scope="module")
def plain() -> Built:
    s = space()
    return built(s, vector(s))


def test_the_wheel_hangs_below_the_finger_nearest_the_wrist() -> None:
    brief = make_brief()
    brief = replace(brief, fingers=(make_finger("index", -30.0, pin_y=-7.0), *brief.fingers[1:]))
    s = space(brief=brief)
    d = s.build(vector(s))
    free = (LINKS - Z / 2) * P / 2
    a, b = d.carriers
    assert a.y[0, 0] == pytest.approx(-7.0 - free - C)
    assert [q[0, 0] for q in a.L_out] == pytest.approx([free + C, free + C + 3.0])
    assert b.y[0, 0] == pytest.approx(-4.0 - free - C)
    assert a.body.D[0, 0] == pytest.approx(P * Z / math.pi)
    assert a.body.d_axle[0, 0] == 2.5
    assert (a.body.mu_j[0, 0], a.body.mu_c[0, 0], a.body.d_chain[0, 0]) == (0.18, 0.15, 1.3)
    # the strand of the other carrier reaches further, by the step
    assert b.L_in[0, 0] - a.L_in[0, 0] == pytest.approx(3.0)


def test_a_carrier_is_in_balance_without_friction() -> None:
    s = space(brief=frictionless(make_brief()))
    b = built(s, vector(s))
    for k, (i, j) in enumerate(((0, 1), (2, 3))):
        m, name = b.motion.second[k], f"carrier {'ab'[k]}"
        T = b.joint("chains", f"{name} chain").load
        for f in (i, j):
            np.testing.assert_allclose(b.joint("eyes", f"finger end {f}").load, T)
        along = T * m.leans.cos_a + T * m.leans.cos_b
        axle = b.joint("pins", f"{name} axle").load
        np.testing.assert_allclose(axle * m.leans.cos_in, along)
        np.testing.assert_allclose(along, b.pulls.carrier[k])
        for kind, key in (("pins", "fork pin"), ("eyes", "fork at axle"), ("eyes", "held end")):
            np.testing.assert_allclose(b.joint(kind, f"{name} {key}").load, axle)


def test_friction_loads_the_larger_strand(plain: Built) -> None:
    m = plain.motion.second[0]
    F = plain.pulls.carrier[0]
    skew = (0.18 * 2.5 + 0.15 * 1.3) / (2 * P * Z / math.pi)
    hand = np.maximum(
        F * (m.share_a + skew) / m.leans.cos_a, F * (m.share_b + skew) / m.leans.cos_b
    )
    np.testing.assert_allclose(plain.joint("chains", "carrier a chain").load, hand)


def test_an_odd_count_needs_the_offset_link(plain: Built) -> None:
    s = plain.space
    odd = built(s, vector(s, wheel_strand_links=21))
    assert plain.joint("chains", "carrier a chain").tensile[0, 0] == 1200.0
    assert odd.joint("chains", "carrier a chain").tensile[0, 0] == 960.0  # 0.8 of it
    stock = make_stock()
    none = replace(stock, chains=tuple(replace(c, offset_factor=0.0) for c in stock.chains))
    t = space(stock=none)
    slack = {}
    for links in (20, 21):
        d = t.build(vector(t, wheel_strand_links=links))
        (x,) = [q for q in t.second.limits(t.shelf, d, t.move(d), 0) if q.id == "parity"]
        slack[links] = x.slack[0]
    assert slack[20] > 0.0 > slack[21]


def test_the_connector_stays_off_the_teeth(plain: Built) -> None:
    s, m = plain.space, plain.motion.second[0]
    must = np.array([p.must for p in s.shelf.demand.positions])
    tip, R = P * (0.6 + 1 / math.tan(math.pi / Z)) / 2, P * Z / (2 * math.pi)
    apart = np.abs(m.s_a - m.s_b)[0][must].max()
    (x,) = [q for q in s.second.limits(s.shelf, plain.drive, plain.motion, 0) if q.id == "strand"]
    free = (LINKS - Z / 2) * P / 2
    assert x.slack[0] == pytest.approx(free - apart / 2 - math.sqrt(tip * tip - R * R))


def test_neighbours_travel_as_far_as_the_strand_lets_them(plain: Built) -> None:
    s = plain.space
    tip, R = P * (0.6 + 1 / math.tan(math.pi / Z)) / 2, P * Z / (2 * math.pi)
    free = (12 - Z / 2) * P / 2
    short = s.build(vector(s, wheel_strand_links=12))
    hand = 2 * (free - math.sqrt(tip * tip - R * R) - 0.01 * (free + C))
    assert chain.neighbour_travel(s.shelf, short, 0)[0, 0] == pytest.approx(hand)
    full = max(s.shelf.demand.full_draw[:2])
    assert chain.neighbour_travel(s.shelf, plain.drive, 0)[0, 0] == pytest.approx(full)
    least = s.build(vector(s, wheel_strand_links=10, wheel_teeth=20))
    assert chain.neighbour_travel(s.shelf, least, 0)[0, 0] == 0.0


def test_the_fork_lies_in_line_behind_the_axle(plain: Built) -> None:
    s = plain.space
    pieces = {p.key: p for p in s.pieces(plain.drive, plain.motion)}
    fork, wheel = pieces["carrier a fork"].shape, pieces["carrier a wheel"].shape
    m, c = plain.motion.second[0], plain.drive.carriers[0]
    np.testing.assert_allclose(wheel.cx, m.x)
    np.testing.assert_allclose(wheel.cy, c.y - m.y)
    length = np.hypot(fork.qx - fork.px, fork.qy - fork.py)
    np.testing.assert_allclose(
        length, wheels.carrier_fork(s.shelf, plain.drive.columns) + 0 * length
    )
    np.testing.assert_allclose((fork.px - fork.qx) / length, m.sine_in, atol=1e-12)
    assert (fork.qy < fork.py).all()
    # the end piece inside the fork clears the chain on the wheel
    f = wheels.carrier_wheel(s.shelf, plain.drive.columns)
    assert f is not None
    assert f.length[0, 0] - f.end_w[0, 0] / 2 - f.outer[0, 0] == pytest.approx(0.5)


def test_finger_ends_hang_between_their_pin_and_their_side_of_the_wheel(plain: Built) -> None:
    s, d = plain.space, plain.space.shelf.demand
    pieces = {p.key: p.shape for p in s.pieces(plain.drive, plain.motion)}
    R = P * Z / (2 * math.pi)
    for f, side in enumerate((-1.0, 1.0, -1.0, 1.0)):
        e, wheel = pieces[f"finger end {f}"], pieces[f"carrier {'ab'[f // 2]} wheel"]
        np.testing.assert_allclose(e.px[0], d.pin_x[f])
        np.testing.assert_allclose(e.py[0], d.pin_y[f] - d.draw[:, f])
        np.testing.assert_allclose(np.hypot(e.qx - e.px, e.qy - e.py), C)
        ux, uy = wheel.cx + side * R - e.px, wheel.cy - e.py
        np.testing.assert_allclose(ux * (e.qy - e.py) - uy * (e.qx - e.px), 0.0, atol=1e-9)
        assert (e.qy < e.py).all()


def test_a_sector_keeps_what_the_chain_needs(plain: Built) -> None:
    s = plain.space
    d = s.build(vector(s, wheel_sector=1))
    m = s.move(d)
    pieces = {p.key: p for p in s.pieces(d, m)}
    sector = pieces["carrier a wheel"]
    must = np.array([p.must for p in s.shelf.demand.positions])
    turn = m.second[0].tilt[0]
    half, direction = sector.shape.half_angle[0, 0], sector.shape.direction[0]
    # both tangent points (index side at pi, little side at 0) lie on the kept part in every position
    for tangent in (-np.pi, 0.0):
        off = np.abs((tangent - direction + np.pi) % (2 * np.pi) - np.pi)
        assert (off[must] <= half + 1e-12).all()
    assert half == pytest.approx(np.pi / 2 + np.abs(turn[must]).max() + 2 * np.pi / Z)
    # where the index finger is drawn further its strand is shorter: that rim turns toward the wrist
    np.testing.assert_allclose(
        direction, -np.pi / 2 + (m.second[0].s_a - m.second[0].s_b)[0] * np.pi / (P * Z)
    )
    whole = {p.key: p for p in s.pieces(plain.drive, plain.motion)}["carrier a wheel"]
    assert sector.mass[0, 0] < whole.mass[0, 0]
    assert (sector.minutes[0, 0], whole.minutes[0, 0]) == (22.0, 14.0)


def test_a_chain_joint_bends_with_the_wheel_at_most_by_a_tooth(plain: Built) -> None:
    f = wheels.carrier_wheel(plain.space.shelf, plain.drive.columns)
    assert f is not None
    turn = np.array([[0.0, -0.1, 0.3, -3.0]])
    np.testing.assert_allclose(wheel_loads.bent(f, turn)[0], [0.0, 0.1, 0.3, 2 * np.pi / Z])


@given(st.integers(0, 2**31))
def test_wider_sizes_never_tighten_the_fork(seed: int) -> None:
    s = space()
    d = s.build(random_vectors(s, 20, np.random.default_rng(seed)))
    f = wheels.carrier_wheel(s.shelf, d.columns)
    assert f is not None
    shop = s.shelf.brief.shop
    assert (f.fork_w - np.maximum(f.d_axle, f.d_pin) >= 2 * shop.min_web - 1e-12).all()
    assert (f.fork_w / 2 >= shop.edge_over_thickness * f.t - 1e-12).all()
    assert (f.length > f.outer).all()
    assert (f.hole >= f.d_axle).all()
    assert (f.pin_hole >= f.d_pin).all()


def test_play_of_one_carrier_counts_half_at_the_first_wheel(plain: Built) -> None:
    s = plain.space
    play = {
        p.key: float(p.at_input[0, 0]) for p in s.second.play(s.shelf, plain.drive, plain.motion, 1)
    }
    step = float(plain.drive.ratio.a1[0, 0] / plain.drive.ratio.a2[0, 0])
    assert play["carrier b axle"] == pytest.approx(0.008 * step / 2)  # m6 in F8 at 2.5 mm
    assert play["carrier b chain ends"] == pytest.approx(0.02 * step / 2)
