"""Sizes of a differential go to where its pins, the palm and the stroke leave them room."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.assemble import Space, trimmed
from explorer.drives.chain_differential_pins import cage_webs, output_webs
from explorer.drives.chain_differential_strands import _Beside
from explorer.drives.chain_differential_teeth import MOST_SIDE, _least_planet
from explorer.drives.nearest import least_clearance
from explorer.drives.pieces import Pair
from explorer.drives.shelf import take
from explorer.drives.values import random_vectors
from explorer.drives.variables import Batch, decode
from explorer.mechanics import gears
from explorer.mechanics.types import Bools, Floats
from explorer.scoring.look import first_look, room_look
from explorer.search.space import counts, lengths
from explorer.study.problem import DriveProblem
from tests.drives.untrimmed import (
    WHEELS,
    best_on_a_grid,
    column,
    drawn,
    minded,
    off_straps,
    opened,
    overgrown,
    room_of,
    shelf,
    slim,
    space,
)


@pytest.mark.parametrize("architecture", ["chain_differential+chain", "chain_differential+bar"])
def test_pin_circles_of_a_differential_lie_where_there_is_metal(architecture: str) -> None:
    """Wherever any radius leaves enough metal round the pins, the trimmed one does."""

    def output(s: Space, X: Floats) -> Floats:
        c, u, _ = opened(s, X)
        return np.minimum.reduce(output_webs(s.shelf, c, u))[:, 0]

    def cage(s: Space, X: Floats) -> Floats:
        return np.minimum.reduce(cage_webs(s.shelf, *opened(s, X))[:5])[:, 0]

    for key, spare in (("output_pin_radius_mm", output), ("cage_pin_radius_mm", cage)):
        found, most = best_on_a_grid(architecture, key, spare)
        room = most > 1e-6
        assert room.any()
        assert (found[room] >= 0.0).all(), key


@pytest.mark.parametrize("architecture", ["chain_differential+chain", "chain_differential+bar"])
def test_the_shaft_of_a_differential_lies_within_the_height_of_the_palm(architecture: str) -> None:
    """Wherever any drop of the strands brings all pieces between palm and back, the trimmed one does."""

    def spare(s: Space, X: Floats) -> Floats:
        sides = room_look(s, first_look(s, X)).envelope.cavity_sides
        return np.minimum(sides[4], sides[5])

    found, most = best_on_a_grid(architecture, "strand_drop_mm", spare, slim)
    room = most >= 0.0
    assert room.any()
    assert (found[room] >= 0.0).mean() > 0.9  # carriers may be what is too high


@pytest.mark.parametrize("architecture", ["chain_differential+chain", "chain_differential+bar"])
def test_wheels_and_gears_of_a_differential_are_large_enough_for_their_pins(
    architecture: str,
) -> None:
    """There is metal round all output, cage and planet pins; gears go together; no tooth more than that takes."""
    s, X = space(architecture), drawn(architecture)
    Y = trimmed(s, X)

    def short(Z: Floats) -> Floats:
        c, u, g = opened(s, Z)
        # The first three of the cage's: between bosses and rim there may be no place.
        webs = (*output_webs(s.shelf, c, u), *cage_webs(s.shelf, c, u, g)[3:])
        left = gears.assembly_remainder(g.z_side, g.z_side, g.n)[:, 0]
        return np.where(left > 0.0, np.inf, -np.minimum.reduce(webs)[:, 0])

    np.testing.assert_array_less(short(Y), 1e-6)
    assert (short(X) > 0.0).mean() > 0.5
    for key in ("side_teeth", "wheel_b_teeth"):
        j = column(architecture, key)
        fewer = Y.copy()
        fewer[:, j] -= 1.0
        again = trimmed(s, fewer)
        only = Y[:, j] > X[:, j]
        assert only.any()
        np.testing.assert_array_equal(again[only, j], Y[only, j])


def test_a_larger_pin_asks_for_larger_wheels() -> None:
    """One size up in the output pins of a drive with just room for them: its wheels and gears grow."""
    s = space("chain_differential+chain")
    at = {v.key: j for j, v in enumerate(s.variables)}
    X = trimmed(s, drawn("chain_differential+chain"))
    larger = X.copy()
    larger[:, at["output_pin"]] = np.minimum(
        X[:, at["output_pin"]] + 1.0, s.variables[at["output_pin"]].high
    )
    Y = trimmed(s, larger)
    for key in (*WHEELS, "side_teeth"):
        assert (Y >= X)[:, at[key]].all()
        assert (Y > X)[:, at[key]].any()


@pytest.mark.parametrize("pairs", [2, 3, 4])
def test_side_gears_get_the_teeth_asked_for_or_the_next_that_planets_share_out(pairs: int) -> None:
    """Twice their teeth is a multiple of the pairs (Willis), up to what the palm's height lets be."""
    name = "chain_differential+chain"
    s, X, j = space(name), slim(name).copy(), column(name, "side_teeth")
    X[:, column(name, "planet_pairs")] = pairs

    def given(teeth: int) -> Floats:
        Z = X.copy()
        Z[:, j] = teeth
        return trimmed(s, Z)[:, j]

    step = {2: 1, 3: 3, 4: 2}[pairs]  # the least number that twice over is a multiple of the pairs
    low = int(s.variables[j].low)
    fewest, most = given(low), given(MOST_SIDE)
    assert (most > fewest + step).any()
    assert (most == MOST_SIDE - MOST_SIDE % step).any()
    for asked in range(low, MOST_SIDE + 1):
        found, possible = given(asked), asked <= most
        assert (found % step == 0.0).all()
        assert (found >= asked)[possible].all()
        assert (found < asked + step)[possible & (asked >= fewest)].all()


def test_planets_have_the_fewest_teeth_that_neither_interfere_nor_break_round_their_pins() -> None:
    """Counted up one by one; thin pins in coarse gears leave it to the side gear, which asks for more the larger it is."""
    name = "chain_differential+chain"
    s, coarse = space(name), overgrown("side_teeth")
    coarse[:, column(name, "gear")] = s.variables[column(name, "gear")].high
    c, _, g = opened(s, np.concatenate([drawn(name), coarse]))
    found = _least_planet(s.shelf, c, g.module, g.z_side)[:, 0]
    pin = take(s.shelf.pins.d, c["planet_pin"]) / 2.0 + s.shelf.brief.shop.min_web
    round_pin = gears.least_teeth_round(g.module, pin)[:, 0]
    for z_side, least, n in zip(g.z_side[:, 0], round_pin, found, strict=True):
        z = float(gears.LEAST_TEETH)
        while z < least - 1e-9 or z < gears.least_pinion_teeth(np.array(max(z_side / z, 1.0))):
            z += 1.0
        assert n == z
    assert len(np.unique(found)) > 2


def test_what_a_strand_passes_over_asks_for_no_gap() -> None:
    """Beside it, it does: away from a strand that leans off no more than the clearance beyond its half width."""
    one = np.ones((1, 1))
    for meets in (False, True):
        beside = _Beside(1.0, 8.0 * one, 2.0 * one, 2.3 * one, np.array([[meets]]))
        least = beside.least(0.4 * one, 0.1 * one, 0.0 * one)
        assert (least > 0.4).all() == meets
        away = beside.least(0.4 * one, -0.1 * one, 0.2 * one)
        assert away == pytest.approx(0.3 if meets else 0.0)


@pytest.mark.parametrize("side", ["palm", "back", "wrist", "fingers"])
def test_a_unit_minds_a_strap_only_where_it_meets_it(side: str) -> None:
    """A strap a twentieth of a millimetre beyond what the brackets fill moves nothing; one as far inside does."""
    alone, off, on = minded(space("chain_differential+chain"), "unit_x_mm", side, "bracket")
    np.testing.assert_array_equal(off, alone)
    assert (on != alone).all()


@pytest.mark.parametrize("key", ["planet_teeth", "side_teeth"])
def test_a_cage_keeps_within_the_height_of_the_palm_where_its_pins_let_it(key: str) -> None:
    """Across it: both axes' distance, a planet's radius and a module for its tips, twice.

    Where it does not, no fewer teeth would do for the pins: of planets these, of side gears the fewest planets round.
    """
    s, j = space("chain_differential+chain"), column("chain_differential+chain", key)
    X = overgrown(key)
    Y = trimmed(s, X)
    _, _, g = opened(s, Y)
    box = s.shelf.brief.cavity.box
    fits = 2.0 * (g.circle + g.r_planet + g.module)[:, 0] <= box.z1 - box.z0 + 1e-9
    assert (fits & (Y[:, j] < X[:, j])).any()
    fewer = Y.copy()
    fewer[:, j] -= 1.0
    needed = trimmed(s, fewer)[:, j] == Y[:, j]
    assert needed.any()
    if key == "planet_teeth":
        assert (fits | needed).all()
    else:
        lowest = X.copy()
        lowest[:, column("chain_differential+chain", "planet_teeth")] = 12.0
        u = opened(s, trimmed(s, lowest))[2]
        small = 2.0 * (u.circle + u.r_planet + u.module)[:, 0] <= box.z1 - box.z0 + 1e-9
        plain = g.n[:, 0] == 2.0  # more pairs round the teeth up
        assert (small & plain).any()
        assert (small | needed)[plain].all()


def test_wherever_a_cage_has_a_place_for_its_pins_the_input_wheel_has_room_for_them() -> None:
    """Of all radii, those that leave metal to bosses, rim, planet pins and each other; then the input wheel too."""
    s, name = space("chain_differential+chain"), "chain_differential+chain"

    def spare(s: Space, X: Floats) -> Floats:
        webs = cage_webs(s.shelf, *opened(s, X))
        return np.minimum.reduce([webs[i] for i in (0, 2, 3, 4)])[:, 0]

    _, most = best_on_a_grid(name, "cage_pin_radius_mm", spare)
    found = np.minimum.reduce(cage_webs(s.shelf, *opened(s, trimmed(s, drawn(name))))[:5])[:, 0]
    place = most > 1e-6
    assert place.any()
    assert (found[place] >= -1e-8).all()


def test_an_input_wheel_is_no_larger_than_the_palm_is_high_where_its_pins_let_it() -> None:
    """Across it: the radius that layouts use for room, of teeth or chain, twice."""
    s, j = space("chain_differential+chain"), column("chain_differential+chain", "input_teeth")
    Y = trimmed(s, overgrown("input_teeth"))
    box = s.shelf.brief.cavity.box

    def too_high(more: float) -> Floats:
        Z = Y.copy()
        Z[:, j] += more
        return 2.0 * opened(s, Z)[1].into.outer[:, 0] - (box.z1 - box.z0)

    fits = too_high(0.0) <= 1e-9
    assert fits.any()
    assert (too_high(1.0)[fits] > 0.0).all()
    fewer = Y.copy()
    fewer[:, j] -= 1.0
    assert (fits | (trimmed(s, fewer)[:, j] == Y[:, j])).all()


def test_cage_pins_stand_in_line_with_planet_pins_only_where_there_is_room() -> None:
    """Where the number asked for does not go into that of the pairs and leaves no metal, there is one a pair.

    The metal of the input wheel that was asked for, as far as the palm has room for it.
    """
    name = "chain_differential+chain"
    s, X, j = space(name), drawn(name), column(name, "cage_pins")
    Y = trimmed(s, X)
    n = X[:, column(name, "planet_pairs")]
    in_line = np.mod(n, X[:, j]) > 0.0
    changed = Y[:, j] != X[:, j]
    assert changed.any()
    assert (in_line & ~changed).any()
    assert not (changed & ~in_line).any()
    assert (Y[changed, j] == n[changed]).all()
    webs = np.minimum.reduce([w[:, 0] for w in cage_webs(s.shelf, *opened(s, Y))][:5])
    assert (webs[in_line & ~changed] >= -1e-8).all()
    kept = Y.copy()
    for k in (j, column(name, "input_teeth")):
        kept[:, k] = X[:, k]
    short = np.minimum.reduce([w[:, 0] for w in cage_webs(s.shelf, *opened(s, kept))][:5]) < 0.0
    assert (short & changed).any()
    box = s.shelf.brief.cavity.box
    too_large = 2.0 * opened(s, X)[1].into.outer[:, 0] > box.z1 - box.z0
    assert (short | too_large)[changed].all()


@given(st.sampled_from(["planet_pairs", "gear", "side_teeth"]), st.integers(0, 9))
def test_a_move_in_what_loads_the_teeth_keeps_their_stress(key: str, seed: int) -> None:
    """Lewis, for a torque of 1 N m on a side: shared by the pairs at the side gears' pitch circle."""
    X, Y, j = moved(key, seed)
    face = column(NAME, "face_mm")
    within = inner(Y, face) & inner(Y, j, strictly=False)
    assert within.any()
    np.testing.assert_allclose(stress(Y)[within], stress(X)[within], rtol=1e-9)


NAME = "chain_differential+chain"


def moved(key: str, seed: int, n: int = 20) -> tuple[Floats, Floats, int]:
    """Drives drawn by chance, these with one column as in others, as moves change it, and that column."""
    cols, rng, j = DriveProblem(space(NAME)).space, np.random.default_rng(seed), column(NAME, key)
    X = random_vectors(space(NAME), n, rng)
    Z = lengths(cols, X)
    Z[:, j] = lengths(cols, random_vectors(space(NAME), n, rng))[:, j]
    return X, counts(cols, Z), j


def inner(Y: Floats, j: int, *, strictly: bool = True) -> Bools:
    """Where a column lies within its bounds (N,): not at either, or else not at both."""
    v = space(NAME).variables[j]
    above, below = Y[:, j] > v.low, Y[:, j] < v.high
    return above & below if strictly else above | below


def stress(X: Floats) -> Floats:
    """Of the side gears' teeth, MPa, with a form factor of one."""
    c = Batch({k: v[:, None] for k, v in decode(space(NAME).variables, X).items()})
    m = shelf().gears.module[c["gear"].astype(int)]
    force = 1000.0 / (c["planet_pairs"] * gears.pitch_radius(m, c["side_teeth"]))
    return (force / (c["face_mm"] * m))[:, 0]


def diameter(X: Floats, key: str) -> Floats:
    """Of the pins of this choice, mm (N,)."""
    return np.asarray(shelf().pins.d[X[:, column(NAME, key)].astype(int)])


@pytest.mark.parametrize(("key", "pin", "power"), [
    ("output_pins", "output_pin", 2.0), ("cage_pins", "cage_pin", 2.0), ("planet_pairs", "planet_pin", 1.5),
])  # fmt: skip
def test_pins_of_another_size_are_as_many_as_carry_as_much(
    key: str, pin: str, power: float
) -> None:
    """Number times section, d squared; a planet pin's bending has an arm as wide as its gear, so a power of 3/2.

    M = F arm with F and arm as 1/n each, over d cubed: n squared d cubed.  Within the half that rounding takes.
    """
    X, Y, _ = moved(pin, 3, 400)
    j = column(NAME, key)
    asked = X[:, j] * (diameter(X, pin) / diameter(Y, pin)) ** power
    within = inner(Y, j)
    assert (within & (Y[:, j] != X[:, j])).any()
    assert (np.abs(Y[:, j] - asked)[within] <= 0.5 + 1e-9).all()
    v = space(NAME).variables[j]
    np.testing.assert_array_equal(Y[:, j], np.clip(np.rint(asked), v.low, v.high))


@pytest.mark.parametrize("pin", ["output_pin", "cage_pin"])
@given(st.integers(0, 9))
def test_another_pin_leaves_the_metal_round_it(pin: str, seed: int) -> None:
    """Of circles exactly, of wheels and gears within half a tooth, at their pitch circles and out from the shaft.

    One circle of pins lies within the next: the cage's beyond the bosses over the output pins, the input wheel round it.
    """
    X, Y, _ = moved(pin, seed)
    grown = diameter(Y, pin) - diameter(X, pin)
    radii = {"output_pin_radius_mm": 0.5, "cage_pin_radius_mm": 1.0, "strand_drop_mm": 1.0}
    if pin == "cage_pin":
        radii = {"cage_pin_radius_mm": 0.5}
    for key, share in radii.items():
        j = column(NAME, key)
        more = (Y - X)[:, j]
        np.testing.assert_allclose(more[inner(Y, j)], (share * grown)[inner(Y, j)], atol=1e-9)
    wheels = {"input_teeth": "input_chain"}
    if pin == "output_pin":
        wheels |= dict.fromkeys(WHEELS, "output_chain") | {"side_teeth": "gear"}
    for key, size in wheels.items():
        j = column(NAME, key)
        sizes = (
            shelf().gears.module / 2.0 if size == "gear" else shelf().chains.pitch / (2.0 * np.pi)
        )
        a_tooth = sizes[X[:, column(NAME, size)].astype(int)]
        off = np.abs((Y - X)[:, j] * a_tooth - grown)
        assert (off <= 0.5 * a_tooth + 1e-9)[inner(Y, j)].all()


DIFFERENTIALS = ["chain_differential+chain", "chain_differential+bar"]


@pytest.mark.parametrize("architecture", DIFFERENTIALS)
def test_gaps_beside_strands_are_what_their_leans_ask_for(architecture: str) -> None:
    """Wherever any gap keeps both strands clear of brackets, cage and input wheel, the trimmed one does; no less would."""
    beside = [
        Pair("strand a", "bracket a"), Pair("strand a", "cage plate a"), Pair("strand b", "bracket b"),
        Pair("strand b", "input wheel"),
    ]  # fmt: skip

    def spare(s: Space, X: Floats) -> Floats:
        room = room_of(s, X, "strand", "bracket", "cage plate", "input wheel")
        return least_clearance(room, beside) - s.shelf.brief.cavity.clearance

    found, most = best_on_a_grid(architecture, "strand_gap_mm", spare)
    assert (found[most >= 0.0] >= -1e-4).all()
    s, j = space(architecture), column(architecture, "strand_gap_mm")
    X = drawn(architecture)
    Y = trimmed(s, X)
    wider = Y[:, j] > X[:, j]
    assert (spare(s, X)[wider] < 0.0).any()
    less = Y.copy()
    less[:, j] -= 0.01
    assert (wider & (Y[:, j] > s.shelf.brief.shop.chain_side_gap + 0.01)).any()
    assert (spare(s, less)[wider & (spare(s, Y) < 1e-4)] < 0.0).all()


@pytest.mark.parametrize("architecture", DIFFERENTIALS)
def test_a_unit_lies_between_the_straps_where_it_has_room(architecture: str) -> None:
    """Wherever any place across the palm keeps its brackets off straps and sides, the trimmed one does."""

    def spare(s: Space, X: Floats) -> Floats:
        return off_straps(s, X, "bracket")

    found, most = best_on_a_grid(architecture, "unit_x_mm", spare, slim)
    s, X = space(architecture), slim(architecture)
    place = most >= 0.0
    assert (place & (spare(s, X) < 0.0)).any()
    assert (
        found[place] >= -1e-3
    ).all()  # where gaps had to grow much, its width is found to so much
