"""What records say beside their loads: metals, rings, what is left in the hand when a part lets go."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from explorer.brief.stock_records import Stock
from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.joints import Loads
from explorer.drives.shelf import Shelf
from tests.drives.lever_drives import work
from tests.drives.spaces import space, vectors
from tests.factories import make_brief, make_stock, make_wrist
from tests.outside.second.cases import USEFUL

N = 12
HANDS = [2, 3, 4]


def told(architecture: str, fingers: int) -> tuple[Shelf, Loads]:
    s = space(make_brief(fingers), mixed_stock(), architecture)
    X = vectors(s, N, np.random.default_rng(fingers), USEFUL)
    return s.shelf, work(s, X).loads


def mixed_stock() -> Stock:
    """Every rod and gear of a strength of its own."""
    stock = make_stock()
    pins = tuple(replace(p, yield_=1000.0 + i) for i, p in enumerate(stock.pins))
    shafts = tuple(replace(p, yield_=1300.0 + i) for i, p in enumerate(stock.shafts))
    gears = tuple(replace(g, yield_=900.0 + i) for i, g in enumerate(stock.gears))
    return replace(stock, pins=pins, shafts=shafts, gears=gears)


def ultimate(shelf: Shelf, line: np.ndarray) -> np.ndarray:
    """Tensile strength of the lines of metal; rods and gears of this stock state their yield alone."""
    return shelf.endurance.S_ut[line.astype(int)]


def of_sheet(shelf: Shelf, sy: np.ndarray) -> np.ndarray:
    """Tensile strength of the sheet metal with this yield."""
    by = {m.yield_: m.ultimate for m in shelf.stock.metals}
    return np.array([[by[float(v)] for v in row] for row in sy])


@pytest.mark.parametrize("fingers", HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_a_records_metal_is_as_strong_as_it_says(architecture: str, fingers: int) -> None:
    """The line that fatigue reads is the metal whose yield strength reads."""
    shelf, loads = told(architecture, fingers)
    for r in (*loads.eyes, *loads.flexures):
        np.testing.assert_array_equal(ultimate(shelf, r.metal), of_sheet(shelf, r.sy), r.key)
    for p in loads.pins:
        np.testing.assert_array_equal(ultimate(shelf, p.metal), p.sy_pin, p.key)
    for s in (*loads.shafts, *loads.teeth):
        np.testing.assert_array_equal(ultimate(shelf, s.metal), s.sy, s.key)
    for c in loads.circles:
        np.testing.assert_array_equal(ultimate(shelf, c.metal), c.sy_pin, c.key)
        for line, sy in ((c.metal_1, c.sy_1), (c.metal_2, c.sy_2)):
            sheet = line < len(shelf.stock.plates)
            found = ultimate(shelf, line)
            known = {m.yield_: m.ultimate for m in shelf.stock.metals}
            expected = np.array([[known.get(float(v), v) for v in row] for row in sy + 0.0 * line])
            np.testing.assert_array_equal(np.where(sheet, expected, sy), found, c.key)
    for b in loads.bores:
        np.testing.assert_array_equal(ultimate(shelf, b.metal), of_sheet(shelf, b.sy), b.key)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_only_planet_pins_go_without_rings(architecture: str) -> None:
    """They are held between the cage plates."""
    _, loads = told(architecture, 4)
    assert {p.key for p in loads.pins if not p.ringed} <= {"planet pin"}
    assert all(p.key != "planet pin" or not p.ringed for p in loads.pins)


@pytest.mark.parametrize(
    ("fingers", "left"), [(2, "nothing"), (3, "the other fingers"), (4, "two fingers")]
)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_a_pair_that_lets_go_leaves_the_others(architecture: str, fingers: int, left: str) -> None:
    s = space(make_brief(fingers), make_stock(), architecture)
    w = work(s, vectors(s, 2, np.random.default_rng(1), USEFUL))
    records = (*w.loads.pins, *w.loads.eyes, *w.loads.flexures, *w.loads.chains)
    for k in s.pairs:
        own = [r for r in records if r.key.startswith(f"carrier {'ab'[k]} ")]
        assert own
        assert {r.leaves for r in own} == {left}
    whole = {"rocker", "winder", "shaft", "input"}
    first = [r for r in records if r.key.split()[0] in whole]
    assert {r.leaves for r in first} == {"nothing"}


@pytest.mark.parametrize("reverses", [True, False])
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_loads_are_magnitudes(architecture: str, reverses: bool) -> None:
    """Whatever pulls where, a record carries how much; a swing says how far."""
    brief = make_brief(4, wrist=make_wrist(reverses=reverses))
    s = space(brief, make_stock(), architecture)
    w = work(s, vectors(s, N, np.random.default_rng(3), USEFUL))
    for f in fields(Loads):
        for r in getattr(w.loads, f.name):
            for name in ("load", "moment", "torque", "force"):
                assert (getattr(r, name, np.zeros(1)) >= 0.0).all(), (r.key, name)


@pytest.mark.parametrize("fingers", HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_pieces_belong_to_their_stage_and_pins_to_what_they_join(
    architecture: str, fingers: int
) -> None:
    s = space(make_brief(fingers), make_stock(), architecture)
    drive = s.build(vectors(s, 2, np.random.default_rng(1), USEFUL))
    motion = s.move(drive)
    hold = s.first.attachment(s.shelf, drive.columns)
    assert {p.stage for p in s.first.pieces(s.shelf, drive, motion)} == {"first"}
    for k in s.pairs:
        own = {p.key: p for p in s.second.pieces(s.shelf, drive, motion, k, hold)}
        assert {p.stage for p in own.values()} == {("second a", "second b")[k]}
        i, j = s.groups[k]
        name = f"carrier {'ab'[k]}"
        if architecture.endswith("bar"):
            assert own[f"{name} end a pin"].joined == (f"finger link {i}",)
            assert own[f"{name} end b pin"].joined == (f"finger link {j}",)
            assert own[f"finger link {i} plate"].joined == (name,)


@pytest.mark.parametrize(("fingers", "words"), [
    (2, {"bar"}), (3, {"bar"}), (4, {"index bar", "little bar"}),
])  # fmt: skip
def test_bars_are_called_by_their_side_where_there_are_two(fingers: int, words: set[str]) -> None:
    s = space(make_brief(fingers), make_stock(), "linked_lever+bar")
    w = work(s, vectors(s, 2, np.random.default_rng(1), USEFUL))
    assert {f.part for f in w.loads.flexures if "carrier" in f.key} == words


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_no_eye_or_section_is_narrower_than_its_hole(architecture: str) -> None:
    """Whatever a vector asks for: a limit refuses it, and its stress stays finite."""
    s = space(make_brief(4), make_stock(), architecture)
    w = work(s, vectors(s, 60, np.random.default_rng(9), {}))
    for r in (*w.loads.eyes, *w.loads.flexures):
        assert (r.w > r.d).all(), r.key
