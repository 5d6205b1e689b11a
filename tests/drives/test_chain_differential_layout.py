"""First stage "chain differential": what stands where on the shaft, its pieces and its limits."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.drives import chain_differential as family
from explorer.drives import chain_differential_unit as parts
from explorer.drives.assemble import Space
from explorer.drives.pieces import Piece
from explorer.mechanics import pins
from explorer.mechanics.outline import Box
from tests.drives.old_differential import by_key, make_space, old_loads, some_vectors, vector

few = settings(max_examples=15, deadline=None)


# ---- what stands where


def pieces_of(space: Space, X: np.ndarray) -> dict[str, Piece]:
    drive = space.build(X)
    motion = space.move(drive)
    return {p.key: p for p in family.pieces(space.shelf, drive, motion)}


def x_of(piece: Piece) -> tuple[np.ndarray, np.ndarray]:
    assert isinstance(piece.shape, Box)
    return piece.shape.x0, piece.shape.x1


def y_of(piece: Piece) -> tuple[np.ndarray, np.ndarray]:
    assert isinstance(piece.shape, Box)
    return piece.shape.y0, piece.shape.y1


@given(seed=st.integers(0, 10_000))
@few
def test_planets_mesh_with_their_own_side_gear_and_with_each_other_only(seed: int) -> None:
    space = make_space()
    X = some_vectors(space, 4, seed)
    face = space.build(X).columns["face_mm"]
    found = pieces_of(space, X)

    def overlap(a: str, b: str) -> np.ndarray:
        (a0, a1), (b0, b1) = x_of(found[a]), x_of(found[b])
        return np.minimum(a1, b1) - np.maximum(a0, b0)

    gap = space.shelf.brief.shop.gap
    np.testing.assert_allclose(overlap("planets a", "side gear a"), face, atol=1e-9)
    np.testing.assert_allclose(overlap("planets b", "side gear b"), face, atol=1e-9)
    np.testing.assert_allclose(overlap("planets a", "planets b"), face, atol=1e-9)
    for pair in (("planets a", "side gear b"), ("planets b", "side gear a"),
                 ("planets a", "cage plate a"), ("planets b", "cage plate b"),
                 ("side gear a", "cage plate a"), ("side gear b", "cage plate b")):  # fmt: skip
        assert (overlap(*pair) <= -gap + 1e-9).all(), pair


@given(seed=st.integers(0, 10_000))
@few
def test_chains_on_the_shaft_stand_apart_from_each_other_and_from_plates(seed: int) -> None:
    """From the index side: bracket, strand a, cage plate a, cage plate b, input chain, strand b, bracket."""
    space = make_space()
    X = some_vectors(space, 4, seed)
    drive = space.build(X)
    u = parts.unit(space.shelf, drive.columns)
    found = pieces_of(space, X)
    assert u.b is not None
    assert u.at_b is not None

    def chain(at: np.ndarray, w: parts.Track) -> tuple[np.ndarray, np.ndarray]:
        return u.x0 + at - w.width / 2.0, u.x0 + at + w.width / 2.0

    row = [
        x_of(found["bracket a"]), chain(u.at_a, u.a), x_of(found["cage plate a"]),
        x_of(found["cage plate b"]), chain(u.at_in, u.into), chain(u.at_b, u.b), x_of(found["bracket b"]),
    ]  # fmt: skip
    least = space.shelf.brief.shop.chain_side_gap
    for (_, end), (start, _) in itertools.pairwise(row):
        assert (start - end >= least - 1e-9).all()
    np.testing.assert_allclose(u.x0 + u.span / 2.0, drive.columns["unit_x_mm"], atol=1e-9)


@pytest.mark.parametrize(("side", "sign"), [("palm side", -1.0), ("back of hand side", 1.0)])
def test_strands_leave_in_the_drawbar_plane(side: str, sign: float) -> None:
    space = make_space()
    found = pieces_of(space, vector(space, shaft_side=side, strand_drop_mm=0.0))
    r, z = 3.75 * 13 / (2 * pi), space.shelf.z
    wheel = found["chain wheel a"]
    assert float((wheel.z0 + wheel.z1)[0, 0]) / 2 == pytest.approx(z + sign * r)
    strand = found["strand a"]
    assert float((strand.z0 + strand.z1)[0, 0]) / 2 == pytest.approx(z)


@pytest.mark.parametrize("reverses", [True, False])
def test_input_chain_leaves_where_its_moment_holds_the_strands(reverses: bool) -> None:
    """About the shaft, along x: each pull's y part times its height; both sum to zero."""
    space = make_space(reverses=reverses)
    X = vector(space)
    drive = space.build(X)
    motion = space.move(drive)
    u = parts.unit(space.shelf, drive.columns)
    found = pieces_of(space, X)
    chain = found["input chain"]
    high = float((chain.z0 + chain.z1)[0, 0]) / 2 - float(u.z[0, 0])
    shape = chain.shape
    toward = np.sign(float((shape.qy - shape.py)[0, 0]))  # type: ignore[union-attr]
    assert toward == (1.0 if reverses else -1.0)
    out = -float(u.toward[0, 0]) * float(u.a.mean[0, 0])  # height of the strands
    F_in = float(motion.step[0, 0]) * 100.0
    cosine = sqrt(1 - float(motion.exit_sine[0][0, 0]) ** 2)
    assert toward * F_in * high + 100.0 * out == pytest.approx(
        0.0, abs=100.0 * abs(out) * (1 / cosine - 1) + 1e-9
    )


@pytest.mark.parametrize("n", [2, 4])
def test_a_bracket_has_a_foot_as_long_as_what_turns_beside_it(n: int) -> None:
    """Toward the wrist, as far from the shaft as the largest wheel or cage plate; elsewhere a rim round its hole."""
    space = make_space(n)
    found = pieces_of(space, some_vectors(space, 20, 5))
    turning = [p for p in found.values() if p.what == "wheel" or p.key.startswith("cage plate")]
    assert len(turning) == (2 if n == 2 else 5)
    low = np.min([y_of(p)[0] for p in turning], axis=0)
    shaft = sum(y_of(turning[0])) / 2.0
    for key in ("bracket a", "bracket b"):
        y0, y1 = y_of(found[key])
        r = y1 - shaft
        np.testing.assert_allclose(y0, np.minimum(low, shaft - r), atol=1e-9)
        assert (y0 < shaft - r - 1.0).any()
        area, rim = found[key].number[1:]
        (hole,) = found[key].holes
        plate = pi * r * r + 2.0 * r * (shaft - r - y0)
        np.testing.assert_allclose(area, plate - pi * hole.d * hole.d / 4.0, rtol=1e-9)
        np.testing.assert_allclose(rim, 2.0 * (pi * r + shaft - r - y0), rtol=1e-9)


@pytest.mark.parametrize("n", [2, 3, 4])
def test_a_strand_is_joined_to_what_its_wheel_turns_with(n: int) -> None:
    """The cage where it drives one carrier, else its own side; and to its carrier."""
    space = make_space(n)
    found = pieces_of(space, vector(space, output_pin_radius_mm=4.0))
    for k in "a" if n == 2 else "ab":
        for key in (f"strand {k}", f"strand {k} end"):
            assert found[key].joined == (found[f"chain wheel {k}"].body, f"carrier {k}")


@pytest.mark.parametrize(("paid_out", "links"), [
    (-2.0, 2.0), (0.0, 2.0), (0.5, 3.0), (3.7, 3.0), (3.8, 4.0), (20.0, 8.0),
])  # fmt: skip
def test_the_input_chain_is_as_long_as_what_it_pays_out(paid_out: float, links: float) -> None:
    """In whole links of 3.75 mm, and two more; nothing for what only a position that does not count asks."""
    space = make_space()
    must = np.array([p.must for p in space.shelf.demand.positions])
    drive = space.build(vector(space))
    motion = space.move(drive)
    motion = replace(motion, X=np.where(must, paid_out, 1e3) + 0.0 * motion.X)
    found = {p.key: p for p in family.pieces(space.shelf, drive, motion)}
    assert found["input chain"].number[1].item() == links


def test_pieces_of_one_drive_counted_by_hand() -> None:
    """Shaft and 2 rings, 2 brackets, 3 chain wheels, 2 side gears and a spacer between, 4 planets with 4
    pins and 4 spacers, 2 cage plates, 2 cage pins, 6 output pins with 4 screws, 3 chains, 4 end plates."""
    space = make_space()
    found = pieces_of(space, vector(space))
    hand = 3 + 2 + 3 + 3 + 12 + 2 + 2 + 6 + 4 + 3 + 4
    assert sum(float(p.count[0, 0]) for p in found.values()) == hand
    two = make_space(2)
    small = pieces_of(two, vector(two, bushed="bushed", output_seat="loose", doubled="doubled"))
    # shaft, 2 rings, 2 brackets with 2 bushes, 2 wheels, 3 pins, 2 chains, 1 end plate
    assert sum(float(p.count[0, 0]) for p in small.values()) == 1 + 2 + 4 + 2 + 3 + 2 + 1


def test_a_clamped_circle_costs_two_screws_and_halves_the_bending() -> None:
    space, _, _, _, loose = old_loads(cage_seat="loose")
    _, _, _, _, clamped = old_loads(cage_seat="clamped")
    a, b = by_key(loose.circles)["cage pins"], by_key(clamped.circles)["cage pins"]
    assert np.array_equal(a.torque, b.torque)
    bend = [pins.single_shear_moment(c.torque, c.t1, c.t2, c.clamped > 0.0) for c in (a, b)]
    assert np.array_equal(bend[0], 2.0 * bend[1])
    counts = [
        float(pieces_of(space, vector(space, cage_seat=seat))["cage clamp screws"].count[0, 0])
        for seat in ("loose", "clamped")
    ]
    assert counts == [0.0, 2.0]


# ---- limits


def slack(name: str, **changes: float | str) -> float:
    space, drive, motion, _, _ = old_loads(**changes)
    return min(float(m.slack[0]) for m in family.limits(space.shelf, drive, motion) if m.id == name)


def test_gears_go_together_only_where_teeth_divide_by_pairs() -> None:
    """(26 + 26)/2 is whole, (26 + 26)/3 leaves one tooth."""
    assert slack("gears", planet_pairs=2) >= 0.0
    assert slack("gears", planet_pairs=3) == -1.0


def test_wrap_by_hand() -> None:
    _, _, motion, _, _ = old_loads()
    r = 3.75 * 13 / (2 * pi)
    space = make_space()
    must = np.array([p.must for p in space.shelf.demand.positions])
    turn = max(float(y[:, must].max()) for y in motion.carrier_y) / r
    assert slack("wrap") == pytest.approx(300.0 - np.degrees(turn) - 360.0 / 13, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("web", {"cage_pin_radius_mm": 7.0}),  # into the bore over boss B
        ("web", {"cage_pin_radius_mm": 9.0}),  # under the input chain
        ("web", {"output_pin_radius_mm": 3.0}),  # into the shaft's bore
        ("web", {"output_pin_radius_mm": 5.0}),  # under the chain of wheel A
        ("teeth", {"wheel_a_teeth": 8}),
        ("teeth", {"planet_teeth": 12}),  # a pair of equal 12-tooth gears interferes
        ("strand", {"carrier_strand_links": 3, "wheel_strand_links": 19}),
        ("turned", {"side_teeth": 40, "gear": "module 0.8"}),
    ],
)
def test_each_bad_choice_breaks_its_own_limit(name: str, change: dict[str, float | str]) -> None:
    assert slack(name) >= 0.0
    assert slack(name, **change) < 0.0


def test_longer_strands_give_exactly_that_much_room() -> None:
    assert slack("strand", carrier_strand_links=4) - slack(
        "strand", carrier_strand_links=3
    ) == pytest.approx(3.75)
