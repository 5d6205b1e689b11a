"""First stage `chain_winder`: free bodies worked by hand, counts by hand, relations that hold exactly."""

import math
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.drives.values import random_vectors
from explorer.scoring.score import score
from tests.drives.wound import Built, built, counts, frictionless, space, vector
from tests.factories import make_brief

P, C = 3.75, 5.0  # pitch and connector of the fine chain


@pytest.fixture(scope="module")
def plain() -> Built:
    s = space()
    return built(s, vector(s))


@pytest.fixture(scope="module")
def smooth() -> Built:
    s = space(brief=frictionless(make_brief()))
    return built(s, vector(s))


def test_the_layout_from_the_fingers_back(plain: Built) -> None:
    # finger pins at y = -4; free chain (20 - 15/2) 3.75/2 = 23.4375, connector 5
    d = plain.drive
    y_carrier = -4.0 - (23.4375 + C)
    # outer radius: p (0.6 + cot(12 deg))/2 against p/(2 sin 12 deg) + 3.4/2; end eye 6 wide; clearance 0.5
    outer = max(P * (0.6 + 1 / math.tan(math.pi / 15)) / 2, P / (2 * math.sin(math.pi / 15)) + 1.7)
    carrier_fork = outer + 0.5 + 3.0
    L_in = (24 - 9) * P / 2 + C + carrier_fork
    outer1 = max(P * (0.6 + 1 / math.tan(math.pi / 18)) / 2, P / (2 * math.sin(math.pi / 18)) + 1.7)
    L_exit = 8 * P + C + outer1 + 0.5 + 3.0
    assert d.carriers[0].y[0, 0] == pytest.approx(y_carrier, abs=1e-12)
    assert d.carriers[1].L_in[0, 0] == pytest.approx(L_in, abs=1e-12)
    assert d.y_first[0, 0] == pytest.approx(y_carrier - L_in, abs=1e-12)
    assert d.y_ratio[0, 0] == pytest.approx(y_carrier - L_in - L_exit, abs=1e-12)


def test_arms_stack_and_exit(plain: Built) -> None:
    r = plain.drive.ratio
    a1, a2 = 5.0 * 19 / (2 * math.pi), P * 13 / (2 * math.pi)
    assert r.a1[0, 0] == pytest.approx(a1)
    assert r.a2[0, 0] == pytest.approx(a2)
    assert r.exits[0][0, 0] == pytest.approx(-7.0 + a2)
    # cheek 2, washer 0.3, output track 5.2 + 0.6, input track 7.4 + 0.6: between the cheeks' middles
    assert r.at_out[0][0, 0] == pytest.approx(1.0 + 0.3 + 2.9)
    assert r.at_in[0, 0] == pytest.approx(1.0 + 0.3 + 5.8 + 4.0)
    assert r.span[0, 0] == pytest.approx(2.0 + 0.6 + 5.8 + 8.0)
    low1 = 5.0 / (2 * math.tan(math.pi / 19))
    high2 = P / (2 * math.sin(math.pi / 13))
    assert r.ripple_by[0, 0] == pytest.approx((low1 / a1) / (high2 / a2))


@pytest.mark.parametrize("shaft_x", [-7.0, 6.0])  # hardly any lean, and a good deal of it
def test_both_bushes_and_the_shaft_by_hand(shaft_x: float) -> None:
    s = space()
    plain = built(s, vector(s, shaft_x_mm=shaft_x))
    m, q = plain.motion, plain.pulls
    p = int(np.argmax(q.F_out[0]))
    out, into = float(q.F_out[0, p]), float(q.F_in[0, p])
    tan = math.tan(math.asin(float(m.exit_sine[0][0, p])))
    span, zo, zi = 16.4, 4.2, 11.1
    # moments about the far bush; both pulls act toward the fingers, as the motion reverses
    near = (out * tan * (span - zo) / span, (out * (span - zo) + into * (span - zi)) / span)
    far = (out * tan * zo / span, (out * zo + into * zi) / span)
    for where, (rx, ry) in (("output", near), ("input", far)):
        joint = plain.joint("pins", f"winder bush at the {where} track")
        assert joint.load[0, p] == pytest.approx(2 * math.hypot(rx, ry))
    at_out = plain.joint("shafts", "shaft at the output track")
    at_in = plain.joint("shafts", "shaft at the input track")
    assert at_out.moment[0, p] == pytest.approx(math.hypot(*near) * zo)
    assert at_in.moment[0, p] == pytest.approx(math.hypot(*far) * (span - zi))
    # no friction between the strength pulls: input moment = output strand's moment about the shaft
    strand = out * math.hypot(1.0, tan)
    for joint in (at_out, at_in):
        assert joint.torque[0, p] == pytest.approx(into * 5.0 * 19 / (2 * math.pi))
        assert joint.torque[0, p] == pytest.approx(strand * P * 13 / (2 * math.pi))


def test_a_bush_record_says_what_one_cheek_bears(plain: Built) -> None:
    j = plain.joint("pins", "winder bush at the output track")
    R = j.load[0] / 2
    fork = j.load[0] / (2 * j.t_fork[0, 0] * j.d_fork[0, 0])  # as the strength check takes a fork
    np.testing.assert_allclose(fork, R / (2.0 * 4.0))
    np.testing.assert_allclose(
        j.load[0] / j.wear_t[0, 0], R / 2.0
    )  # wear of R on one cheek of 2 mm
    np.testing.assert_allclose(j.load[0] / 2 / (math.pi * 4.0), R / (math.pi * 4.0))


def test_each_strand_end_carries_its_own_side(plain: Built) -> None:
    m, F = plain.motion.first, plain.pulls.F_out
    skew = (0.18 * 2.5 + 0.15 * 1.3) / (2 * P * 18 / math.pi)
    for end, share, cos in (("a", m.share_a, m.leans.cos_a), ("b", 1 - m.share_a, m.leans.cos_b)):
        eye = plain.joint("eyes", f"carrier strand end {end}")
        np.testing.assert_allclose(eye.load, F * (share + skew) / cos)
        assert (eye.w[0, 0], eye.d[0, 0], eye.edge[0, 0], eye.t[0, 0]) == (6.0, 1.3, 3.0, 1.5)


def test_fork_eyes_count_both_plates(plain: Built) -> None:
    for where in ("axle", "pin"):
        eye = plain.joint("eyes", f"first stage fork at {where}")
        # two plates of 2 mm round 2.5 mm pins; 1.5 plate thicknesses to the edge ask for 6 mm
        assert (eye.w[0, 0], eye.d[0, 0], eye.edge[0, 0], eye.t[0, 0]) == (6.0, 2.5, 3.0, 4.0)


def test_bushes_turn_with_the_winder_and_axles_with_the_wheel(plain: Built) -> None:
    m, a2 = plain.motion, P * 13 / (2 * math.pi)
    bush = plain.joint("pins", "winder bush at the input track")
    np.testing.assert_allclose(bush.swing, m.Y / a2)
    assert bush.swing.max() > 0.5
    turn = np.abs(m.carrier_y[0] - m.carrier_y[1]) / (P * 18 / math.pi)
    np.testing.assert_allclose(plain.joint("pins", "first stage axle").swing, turn)
    bend = np.minimum(m.Y / a2, 2 * math.pi / 13)
    np.testing.assert_allclose(plain.joint("chains", "output chain").swing, bend)


def test_tracks_are_stacked_face_to_face(plain: Built) -> None:
    pieces = {p.key: p for p in plain.space.pieces(plain.drive, plain.motion)}
    out, into = pieces["winder output track"], pieces["winder input track"]
    z = 15.0  # of the finger pins; both sides have the same room: the input lies toward the back
    assert (out.z0[0, 0], out.z1[0, 0]) == pytest.approx((z - 2.9, z + 2.9))
    assert (into.z0[0, 0], into.z1[0, 0]) == pytest.approx((z + 2.9, z + 10.9))
    near, far = pieces["cheek at the output track"], pieces["cheek at the input track"]
    assert (near.z0[0, 0], near.z1[0, 0]) == pytest.approx((z - 5.2, z - 3.2))
    assert (far.z0[0, 0], far.z1[0, 0]) == pytest.approx((z + 11.2, z + 13.2))
    shaft, chain = pieces["winder shaft"], pieces["input chain"]
    assert shaft.z0[0, 0] < near.z0[0, 0]
    assert shaft.z1[0, 0] > far.z1[0, 0]
    # reversing: the input chain runs toward the fingers on the other side of the shaft, and moves by X
    a1 = 5.0 * 19 / (2 * math.pi)
    assert chain.shape.px[0, 0] == pytest.approx(-7.0 - a1)
    np.testing.assert_allclose(chain.shape.qy - chain.shape.py, 5.0 + 6.0 + plain.motion.X)
    assert (chain.z0[0, 0] + chain.z1[0, 0]) / 2 == pytest.approx(z + 6.9)


def test_strand_ends_point_at_their_own_side_of_the_wheel(plain: Built) -> None:
    pieces = {p.key: p.shape for p in plain.space.pieces(plain.drive, plain.motion)}
    wheel, R = pieces["first stage wheel"], P * 18 / (2 * math.pi)
    for end, side in (("a", -1.0), ("b", 1.0)):
        e, fork = pieces[f"carrier strand end {end}"], pieces[f"carrier {end} fork"]
        np.testing.assert_allclose((e.px, e.py), (fork.qx, fork.qy))
        np.testing.assert_allclose(np.hypot(e.qx - e.px, e.qy - e.py), C)
        ux, uy = wheel.cx + side * R - e.px, wheel.cy - e.py
        np.testing.assert_allclose(ux * (e.qy - e.py) - uy * (e.qx - e.px), 0.0, atol=1e-9)
        assert (ux * (e.qx - e.px) + uy * (e.qy - e.py) > 0.0).all()


def test_chains_and_drive_pins(plain: Built) -> None:
    q, m = plain.pulls, plain.motion
    cos = np.sqrt(1 - m.exit_sine[0] ** 2)
    np.testing.assert_allclose(plain.joint("chains", "input chain").load, q.F_in)
    np.testing.assert_allclose(plain.joint("chains", "output chain").load, q.F_out / cos)
    circle = plain.joint("circles", "winder drive pins")
    np.testing.assert_allclose(circle.torque, q.F_in * m.a1)
    assert (circle.n[0, 0], circle.r[0, 0], circle.clamped[0, 0]) == (3.0, 4.0, 1.0)
    # a seat of 1.5 diameters in each track: the moment is half of F (t1 + t2)/2
    assert circle.t1[0, 0] == circle.t2[0, 0] == pytest.approx(2.25)
    assert not plain.joint("bores", "winder body").torque.any()


def test_one_piece_has_no_drive_pins(plain: Built) -> None:
    s = plain.space
    one = built(s, vector(s, one_piece=1))
    assert not one.joint("circles", "winder drive pins").torque.any()
    bore = one.joint("bores", "winder body")
    np.testing.assert_array_equal(bore.torque, plain.joint("circles", "winder drive pins").torque)
    root = P / (2 * math.tan(math.pi / 13)) - 1.7  # the smaller track, inside the chain's plates
    assert bore.outside[0, 0] == pytest.approx(2 * root)


def test_first_wheel_is_in_balance(smooth: Built) -> None:
    m, q = smooth.motion.first, smooth.pulls
    assert m is not None
    axle = smooth.joint("pins", "first stage axle").load
    T = smooth.joint("chains", "first stage chain").load
    pull = axle * m.leans.cos_in
    np.testing.assert_allclose(pull, q.F_out)
    # equal strand forces, both along their leans
    np.testing.assert_allclose(T * m.leans.cos_a + T * m.leans.cos_b, pull)
    for end in "ab":
        np.testing.assert_allclose(smooth.joint("eyes", f"carrier strand end {end}").load, T)
    np.testing.assert_allclose(smooth.joint("pins", "first stage fork pin").load, axle)


def test_friction_only_raises_the_strand(plain: Built, smooth: Built) -> None:
    rough = plain.joint("chains", "first stage chain").load / np.maximum(plain.pulls.F_out, 1e-9)
    even = smooth.joint("chains", "first stage chain").load / np.maximum(smooth.pulls.F_out, 1e-9)
    assert (rough >= even - 1e-12).all()
    skew = (0.18 * 2.5 + 0.15 * 1.3) / (2 * P * 18 / math.pi)
    loaded = plain.pulls.F_out[0] > 0.0
    assert loaded.any()
    least = smooth.motion.first.leans.cos_in[0] * 0 + skew
    assert ((rough - even)[0][loaded] >= least[loaded] - 1e-12).all()


def test_gaps_across_the_chain_are_explicit(plain: Built) -> None:
    axle, pin = plain.joint("pins", "first stage axle"), plain.joint("pins", "first stage fork pin")
    # 5.2 overall + 2 x 0.3 inside the fork; teeth 0.93 x 1.8; one end plate of 1.5
    assert axle.gap[0, 0] == pytest.approx((5.8 - 1.674) / 2)
    assert axle.t_mid[0, 0] == pytest.approx(1.674)
    assert pin.gap[0, 0] == pytest.approx((5.8 - 1.5) / 2)
    single = built(plain.space, vector(plain.space, doubled=0))
    pin = single.joint("pins", "first stage fork pin")
    assert pin.t_mid[0, 0] == pytest.approx(3.0)
    assert pin.gap[0, 0] == pytest.approx((5.8 - 3.0) / 2)


def test_everything_has_the_shape_of_its_kind(plain: Built) -> None:
    positions = len(plain.space.shelf.demand.positions)
    for kind in fields(plain.loads):
        for j in getattr(plain.loads, kind.name):
            for f in fields(j):
                value = getattr(j, f.name)
                if f.name in {"load", "moment", "torque", "swing"}:
                    assert value.shape == (1, positions), (j.key, f.name)
                elif isinstance(value, np.ndarray):
                    assert value.shape == (1, 1), (j.key, f.name)


def test_strand_wrap_and_web_limits_by_hand(plain: Built) -> None:
    s, m = plain.space, plain.motion
    must = np.array([p.must for p in s.shelf.demand.positions])
    first = s.first.limits(s.shelf, plain.drive, m)
    turn = math.degrees(float(m.theta[0][must].max()))
    standing = math.degrees(2 * 2 * math.pi / 13)  # two links on the smaller wheel
    (wrap,) = [x.slack[0] for x in first if x.id == "wrap"]
    assert wrap == pytest.approx(300.0 - turn - standing)
    strands = sorted(x.slack[0] for x in first if x.id == "strand")

    def among_teeth(z: int) -> float:
        return math.sqrt(
            (P * (0.6 + 1 / math.tan(math.pi / z)) / 2) ** 2 - (P * z / 2 / math.pi) ** 2
        )

    apart = np.abs(m.carrier_y[0] - m.carrier_y[1])[0][must].max()
    hand = sorted(
        (
            8 * P - among_teeth(13) - m.Y[0][must].max(),
            (24 - 9) * P / 2 - among_teeth(18) - apart / 2,
        )
    )
    assert strands == pytest.approx(hand)
    root = P / (2 * math.tan(math.pi / 13)) - 1.7
    pins = min(root - 4.0 - 0.75, 4.0 - 0.75 - 2.0, 2 * 4.0 * math.sin(math.pi / 3) - 1.5)
    webs = [x.slack[0] for x in first if x.id == "web"]
    assert min(webs) == pytest.approx(min(pins, root - 2.0) - 1.0)


def test_two_links_more_give_one_pitch_more_room(plain: Built) -> None:
    s = plain.space

    def room(links: int) -> float:
        X = vector(s, carrier_strand_links=links, exit_links=14)
        d = s.build(X)
        return min(x.slack[0] for x in s.first.limits(s.shelf, d, s.move(d)) if x.id == "strand")

    assert room(22) - room(20) == pytest.approx(P)


def test_one_piece_winders_must_clear_the_first_wheel(plain: Built) -> None:
    s = plain.space

    def clearance(one: int, links: int) -> float:
        d = s.build(vector(s, one_piece=one, exit_links=links))
        (x,) = [x for x in s.first.limits(s.shelf, d, s.move(d)) if x.id == "clearance"]
        return float(x.slack[0])

    assert clearance(0, 2) > 100.0  # joined tracks are pieces and are checked as pairs
    assert clearance(1, 2) < clearance(1, 8) < clearance(1, 14)


def test_parts_by_hand() -> None:
    s = space()
    # doubled, bare: two cheeks; two tracks and three wheels; axle + fork pin of three wheels, three drive
    # pins; two washers; input, output, first and two carriers' chains; ends 1 + 2 + 4
    assert counts(s, vector(s)) == {
        "wheel": 5,
        "pin": 9,
        "shaft": 1,
        "ring": 14,
        "washer": 2,
        "bracket": 2,
        "chain": 5,
        "plate": 6,
        "spacer": 6,
        "end piece": 7,
    }
    # one piece, single, bushed: no tracks and drive pins; twice the end pieces; bushes in two cheeks, three
    # wheels, and both end plates at three forks
    assert counts(s, vector(s, one_piece=1, doubled=0, bushed=1)) == {
        "drum": 1,
        "wheel": 3,
        "pin": 6,
        "shaft": 1,
        "ring": 14,
        "washer": 2,
        "bracket": 2,
        "chain": 5,
        "plate": 6,
        "spacer": 6,
        "end piece": 14,
        "bush": 11,
    }


def test_two_fingers_have_no_first_wheel() -> None:
    s = space(2)
    assert not {v.key for v in s.variables} & {
        "first_wheel_teeth",
        "carrier_strand_links",
        "fork_pin",
    }
    b = built(s, vector(s))
    assert b.drive.first is None
    assert b.drive.carriers[0].L_in[0, 0] == b.drive.L_exit[0, 0]
    cos = b.motion.second[0].leans.cos_in
    np.testing.assert_allclose(b.joint("pins", "carrier a axle").load, b.pulls.F_out / cos)
    np.testing.assert_allclose(b.joint("chains", "output chain").load, b.pulls.F_out / cos)
    assert counts(s, vector(s)) == {
        "wheel": 3,
        "pin": 5,
        "shaft": 1,
        "ring": 6,
        "washer": 2,
        "bracket": 2,
        "chain": 3,
        "plate": 2,
        "spacer": 2,
        "end piece": 3,
    }


@pytest.mark.parametrize("single", ["index side", "little side"])
def test_three_fingers_one_alone(single: str) -> None:
    s = space(3, single=single)
    b = built(s, vector(s))
    alone = 0 if single == "index side" else 1
    assert b.drive.carriers[alone].body is None
    # the lone finger's strand reaches from the first wheel to its pin
    assert b.drive.carriers[alone].L_in[0, 0] == pytest.approx(-4.0 - b.drive.y_first[0, 0])
    assert sum(j.key == "first stage chain" for j in b.loads.chains) == 1
    assert counts(s, vector(s))["wheel"] == 4


def test_bought_play_counts_at_the_input(plain: Built) -> None:
    s = plain.space
    play = {
        p.key: float(p.at_input[0, 0]) for p in s.first.play(s.shelf, plain.drive, plain.motion)
    }
    step = float(plain.drive.ratio.a1[0, 0] / plain.drive.ratio.a2[0, 0])
    # 4 mm shaft h6 (0..-8 um) in F8 (+10..+28): 23 um at the middle; it moves both strands
    assert play["shaft"] == pytest.approx(0.023 * (1 + step))
    # 2.5 mm pin m6 (+2..+8) in F8 (+6..+20): 8 um
    assert play["first stage axle"] == pytest.approx(0.008 * step)


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**31), st.sampled_from([2, 3, 4]), st.sampled_from(["chain", "bar"]))
def test_any_vector_gives_numbers(seed: int, fingers: int, second: str) -> None:
    s = space(fingers, second)
    X = random_vectors(s, 9, np.random.default_rng(seed))
    with np.errstate(all="raise", under="ignore"):
        found = score(s, X)
    for name, values in (*found.aims.items(), *found.slacks.items()):
        assert np.isfinite(values).all() or name == "weeks", name
