"""The first stage of linked levers: joint loads by free bodies, pieces by hand count, relations."""

from dataclasses import replace
from math import atan2, cos, degrees, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.assemble import plays
from explorer.drives.motion import worst_overshoot
from explorer.drives.pulls import Pulls
from tests.drives.lever_drives import (
    Worked,
    make_space,
    random_vectors,
    smooth,
    vector,
    work,
)

seeds = st.integers(0, 2**32 - 1)


def _cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return (np.conj(a) * b).imag


def _along(start: np.ndarray, end: np.ndarray, length: float) -> np.ndarray:
    """Pull of 1 N along y in a link of known length, as a vector toward `end` (P,)."""
    sine = (end - start).real / length
    return sine / np.sqrt(1.0 - sine * sine) + 1j


def test_a_reversing_rocker_by_hand() -> None:
    """Two fingers drawn alike below their bar: every joint of the rocker from statics on paper."""
    space = make_space(2)
    demand = replace(space.shelf.demand, draw=np.full_like(space.shelf.demand.draw, 6.0))
    object.__setattr__(space.shelf, "demand", demand)
    drive = space.build(vector(space))
    motion = space.move(drive)
    one = np.ones_like(motion.Y)
    pulls = Pulls(280.0 * motion.step, 280.0 * one, (280.0 * one,), (140.0 * one, 140.0 * one))
    w = Worked(space, drive, motion, pulls, space.loads(drive, motion, pulls))
    # out pin 13 sin(38) above the pivot at rest, drawn in by 6
    theta = -np.arcsin((13.0 * sin(radians(38.0)) - 6.0) / 13.0)
    x_out = -10.0 + 13.0 * cos(theta)
    # the bar hangs between three links of 20 mm: one to the rocker, two halves of the pull to x -10 and 10
    x_bar = (x_out / 20.0 + 0.5 * (-10.0 + 10.0) / 20.0 + 0.5 * (10.0 - 10.0) / 20.0) / (2.0 / 20.0)
    lean = np.arcsin((x_bar - x_out) / 20.0)
    exit_force = 280.0 / cos(lean)
    arm_out = 13.0 * cos(theta) + 13.0 * sin(theta) * tan(lean)
    F_in = 280.0 * arm_out / (21.0 * cos(theta))
    pivot = hypot(280.0 + F_in, 280.0 * tan(lean))
    expected = {
        "rocker pivot pin": pivot,
        "rocker pivot eye": pivot,
        "frame cheeks eye": pivot,
        "rocker in pin": F_in,
        "rocker in eye": F_in,
        "rocker out pin": exit_force,
        "rocker out eye": exit_force,
        "exit link wrist end eye": exit_force,
        "carrier a centre pin": exit_force,
        "carrier a holding eye": exit_force,
    }
    for key, force in expected.items():
        np.testing.assert_allclose(w.force(key), force, rtol=1e-12, err_msg=key)
    np.testing.assert_allclose(w.moment("rocker bending"), 280.0 * arm_out, rtol=1e-12)
    strut = w.loads.struts[0]
    np.testing.assert_allclose(strut.load, F_in, rtol=1e-12)
    assert (strut.length.item(), strut.d.item()) == (80.0, 4.0)


@pytest.mark.parametrize("reverses", [True, False])
@pytest.mark.parametrize("strut", ["strut", "led from finger side"])
@pytest.mark.parametrize("length", [80.0, 45.0])
def test_the_rocker_is_in_balance(reverses: bool, strut: str, length: float) -> None:
    """Moments about the pivot from pin places and directions alone; the pivot takes the rest."""
    w = smooth(reverses=reverses, input_strut=strut, input_length=length, input_far_x=-20.0)
    pivot, out = w.ends("rocker plate")
    _, into = w.ends("rocker plate arm")
    start, end = w.ends("exit link plate")
    np.testing.assert_allclose(start, out, atol=1e-12)
    F_out = w.pulls.F_out[0] * _along(start, end, 20.0)
    sine = (-20.0 - into.real) / length if length < 60.0 else 0.0 * into.real
    pushed = reverses and strut == "strut"
    toward = sine / np.sqrt(1.0 - sine * sine) + (1j if reverses and not pushed else -1j)
    F_in = w.pulls.F_in[0] * (-toward if pushed else toward)
    moment = _cross(out - pivot, F_out) + _cross(into - pivot, F_in)
    np.testing.assert_allclose(moment, 0.0, atol=1e-9)
    np.testing.assert_allclose(w.force("rocker pivot pin")[0], np.abs(F_in + F_out), rtol=1e-12)
    np.testing.assert_allclose(w.force("rocker in pin")[0], np.abs(F_in), rtol=1e-12)
    np.testing.assert_allclose(w.force("rocker out pin")[0], np.abs(F_out), rtol=1e-12)
    # straight with r1 > r2: the out pin is the inner one
    bending = _cross(out - pivot, F_out) if reverses else _cross(into - out, F_in)
    np.testing.assert_allclose(w.moment("rocker bending")[0], np.abs(bending), rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("arms", [(26.0, 13.0), (12.0, 24.0)])
def test_a_straight_rocker_bends_at_its_inner_pin(arms: tuple[float, float]) -> None:
    """Outer force times the difference of the arms; pivot the difference of the forces (statics)."""
    space = make_space(reverses=False)
    X = vector(space, input_arm_mm=arms[0], output_arm_mm=arms[1])
    w = work(space, X, skeleton=True)
    F_in, F_out, c = w.pulls.F_in, w.pulls.F_out, np.cos(w.motion.theta)
    outer = F_in if arms[0] > arms[1] else F_out
    np.testing.assert_allclose(
        w.moment("rocker bending"), outer * abs(arms[0] - arms[1]) * c, rtol=1e-9
    )
    np.testing.assert_allclose(w.force("rocker pivot pin"), np.abs(F_out - F_in), rtol=1e-12)
    hole = next(f.d for f in w.loads.flexures if f.key == "rocker bending")
    assert hole.item() == 3.0
    assert not w.loads.struts


def test_the_lever_is_in_balance() -> None:
    """Without friction the carrier links' pulls balance about the centre pin and sum to the pull."""
    w = smooth()
    centre, a = w.ends("first lever plate")
    _, b = w.ends("first lever plate arm")
    pulls = [w.pulls.F_out[0] * s[0] for s in (w.motion.first.share_a, w.motion.first.share_b)]
    np.testing.assert_allclose(sum(pulls), w.pulls.F_out[0], rtol=1e-12)
    moments = []
    for side, pin, pull in zip("ab", (a, b), pulls, strict=True):
        start, end = w.ends(f"carrier link {side} plate")
        np.testing.assert_allclose(start, pin, atol=1e-12)
        force = pull * _along(start, end, 18.0)
        np.testing.assert_allclose(
            w.force(f"first lever end {side} pin")[0], np.abs(force), rtol=1e-12
        )
        np.testing.assert_allclose(
            w.force(f"carrier link {side} wrist end eye")[0], np.abs(force), rtol=1e-12
        )
        moments.append(_cross(pin - centre, force))
    np.testing.assert_allclose(moments[0] + moments[1], 0.0, atol=1e-9)
    np.testing.assert_allclose(w.moment("first lever bending")[0], np.abs(moments[0]), rtol=1e-9)
    np.testing.assert_array_equal(w.force("first lever centre pin"), w.force("rocker out pin"))


def test_friction_loads_the_high_side() -> None:
    """Shares are raised by the skew on both sides, so the lever's moments exceed the level ones."""
    space = make_space()
    w = work(space, vector(space), skeleton=True)
    P, skew = w.pulls.F_out, w.motion.first.skew
    assert np.all(skew > 0.01)
    high = P * (0.5 + skew) * np.cos(w.motion.first.tilt)
    np.testing.assert_allclose(w.moment("first lever bending"), 14.0 * high, rtol=1e-9)


def test_laid_out_from_the_carriers_back() -> None:
    """Lever level one carrier link behind the nearer carrier; pivot below the out pin by the rest angle."""
    space = make_space()
    drive = space.build(vector(space, lever_offset_mm=2.0))
    assert [c.y.item() for c in drive.carriers] == [-24.0, -24.0]
    assert drive.y_first.item() == -44.0
    assert drive.y_ratio.item() == pytest.approx(-64.0 - 13.0 * sin(radians(38.0)), abs=1e-12)


def test_unequal_carriers_get_unequal_links() -> None:
    """Three fingers: the lone finger's pin lies 20 mm further from the wrist than the bar's centre."""
    space = make_space(3)
    drive = space.build(vector(space))
    assert [c.y.item() for c in drive.carriers] == [-4.0, -24.0]
    assert [c.L_in.item() for c in drive.carriers] == [38.0, 18.0]


def test_double_bushed_joints() -> None:
    """Doubled and bushed: the link turns on a bush between two plates; the pivot carries two."""
    space = make_space()
    w = work(space, vector(space, doubled="doubled", bushed="bushed"))
    joints = {j.key: j for j in w.loads.pins}
    out, pivot = joints["rocker out pin"], joints["rocker pivot pin"]
    assert (out.t_fork.item(), out.t_mid.item(), out.d_mid.item(), out.d_fork.item()) == (
        2.0,
        1.5,
        4.3,
        3.0,
    )
    assert (pivot.t_fork.item(), pivot.t_mid.item(), pivot.d_mid.item()) == (2.0, 4.0, 5.4)
    bare = {j.key: j for j in work(space, vector(space)).loads.pins}["rocker out pin"]
    assert (bare.t_fork.item(), bare.t_mid.item(), bare.d_mid.item()) == (1.5, 2.0, 3.0)


def test_swings_by_hand() -> None:
    """The pivot turns by the rocker; in- and out-of-line joints by the angle between their parts."""
    w = smooth()
    theta = w.motion.theta[0]
    joints = {j.key: j for j in w.loads.pins}
    np.testing.assert_allclose(
        joints["rocker pivot pin"].swing[0], np.abs(theta - theta[0]), atol=1e-12
    )
    pairs = (
        ("rocker out pin", "rocker plate", "exit link plate"),
        ("first lever centre pin", "first lever plate", "exit link plate"),
        ("first lever end a pin", "first lever plate", "carrier link a plate"),
        ("first lever end b pin", "first lever plate arm", "carrier link b plate"),
    )
    lengths = {"exit link plate": 20.0, "carrier link a plate": 18.0, "carrier link b plate": 18.0}
    for joint, plate, link in pairs:
        p, q = w.ends(plate)
        start, end = w.ends(link)
        sine = (end - start).real / lengths[link]
        turn = np.angle((q - p) / (sine + 1j * np.sqrt(1.0 - sine * sine)))
        np.testing.assert_allclose(
            joints[joint].swing[0], np.abs(turn - turn[0]), atol=1e-9, err_msg=joint
        )


def test_limits_by_hand() -> None:
    """Transmission from the largest angle; tilt keeps two degrees; webs, edges, thickness from sizes."""
    space = make_space()
    drive = space.build(vector(space, dogleg_deg=-5.0))
    motion = space.move(drive)
    first = space.first.limits(space.shelf, drive, motion)
    slack = {limit.id: limit.slack.item() for limit in first}
    must = np.array([p.must for p in space.shelf.demand.positions])
    theta = np.degrees(motion.theta[0][must])
    worst = max(np.abs(theta).max(), np.abs(theta - 5.0).max())
    assert slack["transmission"] == pytest.approx(50.0 - worst, abs=1e-9)
    s = motion.first
    tilt = [degrees(np.arcsin((a - b) / 28.0)) for a, b in zip(s.s_a[0], s.s_b[0], strict=True)]
    assert slack["tilt"] == pytest.approx(33.0 - np.abs(np.array(tilt)[must]).max(), abs=1e-9)
    assert slack["web"] == pytest.approx((6.0 - 3.0) / 2.0 - 1.0)  # links
    assert slack["edge"] == pytest.approx(6.0 / 2.0 - 1.5 * 1.5)  # links
    assert slack["hole"] == pytest.approx(3.0 - 0.7 * 2.0)  # plates
    assert slack["thin"] == pytest.approx(2.0 - 34.0 / 25.0)  # rocker


def test_play_by_hand() -> None:
    """0.008 mm a joint (F8 on m6 to 3 mm, ISO 286), through arms 21/13 and half shares."""
    space = make_space()
    drive = space.build(vector(space, pivot_pin="pin 3"))
    play = {p.key: p.at_input.item() for p in plays(space, drive, space.move(drive))}
    up = 21.0 / 13.0
    assert play["rocker in pin"] == pytest.approx(0.008)
    assert play["rocker out pin"] == pytest.approx(0.008 * up)
    assert play["rocker pivot pin"] == pytest.approx(0.008 * (1.0 + up))
    assert play["first lever end a pin"] == pytest.approx(0.008 * up / 2.0, rel=1e-3)


@pytest.mark.parametrize("reverses", [True, False])
@pytest.mark.parametrize("second", ["bar", "chain"])
@pytest.mark.parametrize("fingers", [2, 3, 4])
@given(seed=seeds)
def test_finite_whatever_the_vector(reverses: bool, second: str, fingers: int, seed: int) -> None:
    space = make_space(fingers, second=second, reverses=reverses)
    w = work(space, random_vectors(space, 20, seed))
    first = space.first
    parts: list[np.ndarray] = [r.slack for r in first.limits(space.shelf, w.drive, w.motion)]
    parts += [r.at_input for r in first.play(space.shelf, w.drive, w.motion)]
    loads = first.loads(space.shelf, w.drive, w.motion, w.pulls)
    parts += [r.load for r in (*loads.pins, *loads.eyes, *loads.struts)]
    parts += [r.w - r.d for r in loads.eyes] + [r.moment for r in loads.flexures]
    for p in first.pieces(space.shelf, w.drive, w.motion):
        parts += [p.mass, p.minutes, p.shape.px + p.shape.qx, p.shape.py + p.shape.qy]
    assert all(np.all(np.isfinite(a)) for a in parts)
    assert all(np.all(r.w > r.d) for r in loads.eyes)


def test_input_lean_angle_counts_for_a_short_drawbar() -> None:
    """A 45 mm input drawbar to x = -20 leans; its joint carries the force along it."""
    w = smooth(input_length=45.0, input_far_x=-20.0)
    _, into = w.ends("rocker plate arm")
    dx = -20.0 - into.real
    lean = np.array([atan2(x, sqrt(45.0 * 45.0 - x * x)) for x in dx])
    np.testing.assert_allclose(
        w.force("rocker in pin")[0], w.pulls.F_in[0] / np.cos(lean), rtol=1e-12
    )
    assert np.abs(lean).max() > 0.05


@pytest.mark.parametrize("reverses", [True, False])
def test_a_short_drawbar_that_leans_too_far_is_refused(reverses: bool) -> None:
    """45 mm long and 30 mm aside: asin(30/45) = 41.8 degrees of lean, and out of reach beyond 72."""
    for aside, lean, reached in ((30.0, 41.81, True), (44.0, 77.9, False)):
        strut = "strut" if reverses else "none"
        wrist = {"reverses": reverses, "input_strut": strut, "input_length": 45.0}
        rest = make_space(**wrist)
        drive = rest.build(vector(rest, dogleg_deg=0.0))
        pin = drive.ratio.in_pin(drive.ratio.theta_s).x.item()
        space = make_space(**wrist, input_far_x=pin + aside)
        drive = space.build(vector(space, dogleg_deg=0.0))
        m = space.move(drive)
        assert degrees(np.arcsin(m.lean_worst[0, 0])) == pytest.approx(lean, abs=0.02)
        assert (worst_overshoot(m)[0, 0] == 0.0) == reached
