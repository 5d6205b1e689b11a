"""Holes in links and ends, and the rounds that stand in them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.drives import make
from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.chain_differential_bench import spacer_minutes
from explorer.drives.pinned import fit_word
from explorer.drives.wheel_parts import end_fit
from explorer.mechanics.outline import Stadium
from tests.drives.spaces import space, vectors
from tests.drives.test_joints_meet import HANDS, Laid
from tests.factories import make_brief, make_stock
from tests.outside.second.cases import USEFUL

LEVERS = ("linked_lever+bar", "linked_lever+chain")


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_links_and_ends_are_drilled_on_their_axis(
    architecture: str, fingers: int, reverses: bool
) -> None:
    """From the first hole at the origin to the second straight ahead."""
    d = Laid(architecture, fingers, reverses)
    found = [
        p for p in d.pieces.values() if p.what in {"link", "end piece"} or p.key.endswith("fork")
    ]
    assert found
    for p in found:
        a, b = p.holes
        assert not any(np.any(v) for v in (a.x, a.y, b.y)), p.key
        assert (b.x > 0.0).all(), p.key


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", LEVERS)
def test_links_are_as_long_as_the_drive_has_them(
    architecture: str, fingers: int, reverses: bool
) -> None:
    """A fork at its end is part of the distance to the axle, and none of the link."""
    d = Laid(architecture, fingers, reverses)
    for k, c in enumerate(d.drive.carriers):
        n = "ab"[k]
        fork = d.far(f"carrier {n} fork") if f"carrier {n} fork" in d.pieces else 0.0
        key = f"carrier link {n} plate" if fingers > 2 else "exit link plate"
        whole = c.L_in if fingers > 2 else d.drive.L_exit
        np.testing.assert_allclose(d.far(key), whole - fork, rtol=1e-12)
        for i, L in zip(c.fingers, c.L_out, strict=False):
            if architecture.endswith("bar"):
                np.testing.assert_allclose(d.far(f"finger link {i} plate"), L, rtol=1e-12)
    if fingers > 2:
        np.testing.assert_allclose(d.far("exit link plate"), d.drive.L_exit, rtol=1e-12)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_pins_take_the_room_of_their_rings_and_bushes_that_of_their_outside(
    architecture: str,
) -> None:
    """Rings of this stock are 2 d across, bushes 1.1 d + 1; cheeks as wide as the rocker."""
    d = Laid(architecture, 4, True)
    for p in d.pieces.values():
        unit = p.stage == "first" and architecture.startswith("chain_differential")
        if unit or p.key == "winder drive pins":
            continue  # pins on a circle take up the circle
        if p.what in {"pin", "shaft", "washer", "ring"}:
            size = p.number[0] if p.what in {"washer", "ring"} else None
            lines = (
                d.space.shelf.shafts
                if p.what == "shaft" or "winder shaft" in p.key
                else d.space.shelf.pins
            )
            across = lines.d[p.stock_index.astype(int)] if size is None else size
            np.testing.assert_allclose(p.shape.r, across, rtol=1e-12, err_msg=p.key)
        if p.what == "bush":
            there = p.count > 0.0
            outside = 1.1 * p.number[0] + 1.0
            np.testing.assert_allclose((2.0 * p.shape.r)[there], outside[there], rtol=1e-12)


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_end_pieces_lie_in_the_plane_and_spacers_round_their_axle(
    architecture: str, fingers: int, reverses: bool
) -> None:
    """One plate in the middle; two with a gap and a plate's room between, a bar's where they hold one.

    Spacers are 2 mm wider than their hole.
    """
    d = Laid(architecture, fingers, reverses)
    gap, z = d.space.shelf.brief.shop.gap, d.space.shelf.z
    at_bars = {}
    for k in d.space.pairs if architecture.endswith("bar") else ():
        names = (f"carrier strand end {'ab'[k]}", f"strand {'ab'[k]} end")
        names += ("output chain end",) if len(d.space.groups) == 1 else ()
        at_bars |= dict.fromkeys(names, d.pieces[f"carrier {'ab'[k]} plate"].thickness)
    for p in d.pieces.values():
        if p.what == "end piece":
            t = p.thickness
            assert t is not None
            between = at_bars.get(p.key, t)
            half = np.where(p.count > 1.0, between / 2.0 + gap + t, t / 2.0)
            np.testing.assert_allclose(p.z0, z - half, rtol=1e-12, err_msg=p.key)
            np.testing.assert_allclose(p.z1, z + half, rtol=1e-12, err_msg=p.key)
        if p.what == "spacer" and p.key.endswith(" spacers") and p.stage != "first":
            np.testing.assert_allclose(2.0 * p.shape.r, p.number[0] + 2.0, rtol=1e-12)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_what_turns_is_bored_in_its_middle(architecture: str) -> None:
    d = Laid(architecture, 4, True)
    bored = [p for p in d.pieces.values() if p.sections or p.what in {"wheel", "gear", "bracket"}]
    bored += [p for p in d.pieces.values() if p.key.startswith("cage plate")]
    for p in bored:
        assert p.holes, p.key
        assert not np.any(p.holes[0].x), p.key
        assert not np.any(p.holes[0].y), p.key
        face = p.face
        if isinstance(face, Stadium):
            assert not np.any(face.px), p.key
            assert not np.any(face.py), p.key
            assert not np.any(face.qy), p.key


@pytest.mark.parametrize(("bushed", "fit"), [(0.0, "running"), (1.0, "bush")])
def test_a_wheels_bore_is_called_by_what_runs_in_it(bushed: float, fit: str) -> None:
    s = space(make_brief(4), make_stock(), "chain_winder+chain")
    X = vectors(s, 3, np.random.default_rng(1), USEFUL)
    X[:, [v.key for v in s.variables].index("bushed")] = bushed
    drive = s.build(X)
    pieces = {p.key: p for p in s.pieces(drive, s.move(drive))}
    for key in ("carrier a wheel", "first stage wheel"):
        assert pieces[key].holes[0].fit == fit
    mixed = np.concatenate([X, X])
    mixed[:3, [v.key for v in s.variables].index("bushed")] = 1.0 - bushed
    drive = s.build(mixed)
    pieces = {p.key: p for p in s.pieces(drive, s.move(drive))}
    assert pieces["carrier a wheel"].holes[0].fit == "running"


def test_fits_in_words() -> None:
    """A fork presses, a bush or the bare pin runs in the middle; unlike drives share no word."""
    yes, no = np.array([[True]]), np.array([[False]])
    one, zero = np.ones((1, 1)), np.zeros((1, 1))
    assert fit_word(yes, one) == "press"
    assert fit_word(no, one) == "bush"
    assert fit_word(no, zero) == "running"
    both = np.array([[True], [False]])
    assert fit_word(both, np.ones((2, 1))) == "running"
    assert fit_word(np.array([[False], [False]]), np.array([[1.0], [0.0]])) == "running"


def test_without_rings_a_pin_is_peened_over() -> None:
    """Half a diameter past its plates, and a head of 1.6 d (common practice, no source)."""
    stock = replace(make_stock(), rings=())
    s = space(make_brief(4), stock, "linked_lever+bar")
    drive = s.build(vectors(s, 5, np.random.default_rng(1), USEFUL))
    for p in s.pieces(drive, s.move(drive)):
        if p.what == "pin":
            d = s.shelf.pins.d[p.stock_index.astype(int)]
            np.testing.assert_allclose(p.shape.r, 0.8 * d, rtol=1e-12)
            washers = next(q for q in s.pieces(drive, s.move(drive)) if q.key == f"{p.key} washers")
            np.testing.assert_allclose(washers.z0 - p.z0, d / 2.0, rtol=1e-9)
        assert p.what != "ring" or not np.any(p.count)


def test_a_spacer_takes_the_minutes_of_its_bore() -> None:
    """Those of the slowest line where the stock has none of this bore, and none where it has no spacers."""
    stock = make_stock()
    lines = tuple(replace(q, minutes=4.0 + q.bore) for q in stock.spacers)
    shelf = space(make_brief(4), replace(stock, spacers=lines), "chain_differential+bar").shelf
    bores = np.array([[3.0], [6.0], [2.0], [2.2]])
    np.testing.assert_array_equal(spacer_minutes(shelf, bores), [[7.0], [10.0], [6.0], [10.0]])
    none = space(make_brief(4), replace(stock, spacers=()), "chain_differential+bar").shelf
    np.testing.assert_array_equal(spacer_minutes(none, bores), 0.0)


def test_spacers_of_a_differential_take_the_minutes_of_their_own_bore() -> None:
    """Each line of this stock takes its bore in minutes."""
    stock = make_stock()
    lines = tuple(replace(q, minutes=q.bore) for q in stock.spacers)
    s = space(make_brief(4), replace(stock, spacers=lines), "chain_differential+bar")
    drive = s.build(vectors(s, 9, np.random.default_rng(2), USEFUL))
    spacers = [p for p in s.pieces(drive, s.move(drive)) if p.what == "spacer"]
    assert {p.key for p in spacers} >= {"gear spacer", "planet spacers a", "planet spacers b"}
    for p in spacers:
        np.testing.assert_array_equal(p.minutes, p.number[0], err_msg=p.key)


@pytest.mark.parametrize("rings", [0.0, 1.0, 2.0])
def test_a_pin_has_as_many_rings_as_asked_for(rings: float) -> None:
    """Without any it ends with its stack, and is no wider than itself."""
    shelf = space(make_brief(4), make_stock(), "chain_differential+bar").shelf
    one, zero = np.ones((1, 1)), np.zeros((1, 1))
    found = make.pin_set(
        shelf, "held", "held pin", "first", "frame", (), zero, zero, zero, 7.0 * one, shelf.pins, one,
        bushes=zero, bush_length=one, washers=0.0, rings=rings,
    )  # fmt: skip
    assert [p.count.item() for p in found if p.what == "ring"] == ([rings] if rings else [])
    pin, d = found[0], shelf.pins.d[1]
    assert isinstance(pin.shape, Stadium)
    assert (pin.z1 - pin.z0 > 7.0).all() == bool(rings)
    assert (pin.shape.r > d / 2.0).all() == bool(rings)


@pytest.mark.parametrize(("low", "above"), [(0.0, True), (-40.0, False)])
def test_a_winder_stacks_toward_the_side_with_more_room(low: float, above: bool) -> None:
    """Drawbars at 15 mm in a palm of 30 mm; then with 40 mm more below."""
    brief = make_brief(4)
    box = replace(brief.cavity.box, z0=low)
    brief = replace(brief, cavity=replace(brief.cavity, box=box))
    s = space(brief, make_stock(), "chain_winder+bar")
    X = vectors(s, 4, np.random.default_rng(2), USEFUL)
    drive = s.build(X)
    pieces = {p.key: p for p in s.pieces(drive, s.move(drive))}
    into, out = pieces["winder input track"], pieces["winder output track"]
    assert ((into.z0 >= out.z1 - 1e-9) == above).all()
    assert ((into.z1 <= out.z0 + 1e-9) == (not above)).all()
    far, near = pieces["cheek at the input track"], pieces["cheek at the output track"]
    assert ((far.z0 > near.z1) == above).all()
    whole, pins, shaft = (pieces[k] for k in ("winder", "winder drive pins", "winder shaft"))
    np.testing.assert_allclose(whole.z0, np.minimum(into.z0, out.z0), atol=1e-12)
    np.testing.assert_allclose(whole.z1, np.maximum(into.z1, out.z1), atol=1e-12)
    meet = (out.z1 + into.z0) / 2.0 if above else (out.z0 + into.z1) / 2.0
    np.testing.assert_allclose((pins.z0 + pins.z1) / 2.0, meet, atol=1e-12)
    assert (shaft.z0 < np.minimum(far.z0, near.z0)).all()
    assert (shaft.z1 > np.maximum(far.z1, near.z1)).all()


@pytest.mark.parametrize("plain", [0.0, 1.0])
def test_tracks_of_one_size_are_one_part_number(plain: float) -> None:
    """A drum is told by its least arm, whatever teeth its column holds; a wheel by its teeth."""
    s = space(make_brief(4), make_stock(), "chain_winder+bar")
    keys = [v.key for v in s.variables]
    X = np.repeat(vectors(s, 1, np.random.default_rng(3), USEFUL), 3, axis=0)
    X[:, keys.index("tracks")] = plain
    X[1, keys.index("output_teeth")] += 1.0
    X[2, keys.index("output_core_mm")] += 1.0
    drive = s.build(X)
    track = next(p for p in s.pieces(drive, s.move(drive)) if p.key == "winder output track")
    columns = np.concatenate(track.number, axis=1)
    assert np.array_equal(columns[0], columns[1]) == bool(plain)
    assert np.array_equal(columns[0], columns[2]) == (not plain)


def test_drive_pins_take_up_their_circle() -> None:
    d = Laid("chain_winder+bar", 4, True)
    keys = [v.key for v in d.space.variables]
    pins = d.pieces["winder drive pins"]
    r = d.X[:, keys.index("drive_pin_radius_mm"), None]
    size = d.space.shelf.pins.d[d.X[:, keys.index("drive_pin"), None].astype(int)]
    np.testing.assert_allclose(pins.shape.r, r + size / 2.0, rtol=1e-12)


def test_an_end_is_pressed_on_where_two_plates_lie_outside_a_single_bar() -> None:
    """Unlike drives have no single word, and wheels turn in their forks."""
    one, two = np.ones((1, 1)), 2.0 * np.ones((1, 1))
    bar = Laid("chain_winder+bar", 4, True).drive.carriers[0]
    wheel = Laid("chain_winder+chain", 4, True).drive.carriers[0]
    assert end_fit(bar, two) == "press"
    assert end_fit(bar, one) == "running"
    assert end_fit(bar, np.concatenate([one, two])) == "running"
    assert end_fit(wheel, two) == "running"
