"""What a search may draw: every variable's range, as the maker is told it.

The ranges are choices of a bench, no formulas: hands of a palm's size, arms and links that fit in it.
A range that moves by accident would change every search without a word; so they are written here again.
"""

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.values import random_vectors
from tests.drives.spaces import space
from tests.factories import make_brief, make_stock

RANGES = """
input_arm_mm 10 40
output_arm_mm 8 40
rest_angle_deg -50 0
dogleg_deg -25 25
pivot_x_mm -30 30
rocker_width_mm 5 18
exit_link_mm 12 40
lever_arm_mm 6 30
lever_offset_mm -3 6
lever_width_mm 5 15
carrier_link_mm 12 40
wheel_teeth 9 24
wheel_strand_links 10 36
bar_arm_mm 5 18
bar_offset_mm -3 6
bar_width_mm 4 12
finger_link_mm 12 40
input_teeth 9 36
chain_differential:input_teeth 8 36
output_teeth 9 30
input_core_mm 4 20
output_core_mm 4 16
drive_pins 2 4
drive_pin_radius_mm 2.5 12
shaft_x_mm -15 15
exit_links 2 14
end_width_mm 4 12
first_wheel_teeth 9 30
carrier_strand_links 8 36
chain_differential:carrier_strand_links 3 16
wheel_a_teeth 8 26
wheel_b_teeth 8 26
output_pins 2 4
output_pin_radius_mm 2.5 12
unit_x_mm -20 20
strand_drop_mm 0 12
strand_gap_mm 0.3 5
side_teeth 14 40
planet_teeth 12 24
planet_pairs 2 4
face_mm 2 8
cage_pins 2 4
cage_pin_radius_mm 4 16
"""
WRITTEN = {
    k: (float(a), float(b)) for k, a, b in (row.split() for row in RANGES.split("\n") if row)
}


def stem(key: str) -> str:
    """bar_index_arm_a_mm and lever_arm_b_mm share their row."""
    for word in ("_index", "_little"):
        key = key.replace(word, "")
    return key.replace("arm_a_mm", "arm_mm").replace("arm_b_mm", "arm_mm")


@pytest.mark.parametrize("fingers", [2, 3, 4])
def test_ranges_are_the_written_ones(fingers: int) -> None:
    seen = set()
    for architecture in ARCHITECTURES:
        family = architecture.split("+")[0]
        for v in space(make_brief(fingers), make_stock(), architecture).variables:
            if v.kind == "choice":
                assert (v.low, v.high) == (0, len(v.options) - 1)
                continue
            row = f"{family}:{stem(v.key)}"
            row = row if row in WRITTEN else stem(v.key)
            assert (v.low, v.high) == WRITTEN[row], v.key
            seen.add(row)
    assert fingers == 2 or seen == WRITTEN.keys()


def test_two_fingers_have_fewer_variables_and_four_have_most() -> None:
    for architecture in ARCHITECTURES:
        keys = [
            {stem(v.key) for v in space(make_brief(n), make_stock(), architecture).variables}
            for n in (2, 3, 4)
        ]
        assert keys[0] < keys[1] == keys[2]


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_random_vectors_reach_both_ends_and_stay_inside(architecture: str) -> None:
    """Of 400 draws over the whole range, the least and the largest lie within 5 % of its ends."""
    s = space(make_brief(4), make_stock(), architecture)
    X = random_vectors(s, 400, np.random.default_rng(5))
    assert X.shape == (400, len(s.variables))
    for j, v in enumerate(s.variables):
        low, high = X[:, j].min(), X[:, j].max()
        near = 0.05 * (v.high - v.low) if v.kind == "real" else 0.0
        assert v.low <= low <= v.low + near, v.key
        assert v.high - near <= high <= v.high, v.key


# What one unit of a limit's overstepping weighs in the search: mm, degrees or teeth that count alike.
SCALES = {
    "linked_lever": {"web": 1.0, "edge": 1.0, "hole": 1.0, "thin": 1.0, "tilt": 2.0,
                     "transmission": 10.0},
    "chain_winder": {"web": 0.5, "edge": 0.5, "hole": 0.3, "pin_size": 0.5, "turned": 5.0,
                     "teeth": 1.0, "parity": 1.0, "strand": 2.0, "wrap": 10.0, "clearance": 1.0},
    "chain_differential": {"web": 0.5, "edge": 0.5, "hole": 0.3, "pin_size": 0.5, "turned": 5.0,
                           "teeth": 1.0, "gears": 0.3, "strand": 2.0, "wrap": 20.0},
    "bar": {"web": 1.0, "edge": 1.0, "hole": 1.0, "thin": 1.0, "tilt": 2.0},
    "chain": {"web": 0.5, "edge": 0.5, "hole": 0.3, "pin_size": 0.5, "turned": 5.0, "teeth": 1.0,
              "parity": 1.0, "strand": 2.0},
}  # fmt: skip


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_limits_weigh_as_written(architecture: str) -> None:
    s = space(make_brief(4), make_stock(), architecture)
    drive = s.build(random_vectors(s, 2, np.random.default_rng(1)))
    motion = s.move(drive)
    first, second = architecture.split("+")
    for name, found in (
        (first, s.first.limits(s.shelf, drive, motion)),
        (second, s.second.limits(s.shelf, drive, motion, 0)),
    ):
        assert {(m.id, m.scale) for m in found} == set(SCALES[name].items())


@pytest.mark.parametrize("fingers", [2, 4])
def test_every_variable_is_told_in_words(fingers: int) -> None:
    """No two of a drive alike, none empty; a bar's arms by their bar and side."""
    for architecture in ARCHITECTURES:
        found = space(make_brief(fingers), make_stock(), architecture).variables
        words = [v.words for v in found]
        assert len(set(words)) == len(words)
        assert all(w and w == " ".join(w.split()) for w in words)
    told = {
        v.key: v.words for v in space(make_brief(4), make_stock(), "linked_lever+bar").variables
    }
    assert told["bar_index_arm_a_mm"] == "index bar arm on the index side"
    assert told["bar_little_arm_b_mm"] == "little bar arm on the little side"
