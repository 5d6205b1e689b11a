"""What the registry adds to its stages: names of what holds a carrier, tags, travel of neighbours."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES, neighbour_travel, tag
from explorer.drives.bar_parts import link_drilled
from explorer.drives.linked_lever_parts import between_pins, read, rocker_drilled
from explorer.drives.pinned import sheets
from explorer.drives.ratios import Rocker
from tests.drives.lever_drives import UNEQUAL, make_space, vector, work
from tests.drives.spaces import space, vectors
from tests.factories import make_brief, make_stock
from tests.outside.second.cases import USEFUL


def test_what_holds_a_carrier_is_told_by_its_letter_where_there_are_two() -> None:
    for fingers, parts in ((2, ["exit link"]), (4, ["carrier link a", "carrier link b"])):
        s = make_space(fingers)
        w = work(s, vector(s, **UNEQUAL))
        held = [e.part for e in w.loads.eyes if e.key.endswith("holding eye")]
        assert held == parts


def test_tags_are_two_letters() -> None:
    assert [tag(a) for a in ARCHITECTURES] == ["LC", "LB", "WC", "WB", "DC", "DB"]


@pytest.mark.parametrize("fingers", [2, 3, 4])
@pytest.mark.parametrize("second", ["bar", "chain"])
def test_neighbours_travel_as_far_as_their_body_lets_them(fingers: int, second: str) -> None:
    """A bar: its span times the sine of the tilt limit; a chain: twice the free strand, both ends off.

    As a share of the full draw, the least of the pairs, never above the whole.
    """
    s = space(make_brief(fingers), make_stock(), f"linked_lever+{second}")
    X = vectors(s, 30, np.random.default_rng(4), {**USEFUL, "wheel_strand_links": (10, 20)})
    v = {q.key: X[:, j] for j, q in enumerate(s.variables)}
    full, brief = s.shelf.demand.full_draw, s.shelf.brief
    expected = np.ones(30)
    for k, (i, j) in [(k, s.groups[k]) for k in s.pairs]:
        place = "" if len(s.pairs) == 1 else ("index_", "little_")[s.pairs.index(k)]
        if second == "bar":
            span = v[f"bar_{place}arm_a_mm"] + v[f"bar_{place}arm_b_mm"]
            room = span * np.sin(brief.limits.tilt)
        else:
            room = _free(s.shelf.stock.chains, v, brief.shop.run_in)
        expected = np.minimum(expected, room / max(full[i], full[j]))
    found = neighbour_travel(s, s.build(X))
    np.testing.assert_allclose(found, np.maximum(expected, 0.0), rtol=1e-12)
    assert (found < 1.0).any()
    assert (found <= 1.0).all()


def _free(chains: tuple, v: dict[str, np.ndarray], run_in: float) -> np.ndarray:
    """Twice what the shorter strand can give: free chain, less the adjuster's part and what lies in the teeth."""
    out = []
    for z, c, links in zip(
        v["wheel_teeth"], v["wheel_chain"], v["wheel_strand_links"], strict=True
    ):
        chain = chains[int(c)]
        free = (links - z / 2.0) * chain.pitch / 2.0
        tip = chain.pitch * (0.6 + 1.0 / np.tan(np.pi / z)) / 2.0
        mean = chain.pitch * z / 2.0 / np.pi
        used = run_in * (free + chain.connector)
        out.append(2.0 * (free - np.sqrt(max(tip * tip - mean * mean, 0.0)) - used))
    return np.array(out)


def test_metal_between_the_holes_of_a_short_link() -> None:
    """Holes of 4 and 3 mm on 6 mm: 2.5 between them, 1.5 beyond a web of 1; 12 mm wide it has more beside."""
    s = make_space(4)
    cols = s.build(vector(s)).columns
    one = np.ones((1, 1))
    found = link_drilled(
        s.shelf, sheets(s.shelf, cols), 12.0 * one, 6.0 * one, (4.0 * one, 3.0 * one)
    )
    assert found.web.item() == pytest.approx(1.5)


def test_metal_along_a_short_rocker_arm() -> None:
    """Arms of 10 and 30 mm with pins of 5 mm: 5 mm between the holes of the short one, 4 beyond a web of 1."""
    s = make_space(4)
    for key in ("input_arm_mm", "output_arm_mm"):
        sizes = {"input_arm_mm": 30.0, "output_arm_mm": 30.0, key: 10.0, "rocker_width_mm": 18.0}
        X = vector(s, pivot_pin="pin 5", drawbar_pin="pin 5", **sizes)
        rocker, _ = rocker_drilled(s.shelf, read(s.shelf, s.build(X)))
        assert rocker.web.item() == pytest.approx(4.0)


def test_pins_of_a_straight_rocker_may_nearly_meet() -> None:
    """Arms of 10.5 and 10 mm in one line: half a millimetre; square to each other, their hypotenuse."""
    s = make_space(4, reverses=False)
    for turn, apart in ((0.0, 0.5), (25.0, None)):
        ratio = s.build(vector(s, input_arm_mm=10.5, output_arm_mm=10.0, dogleg_deg=turn)).ratio
        assert isinstance(ratio, Rocker)
        cosine = 10.5**2 + 100.0 - 210.0 * np.cos(np.radians(turn))
        assert between_pins(ratio).item() == pytest.approx(apart or np.sqrt(cosine), rel=1e-9)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_without_a_first_body_its_place_is_the_only_carriers(architecture: str) -> None:
    s = space(make_brief(2), make_stock(), architecture)
    drive = s.build(vectors(s, 5, np.random.default_rng(1), USEFUL))
    assert drive.first is None
    np.testing.assert_array_equal(drive.y_first, drive.carriers[0].y)
    assert (drive.y_ratio < drive.y_first).all()
