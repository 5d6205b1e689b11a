"""Relations 6 to 9: no work is lost without friction, none is won with it; splits add up; common draws."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from explorer.brief.records import Brief, Friction
from explorer.drives.bodies import GearSplit, Leans
from explorer.drives.exact import solve_exact
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, StageMotion, move
from explorer.drives.pulls import shares, ways
from explorer.mechanics.types import Floats
from tests.drives.random_drives import mirrored_body
from tests.relations.cases import Case
from tests.relations.compare import check_close

H = 1e-20
SMALL = 1.0 / 32.0  # of the brief's friction, where what is lost is in step with it


def rubbing(b: Brief, by: float, mesh: float | None = None) -> Brief:
    """All friction times `by`, pads aside; what a mesh loses too, or as much as said."""
    f = b.friction
    lost = by * (1.0 - f.mesh) if mesh is None else mesh
    return replace(
        b,
        friction=replace(
            f, bushed=by * f.bushed, bare=by * f.bare, chain=by * f.chain, mesh=1.0 - lost
        ),
    )


def slick(case: Case) -> Case:
    return case.but(brief=rubbing(case.brief, 0.0))


def test_no_work_is_lost_on_the_parallel_skeleton(case: Case) -> None:
    """Relation 6: F_in dX = sum T_i ds_i. X by kinematics alone (complex step), T_i by statics alone."""
    d = slick(case).skeleton
    demand, m = d.space.shelf.demand, d.motion
    for f in range(case.fingers):
        z = demand.draw.astype(complex)
        z[:, f] += 1j * H
        slope = move(d.drive, z, demand.pin_x, skeleton=True).X.imag / H
        pull = d.shares.plain(f) * m.a1_0 / m.a2_0
        np.testing.assert_allclose(slope, pull, rtol=0, atol=1e-9)


def test_without_friction_every_efficiency_is_one(case: Case) -> None:
    """Relation 6, to the bit; and no share is skewed."""
    d = slick(case).told
    np.testing.assert_array_equal(d.ways.eta, 1.0)
    np.testing.assert_array_equal(d.ways.eta_hold, 1.0)
    np.testing.assert_array_equal(d.shares.skew_first, 0.0)
    for f in range(case.fingers):
        np.testing.assert_array_equal(d.shares.low(f), d.shares.high(f))


def test_no_work_is_lost_on_finite_links(few: Case) -> None:
    """Relation 6 on the exact solver, wherever it finds all links in tension."""
    space = few.space
    demand = space.shelf.demand
    seen = 0
    for x in few.X:
        drive = space.build(x[None])
        e = solve_exact(drive, demand.draw, demand.pin_x)
        ok = e.converged & e.taut
        for f in range(few.fingers):
            z = demand.draw.astype(complex)
            z[:, f] += 1j * H
            moved = solve_exact(drive, z, demand.pin_x)
            np.testing.assert_allclose((moved.X.imag / H)[ok], e.pull_in[ok, f], rtol=0, atol=1e-9)
        seen += int(ok.sum())
    assert seen > 0


def test_friction_only_takes(case: Case) -> None:
    """Relation 7: with more of each friction no grip is larger; 0 < efficiency <= 1, and less than before."""
    rng = np.random.default_rng(3)
    f = case.brief.friction
    more = Friction(
        f.bushed * rng.uniform(1.0, 1.5), f.bare * rng.uniform(1.0, 1.5),
        f.chain * rng.uniform(1.0, 1.5), f.mesh * rng.uniform(0.95, 1.0), f.pad,
    )  # fmt: skip
    one, two = case.told, case.but(brief=replace(case.brief, friction=more)).told
    assert (two.delivered.force <= one.delivered.force).all()
    assert (two.delivered.ratio.min(axis=1) <= one.delivered.ratio.min(axis=1)).all()
    turns = (one.ways.locks > 0.0) & (two.ways.locks > 0.0)
    for d in (one, two):
        assert (d.ways.eta[turns] > 0.0).all()
        assert (d.ways.eta <= 1.0).all()
        assert (d.ways.eta_hold <= 1.0).all()
    assert (two.ways.eta[turns] <= one.ways.eta[turns]).all()


def test_losses_fade_in_step_with_friction(case: Case) -> None:
    """Relation 7: half the friction, half of what is lost, within 10 %."""
    lost = [
        1.0 - case.but(brief=rubbing(case.brief, by)).told.ways.eta for by in (SMALL, SMALL / 2.0)
    ]
    assert (lost[1] > 0.0).all()
    np.testing.assert_allclose(lost[0] / lost[1], 2.0, rtol=0.1)


def test_a_closed_path_gives_no_work(case: Case) -> None:
    """Relation 7: out to each position and back under one newton of F_out; without friction it comes even."""
    for one, even in ((case, False), (slick(case), True)):
        d = one.told
        demand = d.space.shelf.demand
        for p in range(1, len(demand.positions)):
            path = np.linspace(demand.draw[0], demand.draw[p], 9)
            motion = move(d.drive, path, demand.pin_x)
            w = ways(d.drive, motion, shares(d.drive, motion))
            spent, back = (work(f, motion.X) for f in (w.pull, w.hold))
            if even:
                check_close(spent, back, "work")
            else:
                assert (back - spent <= 0.0).all()


def work(force: Floats, X: Floats) -> Floats:
    """Along the path, by trapezoids (N,)."""
    return np.asarray(((force[:, 1:] + force[:, :-1]) / 2.0 * np.diff(X, axis=1)).sum(axis=1))


def test_a_split_adds_up_whatever_rubs(case: Case) -> None:
    """Relation 8: the outputs of every equaliser are its pull, the friction of each this way or that."""
    s = case.told.shares
    pairs = [
        [f for f in range(case.fingers) if s.carrier_of[f] == k] for k in range(len(s.carrier))
    ]
    for first, *second in product((1.0, -1.0), repeat=1 + len(s.carrier)):
        carriers = [
            c + sign * s.skew_first for c, sign in zip(s.carrier, (first, -first), strict=False)
        ]
        if len(carriers) > 1:
            check_close(np.ones_like(carriers[0]), carriers[0] + carriers[1], "carriers")
        for members, sign in zip(pairs, second, strict=True):
            ends = [s.finger[f] + sign * s.sign_of[f] * s.skew_second[f] for f in members]
            check_close(np.ones_like(ends[0]), sum(ends, np.zeros(())), "fingers")


def bodies(drive: Drive, motion: Motion) -> list[tuple[object, StageMotion]]:
    """Every equaliser with its motion."""
    pairs = zip(
        (drive.first, *(c.body for c in drive.carriers)),
        (motion.first, *motion.second),
        strict=True,
    )
    return [(b, m) for b, m in pairs if b is not None and m is not None]


def test_an_equaliser_turned_round_is_its_mirror_image(case: Case) -> None:
    """Relation 8: its ends exchanged, with their leans; the shares change places and the skew stays."""
    d = case.told
    found = bodies(d.drive, d.motion)
    assert found
    for body, m in found:
        q, e = m.leans, m.ends
        leans = Leans(q.cos_in, q.tan_b, q.cos_b, q.tan_a, q.cos_a)
        ends = replace(e, xa=-e.xb, xb=-e.xa, ya=e.yb, yb=e.ya)
        turned = mirrored_body(body).sharing(leans, ends)
        np.testing.assert_array_equal(turned.share_a, m.share_b)
        np.testing.assert_array_equal(turned.share_b, m.share_a)
        np.testing.assert_array_equal(turned.skew, m.skew)


@pytest.mark.parametrize("c", [0.7, -0.4])
def test_a_common_draw_is_a_draw_of_the_centre(case: Case, c: float) -> None:
    """Relation 9 on the skeleton: pair by pair, then all fingers: y -> y + c, shares and tilts as they were.

    Of a differential with unequal chain wheels a common draw turns the sides against the cage, by
    c (1/r_a - 1/r_b)/2: the turn is no tilt, and its shares stay as well.
    """
    d = case.skeleton
    drive, was, demand = d.drive, d.motion, d.space.shelf.demand
    for k in case.space.pairs:
        draw = demand.draw.copy()
        draw[:, list(case.space.groups[k])] += c
        now = move(drive, draw, demand.pin_x, skeleton=True)
        check_close(was.carrier_y[k] + c, now.carrier_y[k], "carrier")
        check_stage(was.second[k], now.second[k], 0.0)
    now = move(drive, demand.draw + c, demand.pin_x, skeleton=True)
    check_close(was.Y + c, now.Y, "Y")
    for k, y in enumerate(was.carrier_y):
        check_close(y + c, now.carrier_y[k], "carrier")
        check_stage(was.second[k], now.second[k], 0.0)
    turn: Floats | float = 0.0
    if isinstance(drive.first, GearSplit):
        turn = c * (1.0 / drive.first.r_a - 1.0 / drive.first.r_b) / 2.0
    check_stage(was.first, now.first, turn)


def check_stage(one: StageMotion | None, two: StageMotion | None, turn: Floats | float) -> None:
    if one is None or two is None:
        assert one is two
        return
    check_close(one.tilt + turn, two.tilt, "tilt")
    check_close(one.share_a, two.share_a, "share")
    check_close(one.skew, two.skew, "skew")
