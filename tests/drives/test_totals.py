"""Totals and room of whole drives, added up piece by piece in plain Python."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.brief.records import Box as Solid
from explorer.drives import envelope as env
from explorer.drives.assemble import ARCHITECTURES, clear_pairs
from explorer.drives.nearest import least_clearance
from explorer.drives.pieces import Pair, Piece
from explorer.drives.swept import swept
from explorer.drives.totals import tally
from explorer.drives.upto import upto
from explorer.mechanics.outline import Box, Sector, bounds, disc
from tests.drives.spaces import space, vectors
from tests.factories import make_brief, make_stock
from tests.outside.second.cases import USEFUL

N = 9


class Laid:
    def __init__(self, architecture: str, fingers: int = 4) -> None:
        brief = make_brief(fingers)
        box = replace(brief.cavity.box, x0=-41.0, z0=-3.0, y1=1.0)  # no side at 0
        brief = replace(brief, cavity=replace(brief.cavity, box=box))
        self.space = space(brief, make_stock(), architecture)
        self.X = vectors(self.space, N, np.random.default_rng(8), USEFUL)
        self.drive = self.space.build(self.X)
        self.motion = self.space.move(self.drive)
        self.pieces = self.space.pieces(self.drive, self.motion)
        self.must = np.array([p.must for p in self.space.shelf.demand.positions])


def middle(p: Piece, i: int) -> float:
    """y of an outline's middle at rest."""
    s = p.shape
    if isinstance(s, (Box, Sector)):
        b = bounds(s)
        return float(b.y0[i, 0] + b.y1[i, 0]) / 2.0
    return float(s.py[i, 0] + s.qy[i, 0]) / 2.0


@pytest.mark.parametrize("fingers", [2, 4])
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_totals_add_up(architecture: str, fingers: int) -> None:
    d = Laid(architecture, fingers)
    shelf = d.space.shelf
    shop, found = shelf.brief.shop, tally(d.pieces, shelf)
    for i in range(N):
        there = [p for p in d.pieces if p.count[i, 0] > 0.0]
        count = sum(p.count[i, 0] for p in there)
        mass = sum(p.count[i, 0] * p.mass[i, 0] for p in there)
        at = sum(p.count[i, 0] * p.mass[i, 0] * middle(p, i) for p in there) / mass
        minutes = sum(p.count[i, 0] * p.minutes[i, 0] for p in there)
        minutes += count * shop.minutes["assembly_per_piece"]
        sheets = {
            int(p.stock_index[i, 0])
            for p in there
            if p.stock == "plates" and p.stock_index is not None
        }
        cost = sum(p.count[i, 0] * p.price[i, 0] for p in there)
        cost += sum(shelf.stock.plates[k].price for k in sheets)
        numbers = {(p.what, *(round(float(c[i, 0]), 7) for c in p.number)) for p in there}
        assert found.pieces[i] == count
        assert found.numbers[i] == len(numbers)
        assert found.mass[i] == pytest.approx(mass, rel=1e-12)
        assert found.mass_y[i] == pytest.approx(at - shelf.brief.cavity.box.y0, rel=1e-9)
        assert found.hours[i] == pytest.approx(minutes / 60.0, rel=1e-12)
        expected = cost + minutes / 60.0 * shop.rate_per_hour
        assert found.cost[i] == pytest.approx(expected, rel=1e-12)


def edges(p: Piece, i: int, must: np.ndarray, y_most: float) -> list[float]:
    """Low and high of one piece over the must positions; free strands end at the cavity."""
    b = bounds(p.shape)
    rows = [np.broadcast_to(e, (N, must.size))[i, must] for e in (b.x0, b.y0, b.x1, b.y1)]
    x0, y0, x1, y1 = rows[0].min(), rows[1].min(), rows[2].max(), rows[3].max()
    if p.what in {"chain", "link"}:
        y1 = min(y1, y_most)
    return [float(v) for v in (x0, y0, p.z0[i, 0], x1, y1, p.z1[i, 0])]


def joined(rows: list[list[float]]) -> np.ndarray:
    box = np.array(rows)
    return np.concatenate([box[:, :3].min(axis=0), box[:, 3:].max(axis=0)])


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_room_is_the_boxes_of_the_stages(architecture: str) -> None:
    d = Laid(architecture)
    brief, cavity = d.space.shelf.brief, d.space.shelf.brief.cavity.box
    found = env.envelope(swept(d.pieces, d.must), brief)
    for i in range(N):
        there = [p for p in d.pieces if p.count[i, 0] > 0.0 or p.outline_only]
        rows = {p.key: edges(p, i, d.must, cavity.y1) for p in there}
        box = joined(list(rows.values()))
        mine = [found.box.x0, found.box.y0, found.box.z0, found.box.x1, found.box.y1, found.box.z1]
        np.testing.assert_allclose([v[i] for v in mine], box, atol=1e-9)
        room = 0.0
        for stage in ("first", "second a", "second b"):
            b = joined([rows[p.key] for p in there if p.stage == stage])
            room += float(np.prod(b[3:] - b[:3]))
        assert found.room[i] == pytest.approx(room, rel=1e-9)
        low = box[:3] - [cavity.x0, cavity.y0, cavity.z0]
        high = np.array([cavity.x1, cavity.y1, cavity.z1]) - box[3:]
        assert found.cavity[i] == pytest.approx(min(*low, *high), abs=1e-9)
        sides = [s[i] for s in found.cavity_sides]
        np.testing.assert_allclose(
            sides, [low[0], high[0], low[1], high[1], low[2], high[2]], atol=1e-9
        )


def test_pairs_are_apart_in_plan_or_in_height() -> None:
    """Discs of 5 mm, 13 mm apart: 3 mm; over one another by 1 mm in z; absent ones are a metre apart."""
    d = Laid("linked_lever+bar")
    zero, one = np.zeros((1, 1)), np.ones((1, 1))
    base = replace(d.pieces[0], shape=disc(zero, zero, 5.0 * one), count=one, z0=zero, z1=2.0 * one)
    beside = replace(base, key="beside", shape=disc(13.0 * one, zero, 5.0 * one))
    above = replace(base, key="above", z0=3.0 * one, z1=4.0 * one)
    below = replace(base, key="below", z0=-5.0 * one, z1=-1.5 * one)
    gone = replace(beside, key="gone", count=zero)
    lent = replace(gone, key="lent", outline_only=True)
    pairs = [Pair(base.key, k) for k in ("beside", "above", "below", "gone", "lent")]
    found = env.clearances((base, beside, above, below, gone, lent), pairs)
    assert [g.item() for _, g in found] == [3.0, 1.0, 1.5, 1000.0, 3.0]


def test_keepouts_are_measured_in_all_directions() -> None:
    """A disc of 5 mm round the middle, 2 mm high: beside, above, over the corner, and inside."""
    d = Laid("linked_lever+bar")
    zero, one = np.zeros((1, 1)), np.ones((1, 1))
    base = replace(d.pieces[0], shape=disc(zero, zero, 5.0 * one), count=one, z0=zero, z1=2.0 * one)
    brief = d.space.shelf.brief
    rows = [
        ((9.0, 20.0, -5.0, 5.0, 0.0, 2.0), 4.0), ((-20.0, -6.0, -5.0, 5.0, 0.0, 2.0), 1.0),
        ((-5.0, 5.0, 7.0, 9.0, 0.0, 2.0), 2.0), ((-5.0, 5.0, -9.0, -5.5, 0.0, 2.0), 0.5),
        ((-5.0, 5.0, -5.0, 5.0, 2.5, 4.0), 0.5), ((-5.0, 5.0, -5.0, 5.0, -4.0, -1.0), 1.0),
        ((4.0, 20.0, -9.0, 9.0, -1.0, 3.0), -1.0),
    ]  # fmt: skip
    for (x0, x1, y0, y1, z0, z1), gap in rows:
        solid = Solid("strap", x0, x1, y0, y1, z0, z1)
        kept = replace(brief, cavity=replace(brief.cavity, keepouts=(solid,)))
        found = env.envelope(swept((base,), np.array([True])), kept)
        assert found.keepout.item() == pytest.approx(gap, abs=1e-9), (x0, y0, z0)


def test_the_first_positions_of_a_motion_are_its_first_columns() -> None:
    d = Laid("chain_winder+chain")
    few = upto(d.motion, 3)
    assert few.Y.shape == (N, 3)
    assert few.draw.shape[0] == 3
    assert np.array_equal(few.Y, d.motion.Y[:, :3])
    assert np.array_equal(few.draw, d.motion.draw[:3])
    assert few.second[0] is not None
    assert d.motion.second[0] is not None
    assert np.array_equal(few.second[0].tilt, d.motion.second[0].tilt[:, :3])
    sizes = upto({"kept": 1.0}, 3)
    assert sizes == {"kept": 1.0}


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_a_drive_alone_clears_what_it_clears_in_a_batch(architecture: str) -> None:
    d = Laid(architecture)
    pairs = clear_pairs(d.space, d.drive)
    batch = least_clearance(swept(d.pieces, d.must), pairs)
    every = env.clearances(d.pieces, pairs)
    for i in range(N):
        drive = d.space.build(d.X[i : i + 1])
        pieces = d.space.pieces(drive, d.space.move(drive))
        alone = least_clearance(swept(pieces, d.must), pairs)
        assert alone.item() == batch[i]
        gaps = [np.broadcast_to(g, (N, d.must.size))[i, d.must].min() for _, g in every]
        assert batch[i] == pytest.approx(min(gaps), abs=1e-9)
