"""Relation 15: what is rigid stays so in every position, and a hand at rest takes no draw at all.

Lengths come from pin coordinates by plain vectors, to 1e-9 mm: of every link and strand by the exact solver,
of every plate and of both ends of bar and rocker on the parallel skeleton.  A hand at rest has X = 0 to the
bit where drives are scored; the exact solver finds its rest by iteration, and comes within 1e-9 mm.
"""

from __future__ import annotations

import numpy as np

from explorer.drives.bodies import Bar, Wheel
from explorer.drives.exact import Exact, solve_exact
from explorer.drives.motion import move
from explorer.drives.ratios import Rocker
from explorer.mechanics.outline import Stadium
from tests.drives.pin_places import ends_of, outer_ends, taut_strand
from tests.drives.random_drives import Sample
from tests.relations.cases import Case


def test_links_and_strands_keep_their_length(few: Case) -> None:
    demand = few.space.shelf.demand
    seen = 0
    for x in few.X:
        s = Sample(few.space.build(x[None]), demand.pin_x, demand.draw)
        e = solve_exact(s.drive, s.draw, s.pin_x)
        rest = solve_exact(s.drive, np.zeros_like(s.draw), s.pin_x)
        seen += int((e.converged & rest.converged).sum())
        for k in range(-1, len(s.drive.carriers)):
            check_lengths(s, k, e, rest)
    assert seen > 0


def check_lengths(s: Sample, k: int, e: Exact, rest: Exact) -> None:
    """Links of bar k (-1: the first lever) as designed, the strand over wheel k as long as at rest."""
    ok = e.converged & rest.converged
    body = s.drive.first if k < 0 else s.drive.carriers[k].body
    stage, at_rest = (x.first if k < 0 else x.second[k] for x in (e, rest))
    outer = outer_ends(s, e, k)
    if isinstance(body, Bar):
        designed = [c.L_in for c in s.drive.carriers] if k < 0 else s.drive.carriers[k].L_out
        assert stage is not None
        for (x, y), (px, py), L in zip(ends_of(body, stage), outer, designed, strict=True):
            np.testing.assert_allclose(np.hypot(px - x, py - y)[ok], L[0, 0], rtol=0, atol=1e-9)
    elif isinstance(body, Wheel):
        assert stage is not None
        assert at_rest is not None
        with np.errstate(invalid="ignore"):  # where no place was found
            now = taut_strand(body, stage, *outer)
            then = taut_strand(body, at_rest, *outer_ends(s, rest, k))
        np.testing.assert_allclose(now[ok], then[ok], rtol=0, atol=1e-9)


def test_plates_keep_their_length(case: Case) -> None:
    """Pin to pin of every lever, bar, rocker, fork and end piece."""
    rigid = [p for p in case.told.pieces if p.what in {"plate", "end piece"}]
    rigid = [p for p in rigid if isinstance(p.shape, Stadium)]
    for p in rigid:
        s = p.shape
        assert isinstance(s, Stadium)
        length = np.hypot(s.qx - s.px, s.qy - s.py)
        np.testing.assert_allclose(length, length[:, :1] + 0.0 * length, atol=1e-9, err_msg=p.key)
    assert rigid


def test_bars_close_from_pin_coordinates(case: Case) -> None:
    """An end pin comes down by its finger's draw: the centre's draw and the height of the end."""
    d = case.skeleton
    drive, m = d.drive, d.motion
    pairs = zip((drive.first, *(c.body for c in drive.carriers)), (m.first, *m.second), strict=True)
    for body, stage in pairs:
        if isinstance(body, Bar):
            assert stage is not None
            fall_a, fall_b = (stage.y - (y - body.e) for y in (stage.ends.ya, stage.ends.yb))
            np.testing.assert_allclose(fall_a, stage.s_a, atol=1e-9)
            np.testing.assert_allclose(fall_b, stage.s_b, atol=1e-9)
        elif isinstance(body, Wheel):
            assert stage is not None
            np.testing.assert_allclose(2.0 * stage.y, stage.s_a + stage.s_b, atol=1e-9)


def test_the_ratio_part_closes_from_pin_coordinates(case: Case) -> None:
    """The out pin comes down by Y, the in pin moves by X along its pull; wheels turn by their arms."""
    d = case.skeleton
    m, r = d.motion, d.drive.ratio
    if isinstance(r, Rocker):
        rest = r.theta_s + 0.0 * m.theta
        np.testing.assert_allclose(r.out_pin(rest).y - r.out_pin(m.theta).y, m.Y, atol=1e-9)
        up = r.source.sign * (r.in_pin(m.theta).y - r.in_pin(rest).y)
        np.testing.assert_allclose(up, m.X, atol=1e-9)
        for pin, arm in ((r.out_pin(m.theta), r.r2), (r.in_pin(m.theta), r.r1)):
            np.testing.assert_allclose(np.hypot(pin.x - r.x_p, pin.y), arm + 0.0 * rest, atol=1e-9)
    else:
        np.testing.assert_allclose(m.X * r.a2, m.Y * r.a1, rtol=1e-12)


def test_at_rest_nothing_is_drawn(case: Case) -> None:
    """X, Y, each carrier's draw, each tilt, to the bit; every finger of the open hand too."""
    demand = case.space.shelf.demand
    opened = [i for i, p in enumerate(demand.positions) if p.kind == "open"]
    assert not demand.draw[opened].any()
    rest = np.zeros((1, case.fingers))
    for skeleton in (True, False):
        m = move(case.told.drive, rest, demand.pin_x, skeleton=skeleton)
        stages = [s for s in (m.first, *m.second) if s is not None]
        for drawn in (m.X, m.Y, *m.carrier_y, *(s.tilt for s in stages), *(s.y for s in stages)):
            np.testing.assert_array_equal(drawn, 0.0)


def test_the_exact_solver_finds_the_same_rest(few: Case) -> None:
    rest = np.zeros((1, few.fingers))
    for x in few.X:
        e = solve_exact(few.space.build(x[None]), rest, few.space.shelf.demand.pin_x)
        assert e.converged.all()
        np.testing.assert_allclose(e.X, 0.0, atol=1e-9)
