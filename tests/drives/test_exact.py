"""The exact solver: it obeys statics and geometry that are written out again here, by hand.

Nothing here trusts the solver's own lengths or gradients: lengths come from pin coordinates, balances
from forces and lever arms, work from differences of the input draw.
"""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.drives.bodies import Bar, GearSplit, Wheel
from explorer.drives.exact import Exact, ExactStage, solve_exact
from explorer.drives.exact_compare import breaks, check_leans, compare, grip_moves
from explorer.drives.layout import Carrier, Drive
from explorer.drives.ratios import Rocker
from tests.drives.pin_places import ends_of
from tests.drives.random_drives import (
    ARCHITECTURES,
    Sample,
    make_sample,
    mirrored,
    samples,
    stretched,
)

EVERY = pytest.mark.parametrize("architecture", ARCHITECTURES)
HANDS = pytest.mark.parametrize("fingers", [2, 3, 4])
few = settings(max_examples=30, deadline=None)


def solved(s: Sample) -> Exact:
    return solve_exact(s.drive, s.draw, s.pin_x)


def long_drawbar(drive: Drive) -> Drive:
    """The same with an input drawbar so long that it never leans."""
    source = replace(drive.ratio.source, leans=False)
    return replace(drive, ratio=replace(drive.ratio, source=source))


def stages(s: Sample, e: Exact) -> list[tuple[Any, ExactStage]]:
    """Body and solved stage of every equaliser."""
    bodies = (s.drive.first, *(c.body for c in s.drive.carriers))
    return [
        (b, g)
        for b, g in zip(bodies, (e.first, *e.second), strict=True)
        if b is not None and g is not None
    ]


@EVERY
@HANDS
@pytest.mark.parametrize("reverses", [True, False])
def test_every_position_is_found_with_links_in_tension(
    architecture: str, fingers: int, reverses: bool
) -> None:
    for seed in range(4):
        e = solved(make_sample(seed, architecture, fingers, reverses=reverses))
        assert e.converged.all()
        assert e.taut.all()
        assert e.residual_length.max() < 1e-9
        assert e.residual_force.max() < 1e-9


@given(samples(links=(12, 30)))
@few
def test_virtual_work_closes_by_plain_differences(s: Sample) -> None:
    """The same without complex numbers: central differences, whose own error is some 1e-8."""
    e, h = solved(s), 1e-3
    for f in range(len(s.pin_x)):
        step = np.zeros_like(s.draw)
        step[:, f] = h
        ahead = solve_exact(s.drive, s.draw + step, s.pin_x)
        back = solve_exact(s.drive, s.draw - step, s.pin_x)
        ok = e.converged & ahead.converged & back.converged & (e.lean_worst < 0.6)
        slope = (ahead.X - back.X) / (2 * h)
        np.testing.assert_allclose(slope[ok], e.pull_in[ok, f], rtol=1e-4, atol=1e-5)


@given(samples(links=(12, 30)))
@few
def test_forces_balance_on_every_body(s: Sample) -> None:
    e = solved(s)
    ok = e.converged
    for body, g in stages(s, e):
        if isinstance(body, GearSplit):
            assert (g.force_a * body.r_a[0] - g.force_b * body.r_b[0])[ok] == pytest.approx(
                0, abs=1e-9
            )
            continue
        ax, ay = -g.force_a * np.sin(g.lean_a), g.force_a * np.cos(g.lean_a)
        bx, by = g.force_b * np.sin(g.lean_b), g.force_b * np.cos(g.lean_b)
        assert (ay + by - g.force_in * np.cos(g.lean_in))[ok] == pytest.approx(0, abs=1e-9)
        assert (ax + bx - g.force_in * np.sin(g.lean_in))[ok] == pytest.approx(0, abs=1e-9)
        if isinstance(body, Wheel):
            assert (g.force_a - g.force_b)[ok] == pytest.approx(0, abs=1e-12)
        else:
            (xa, ya), (xb, yb) = ends_of(body, g)
            moment = (xa - g.x) * ay - (ya - g.y) * ax + (xb - g.x) * by - (yb - g.y) * bx
            assert moment[ok] == pytest.approx(0, abs=1e-8)


@given(samples())
@few
def test_shares_add_up_to_the_pull(s: Sample) -> None:
    e = solved(s)
    assert e.pull_out.sum(axis=1) == pytest.approx(1.0, abs=1e-9)
    assert e.pull_in.sum(axis=1) == pytest.approx(e.out_per_in, rel=1e-9)


@given(samples())
@few
def test_moments_balance_on_the_ratio_part(s: Sample) -> None:
    e, r = solved(s), s.drive.ratio
    lean = e.exit_lean[0]
    if isinstance(r, Rocker):
        # pivot at the origin, pull (sin, cos)/cos of its lean on the out pin
        x, y = (np.asarray(v)[0] for v in (r.out_pin(e.theta).x - r.x_p, r.out_pin(e.theta).y))
        moment = r.side[0, 0] * (x - y * np.tan(lean))
    elif isinstance(s.drive.first, GearSplit):
        stage = e.first
        moment = stage.force_a * s.drive.first.r_a[0] + stage.force_b * s.drive.first.r_b[0]
    else:
        moment = r.a2[0] / np.cos(lean)
    assert e.a1 / e.out_per_in == pytest.approx(moment, rel=1e-9)


@given(samples())
@few
def test_at_rest_bars_are_level_and_free_lengths_as_designed(s: Sample) -> None:
    e = solve_exact(s.drive, np.zeros((1, len(s.pin_x))), s.pin_x)
    assert e.converged.all()
    assert pytest.approx(0, abs=1e-9) == e.X
    for _, g in stages(s, e):
        assert g.tilt == pytest.approx(0, abs=1e-9)
    for c, g in zip(s.drive.carriers, e.second, strict=True):
        if isinstance(c.body, Wheel):
            R = c.body.D[0, 0] / 2
            for f, L in zip(c.fingers, c.L_out, strict=True):
                d = np.hypot(s.pin_x[f] - g.x, e.rest_y[f] - g.y)
                assert np.sqrt(d * d - R * R) == pytest.approx(L[0, 0], abs=1e-9)


@given(samples())
@few
def test_a_mirrored_drive_pulls_mirrored_fingers(s: Sample) -> None:
    e, m = solved(s), solved(mirrored(s))
    assert m.pull_in[:, ::-1] == pytest.approx(e.pull_in, abs=1e-9)
    assert pytest.approx(e.X, abs=1e-9) == m.X
    if e.first is not None:
        assert m.first.tilt == pytest.approx(-e.first.tilt, abs=1e-9)


@EVERY
@HANDS
def test_long_links_end_in_the_parallel_skeleton(architecture: str, fingers: int) -> None:
    """Leans vanish as 1/L: at 30 m links pulls and tilts are those of parallel links."""
    s = stretched(make_sample(5, architecture, fingers), 1e3)
    s = replace(s, drive=long_drawbar(s.drive))
    e, m = solved(s), s.moved(skeleton=True)
    w = compare(s.drive, e, m)
    assert w.holds
    assert w.out.exact == pytest.approx(w.out.explicit, rel=1e-3)
    assert w.into.exact == pytest.approx(w.into.explicit, rel=1e-3)
    assert pytest.approx(m.X[0], abs=1e-2) == e.X
    for tilt in w.tilt:
        assert tilt.exact == pytest.approx(tilt.explicit, abs=1e-3)


@given(samples(), st.integers(0, 5))
@few
def test_a_position_does_not_depend_on_its_neighbours(s: Sample, p: int) -> None:
    alone = solve_exact(s.drive, s.draw[p : p + 1], s.pin_x)
    assert alone.pull_in[0] == pytest.approx(solved(s).pull_in[p], abs=1e-10)


def test_an_unreachable_position_is_named_and_spares_the_others() -> None:
    s = make_sample(2, "linked_lever+bar", 4)
    draw = s.draw.copy()
    draw[2] = (0.0, 90.0, 0.0, 90.0)
    e = solve_exact(s.drive, draw, s.pin_x)
    others = np.arange(len(draw)) != 2
    assert not e.converged[2]
    assert e.converged[others].all()
    assert e.pull_in[others] == pytest.approx(solved(s).pull_in[others], abs=1e-9)
    assert not compare(s.drive, e, s.moved()).holds


def test_a_batch_is_refused() -> None:
    s = make_sample(1, "chain_winder+bar", 4)
    with pytest.raises(ValueError, match="one drive at a time"):
        solve_exact(replace(s.drive, n=2), s.draw, s.pin_x)


LIMITS_DEG = (20.0, 33.0)  # leans, tilts of bars


def within(s: Sample) -> tuple[np.ndarray, float]:
    """Positions whose leans and tilts are those of a good drive; largest move of a pull in them."""
    e = solved(s)
    w = compare(s.drive, e, s.moved())
    ok = (
        w.converged
        & w.taut
        & (np.maximum(w.lean.explicit, w.lean.exact) <= np.radians(LIMITS_DEG[0]))
    )
    for (body, _), tilt in zip(stages(s, e), w.tilt, strict=True):
        if isinstance(body, Bar):
            most = np.maximum(np.abs(tilt.explicit), np.abs(tilt.exact))
            ok &= most <= np.radians(LIMITS_DEG[1])
    moves = np.maximum(np.abs(w.out.moves), np.abs(w.into.moves))[ok]
    return ok, float(moves.max(initial=0.0))


def hundred(links: tuple[float, float]) -> list[float]:
    """How far the two forms differ in 100 random drives, of all kinds in turn."""
    moves: list[float] = []
    for seed in range(300):
        kind, fingers = ARCHITECTURES[seed % 6], 2 + seed // 6 % 3
        s = make_sample(seed, kind, fingers, links=links, reverses=seed // 18 % 2 == 0)
        ok, move = within(s)
        if ok.any():
            moves.append(move)
    assert len(moves) >= 100, "too few drives lean little enough"
    return moves[:100]


def test_explicit_pulls_are_within_two_percent_at_links_of_25_and_more() -> None:
    assert max(hundred((25, 40))) <= 0.02


def test_explicit_pulls_are_near_at_links_of_10_to_20() -> None:
    moves = hundred((10, 20))
    assert sum(m <= 0.03 for m in moves) >= 95
    assert max(moves) <= 0.10


def test_leans_are_to_be_checked_where_a_grip_moves_by_more_than_three_percent() -> None:
    s = make_sample(13, "linked_lever+bar", 3, reverses=False, links=(10, 20))
    w = compare(s.drive, solved(s), s.moved())
    for f in range(3):
        weights = np.zeros_like(s.draw)
        weights[:, f] = 0.4
        moved = w.into.exact[:, f] / w.into.explicit[:, f] - 1
        assert grip_moves(w, weights) == pytest.approx(moved, abs=1e-12)
        assert check_leans(w, weights) == bool((np.abs(moved) > 0.03).any())
    assert not check_leans(w, np.zeros_like(s.draw))


def test_broken_limits_are_measured_over_the_positions_that_must_work() -> None:
    s = make_sample(13, "linked_lever+bar", 3, reverses=False, links=(10, 20))
    w = compare(s.drive, solved(s), s.moved())
    for must in np.eye(len(s.draw), dtype=bool):
        p = int(np.flatnonzero(must)[0])
        tilt = max(abs(t.exact[p]) for t in w.tilt)
        lean, X = w.lean.exact[p], w.X.exact[p]
        kept = breaks(w, must, tilt + 1e-9, lean + 1e-9, X + 1e-9)
        assert not kept.any
        over = breaks(w, must, tilt - 0.1, lean - 0.2, X - 0.3)
        assert over.any
        assert (over.tilt, over.lean, over.stroke) == pytest.approx((0.1, 0.2, 0.3), abs=1e-12)


def test_wheels_turn_without_a_limit() -> None:
    s = make_sample(4, "chain_winder+chain", 4)
    w = compare(s.drive, solved(s), s.moved())
    every = np.ones(len(s.draw), dtype=bool)
    assert not any(w.bars)
    assert breaks(w, every, 0.1, 1.5, 1e3).tilt == pytest.approx(-0.1)
    for tilt in w.tilt:
        assert tilt.exact == pytest.approx(tilt.explicit, abs=0.05)


def test_a_single_finger_hangs_on_the_first_lever() -> None:
    """Three fingers on a 1:2 lever with long links: a third each, by the law of the lever."""
    s = stretched(make_sample(3, "linked_lever+chain", 3), 1e3)
    first = s.drive.first
    span = first.l_a + first.l_b
    single_a = len(s.drive.carriers[0].fingers) == 1
    l_a, l_b = (span * 2 / 3, span / 3) if single_a else (span / 3, span * 2 / 3)
    drive: Drive = replace(s.drive, first=replace(first, l_a=l_a, l_b=l_b, e=0 * l_a))
    e = solve_exact(drive, 0 * s.draw, s.pin_x)
    assert e.pull_out == pytest.approx(1 / 3, rel=1e-2)


def test_carriers_keep_their_order() -> None:
    """A finger alone has no second stage; its carrier still pulls it."""
    s = make_sample(4, "chain_differential+bar", 3)
    e = solved(s)
    alone = [isinstance(c, Carrier) and c.body is None for c in s.drive.carriers]
    assert [g is None for g in e.second] == alone
