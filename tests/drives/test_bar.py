"""The second stage of bars: joint loads by free bodies, limits by hand, relations."""

from dataclasses import replace
from math import hypot, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.assemble import Space
from explorer.drives.joints import Attachment
from explorer.drives.pulls import Pulls
from tests.drives.lever_drives import (
    FRICTIONLESS,
    UNEQUAL,
    all_arrays,
    make_space,
    random_vectors,
    vector,
    work,
)
from tests.factories import make_brief

seeds = st.integers(0, 2**32 - 1)


def _smooth_space(fingers: int = 4, single: str = "index side") -> Space:
    return make_space(fingers, brief=make_brief(fingers, friction=FRICTIONLESS), single=single)


@pytest.mark.parametrize(("fingers", "k"), [(2, 0), (4, 0), (4, 1)])
def test_a_bar_is_in_balance(fingers: int, k: int) -> None:
    """Pulls along links between pins from the pieces: moments about the centre vanish, pulls sum."""
    space = _smooth_space(fingers)
    w = work(space, vector(space, **UNEQUAL))
    name, c = f"carrier {'ab'[k]}", w.drive.carriers[k]
    centre, a = w.ends(f"{name} plate")
    _, b = w.ends(f"{name} plate arm")
    moments, pulls = [], []
    for i, pin, side in zip(c.fingers, (a, b), "ab", strict=True):
        start, end = w.ends(f"finger link {i} plate")
        np.testing.assert_allclose(start, pin, atol=1e-12)
        np.testing.assert_allclose(end.real, space.shelf.demand.pin_x[i], atol=1e-12)
        np.testing.assert_allclose(end.imag, -4.0 - space.shelf.demand.draw[:, i], atol=1e-12)
        pull = w.pulls.finger[i][0]
        sine = (end - start).real / 20.0
        force = pull * (sine / np.sqrt(1.0 - sine * sine) + 1j)
        np.testing.assert_allclose(w.force(f"{name} end {side} pin")[0], np.abs(force), rtol=1e-12)
        np.testing.assert_allclose(w.force(f"{name} end {side} eye")[0], np.abs(force), rtol=1e-12)
        for eye in ("wrist end eye", "finger end eye"):
            np.testing.assert_allclose(
                w.force(f"finger link {i} {eye}")[0], np.abs(force), rtol=1e-12
            )
        moments.append((np.conj(pin - centre) * force).imag)
        pulls.append(pull)
    np.testing.assert_allclose(pulls[0] + pulls[1], w.pulls.carrier[k][0], rtol=1e-12)
    np.testing.assert_allclose(moments[0] + moments[1], 0.0, atol=1e-9)
    np.testing.assert_allclose(w.moment(f"{name} bending")[0], np.abs(moments[0]), rtol=1e-9)


def test_a_level_bar_by_hand() -> None:
    """300 N on arms 10 and 5, no lean: 100 and 200 N, 1000 N mm at the centre pin (law of the lever)."""
    space = _smooth_space(2)
    X = vector(space, bar_arm_b_mm=5.0)
    drive = space.build(X)
    motion = space.move(drive, skeleton=True)
    one = np.ones_like(motion.Y)
    pulls = Pulls(0.0 * one, 300.0 * one, (300.0 * one,), (100.0 * one, 200.0 * one))
    loads = space.second.loads(
        space.shelf, drive, motion, pulls, 0, space.first.attachment(space.shelf, drive.columns)
    )
    joints = {j.key: j.load[0, 0] for j in loads.pins}
    assert joints == {
        "carrier a centre pin": 300.0,
        "carrier a end a pin": 100.0,
        "carrier a end b pin": 200.0,
    }
    cos = np.cos(motion.second[0].tilt)
    (bending,) = loads.flexures
    np.testing.assert_allclose(bending.moment, 1000.0 * cos, rtol=1e-12)
    assert (bending.w.item(), bending.d.item(), bending.t.item()) == (7.0, 3.0, 2.0)


@pytest.mark.parametrize(("plates", "t_fork", "t_mid", "t_eye"), [
    ("single", 1.2, 2.0, 2.4), ("doubled", 2.0, 1.2, 1.2),
])  # fmt: skip
def test_what_holds_a_bar_is_checked_with_it(
    plates: str, t_fork: float, t_mid: float, t_eye: float
) -> None:
    """An end of 1.2 mm: two plates outside a single bar, one inside a doubled bar."""
    space = make_space(2)
    w = work(space, vector(space, doubled=plates))
    one = np.ones((1, 1))
    hold = Attachment("strand end", 1.2 * one, 400.0 * one, 6.5 * one, 3.25 * one, 0.0 * one)
    loads = space.second.loads(space.shelf, w.drive, w.motion, w.pulls, 0, hold)
    centre = next(j for j in loads.pins if j.key == "carrier a centre pin")
    assert (centre.t_fork.item(), centre.t_mid.item()) == (t_fork, t_mid)
    eye = next(e for e in loads.eyes if e.key == "carrier a holding eye")
    assert (eye.part, eye.t.item(), eye.w.item(), eye.sy.item()) == (
        "strand end",
        t_eye,
        6.5,
        400.0,
    )


def test_hung_from_the_pin_nearest_the_wrist() -> None:
    """Pins at -4 and -1: links of 20 and 23, end pins at -24, centre 1.5 behind them."""
    brief = make_brief(2)
    fingers = (brief.fingers[0], replace(brief.fingers[1], pin_y=-1.0))
    space = make_space(2, brief=replace(brief, fingers=fingers))
    drive = space.build(vector(space, bar_offset_mm=1.5))
    (carrier,) = drive.carriers
    assert [L.item() for L in carrier.L_out] == [20.0, 23.0]
    assert carrier.y.item() == -25.5


def test_what_is_left() -> None:
    """A bar leaves two fingers of four, the other of three, none of two; a link all but its finger."""
    for fingers, left in ((4, "two fingers"), (3, "the other fingers"), (2, "nothing")):
        space = make_space(fingers)
        w = work(space, vector(space))
        k = space.pairs[0]
        parts = {r.key: r.leaves for r in (*w.loads.pins, *w.loads.eyes)}
        assert parts[f"carrier {'ab'[k]} centre pin"] == left
        assert parts[f"finger link {space.groups[k][0]} wrist end eye"] == "all but this finger"
        assert parts["rocker pivot pin"] == "nothing"
        if fingers == 3:
            assert parts["carrier link a finger end eye"] == "all but this finger"


@pytest.mark.parametrize("single", ["index side", "little side"])
def test_a_finger_alone_has_no_bar(single: str) -> None:
    space = make_space(3, single=single)
    w = work(space, vector(space))
    alone = 0 if single == "index side" else 1
    keys = {p.key for p in space.pieces(w.drive, w.motion)}
    assert f"carrier {'ba'[alone]} plate" in keys
    assert f"carrier {'ab'[alone]} plate" not in keys
    _, end = w.ends(f"carrier link {'ab'[alone]} plate")
    finger = w.drive.carriers[alone].fingers[0]
    np.testing.assert_allclose(end.real, space.shelf.demand.pin_x[finger], atol=1e-12)
    np.testing.assert_allclose(end.imag, -4.0 - space.shelf.demand.draw[:, finger], atol=1e-12)


def test_limits_by_hand() -> None:
    space = make_space(2)
    drive = space.build(vector(space, bar_arm_a_mm=8.0))
    motion = space.move(drive)
    slack = {r.id: r.slack.item() for r in space.second.limits(space.shelf, drive, motion, 0)}
    demand = space.shelf.demand
    must = np.array([p.must for p in demand.positions])
    apart = np.abs(demand.draw[:, 0] - demand.draw[:, 1])[must].max()
    assert slack["tilt"] == pytest.approx(33.0 - np.degrees(np.arcsin(apart / 18.0)))
    assert slack["web"] == pytest.approx((4.5 - 2.0) / 2.0 - 1.0)  # links as wide as 2 x 1.5 x 1.5
    assert slack["edge"] == pytest.approx(0.0)  # links: that width is what the rule asks
    assert slack["hole"] == pytest.approx(2.0 - 0.7 * 2.0)
    assert slack["thin"] == pytest.approx(2.0 - 18.0 / 25.0)


def test_a_short_arm_leaves_no_web() -> None:
    """Holes of 5 and 5 mm, 5 mm apart: no metal between them, one is asked for."""
    space = make_space(2)
    X = vector(
        space, bar_arm_a_mm=5.0, bar_width_mm=12.0, bar_centre_pin="pin 5", bar_end_pin="pin 5"
    )
    drive = space.build(X)
    limits = space.second.limits(space.shelf, drive, space.move(drive), 0)
    assert next(r.slack.item() for r in limits if r.id == "web") == pytest.approx(-1.0)


def test_a_bar_that_cannot_tilt_so_far_says_so() -> None:
    space = make_space(2)
    demand = replace(
        space.shelf.demand, draw=np.where([True, False], 30.0, 0.0) + 0.0 * space.shelf.demand.draw
    )
    object.__setattr__(space.shelf, "demand", demand)
    drive = space.build(vector(space))
    slack = space.second.limits(space.shelf, drive, space.move(drive), 0)[0]
    assert slack.id == "tilt"
    assert slack.slack.item() < 33.0 - np.degrees(np.arcsin(0.95))


def test_neighbour_travel() -> None:
    """span sin(phi_max), cut at the full draw."""
    space = make_space(4)
    drive = space.build(vector(space))
    travel = space.second.neighbour_travel(space.shelf, drive, 0).item()
    full = space.shelf.demand.full_draw[:2].max()
    assert travel == pytest.approx(min(20.0 * sin(radians(35.0)), full))
    assert travel < full


def test_the_loop_closes() -> None:
    """Bars keep their arms, and every link its length along the pull (the explicit form lets it lean)."""
    space = make_space(4)
    w = work(space, vector(space, **UNEQUAL))
    for key, arm in (
        ("carrier a plate", 9.0),
        ("carrier a plate arm", 10.0),
        ("carrier b plate arm", 12.0),
    ):
        p, q = w.ends(key)
        np.testing.assert_allclose(np.abs(q - p), hypot(arm, 1.0), rtol=1e-12)
    links = {f"finger link {i} plate": 20.0 for i in range(4)}
    links |= {"exit link plate": 20.0, "carrier link a plate": 18.0, "carrier link b plate": 18.0}
    for key, length in links.items():
        p, q = w.ends(key)
        np.testing.assert_allclose((q - p).imag, length, rtol=1e-12, err_msg=key)


@given(seed=seeds)
@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_finite_whatever_the_vector(fingers: int, seed: int) -> None:
    space = make_space(fingers)
    w = work(space, random_vectors(space, 20, seed))
    assert all(np.all(np.isfinite(a)) for a in all_arrays(w).values())
