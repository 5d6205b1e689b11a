"""Pieces of linked levers and bars: hand counts, masses, holes, what must stay clear."""

from math import hypot

import numpy as np
import pytest

from explorer.drives import envelope
from tests.drives.lever_drives import UNEQUAL, make_space, smooth, vector, work


def test_rigid_plates_keep_their_length() -> None:
    w = smooth()
    for key, length in (
        ("rocker plate", 13.0),
        ("rocker plate arm", 21.0),
        ("first lever plate", hypot(13.0, 2.0)),
        ("first lever plate arm", hypot(16.0, 2.0)),
    ):
        p, q = w.ends(key)
        np.testing.assert_allclose(np.abs(q - p), length, rtol=1e-12, err_msg=key)


def test_holes_lie_where_the_pins_are() -> None:
    """A plate's holes, laid from its first pin to its second, meet the pins in every position."""
    w = smooth()
    pieces = {p.key: p for p in w.space.pieces(w.drive, w.motion)}
    for plate in ("rocker plate", "first lever plate", "carrier a plate", "carrier b plate"):
        p, q = w.ends(plate)
        _, other = w.ends(f"{plate} arm")
        at = [h.x.item() + 1j * h.y.item() for h in pieces[plate].holes]
        unit = (q - p) / np.abs(q - p)
        for hole, pin in zip(at, (p, q, other), strict=True):
            np.testing.assert_allclose(p + hole * unit, pin, atol=1e-9, err_msg=plate)


# by hand: plates, cheeks, links; pins; two rings and two washers a pin; bushes; spacer
COUNTS = [
    (4, "single", "bare", (1 + 1 + 2) + 2 + 2 * (1 + 2 + 4) + 12 + 24 + 24),
    (4, "doubled", "bushed", 2 * (1 + 1 + 2) + 2 + (1 + 2 + 4) + 12 + 24 + 24 + (11 + 2) + 1),
    (3, "single", "bare", (1 + 1 + 1) + 2 + 2 * (1 + 2 + 2) + 9 + 18 + 18),
    (2, "single", "bushed", (1 + 1) + 2 + 2 * (1 + 2) + 6 + 12 + 12 + 6),
    (2, "doubled", "bare", 2 * (1 + 1) + 2 + (1 + 2) + 6 + 12 + 12 + 1),
]


@pytest.mark.parametrize(("fingers", "plates", "pins", "count"), COUNTS)
def test_pieces_by_hand_count(fingers: int, plates: str, pins: str, count: int) -> None:
    space = make_space(fingers)
    drive = space.build(vector(space, doubled=plates, bushed=pins))
    pieces = space.pieces(drive, space.move(drive))
    assert sum(p.count.item() for p in pieces) == count
    assert len({p.key for p in pieces}) == len(pieces)


def test_masses_by_hand() -> None:
    """Outline less holes times thickness times density; a bent plate weighs what its arms do."""
    space = make_space()
    drive = space.build(vector(space))
    mass = {p.key: p.mass.item() for p in space.pieces(drive, space.move(drive))}
    rocker = np.pi * 25.0 + 10.0 * 34.0 - np.pi / 4.0 * (16.0 + 9.0 + 9.0)
    assert mass["rocker plate"] == pytest.approx(rocker * 2.0 * 0.0079, rel=1e-12)
    lever = np.pi * 4.5 * 4.5 + 9.0 * 28.0 - 3.0 * np.pi / 4.0 * 9.0
    assert mass["first lever plate"] == pytest.approx(lever * 2.0 * 0.0079, rel=1e-12)
    link = np.pi * 9.0 + 6.0 * 20.0 - 2.0 * np.pi / 4.0 * 9.0
    assert mass["exit link plate"] == pytest.approx(link * 1.5 * 0.0079, rel=1e-12)
    assert mass["rocker plate arm"] == 0.0


def test_bent_plates_weigh_what_their_outline_does() -> None:
    """Union of both arms' outlines by shapely, an independent library."""
    shapely = pytest.importorskip("shapely")
    space = make_space()
    drive = space.build(vector(space, **{**UNEQUAL, "dogleg_deg": 25.0}))
    pieces = {p.key: p for p in space.pieces(drive, space.move(drive))}
    for key in ("rocker plate", "first lever plate", "carrier a plate"):
        arms = [pieces[key].shape, pieces[f"{key} arm"].shape]
        union = shapely.union_all([
            shapely.LineString([
                (np.ravel(s.px)[0], np.ravel(s.py)[0]), (np.ravel(s.qx)[0], np.ravel(s.qy)[0]),
            ]).buffer(np.ravel(s.r)[0], quad_segs=400)
            for s in arms
        ])  # fmt: skip
        net = pieces[key].mass.item() / (2.0 * 0.0079)
        holes = sum(np.pi / 4.0 * h.d.item() ** 2 for h in pieces[key].holes)
        assert net + holes == pytest.approx(union.area, rel=1e-3)


@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_every_pair_names_two_pieces(fingers: int) -> None:
    for second in ("bar", "chain"):
        for single in ("index side", "little side"):
            space = make_space(fingers, second=second, single=single)
            drive = space.build(vector(space))
            keys = {p.key for p in space.pieces(drive, space.move(drive))}
            pairs = space.first.pairs(drive)
            assert pairs
            assert {q for p in pairs for q in (p.a, p.b)} <= keys


def test_a_rocker_too_near_the_lever_is_seen() -> None:
    """Pairs find a first lever that runs into the rocker's output arm."""
    space = make_space()
    must = np.array([p.must for p in space.shelf.demand.positions])
    gaps = []
    for link in (30.0, 9.0):
        drive = space.build(vector(space, exit_link_mm=link))
        pieces = space.pieces(drive, space.move(drive))
        found = envelope.clearances(pieces, space.first.pairs(drive))
        gaps.append(min(float(g[:, must].min()) for _, g in found))
    assert gaps[0] > 2.0
    assert gaps[1] < 0.0


@pytest.mark.parametrize("fingers", [2, 4])
def test_a_link_to_a_wheel_ends_at_its_fork(fingers: int) -> None:
    """The link keeps its own length, the fork continues it in line up to the axle."""
    space = make_space(fingers, second="chain")
    w = work(space, vector(space))
    name, length, L = ("exit link", 20.0, w.drive.L_exit) if fingers == 2 else (
        "carrier link a", 18.0, w.drive.carriers[0].L_in
    )  # fmt: skip
    _, end = w.ends(f"{name} plate")
    pin = next(p for p in space.pieces(w.drive, w.motion) if p.key == "carrier a fork pin").shape
    np.testing.assert_allclose(end.real, pin.px[0], atol=0.2)
    np.testing.assert_allclose(end.imag, pin.py[0], atol=0.2)
    fork = next(p for p in space.pieces(w.drive, w.motion) if p.key == "carrier a fork").shape
    across = hypot(fork.qx[0, 0] - fork.px[0, 0], fork.qy[0, 0] - fork.py[0, 0])
    assert L.item() == pytest.approx(length + across, abs=1e-9)
