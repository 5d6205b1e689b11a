"""Everything in millimetres made twice as large: hand, shop, stock and drive; forces stay as they are.

Stresses are then a quarter of what they were, and a chain of twice the size breaks at four times the load.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

import numpy as np

from explorer.drives.assemble import Space

T = TypeVar("T")

# field -> power of a millimetre in it; what is not named has none.
POWERS = {
    "torque_often": 1, "torque_comfortable": 1, "torque_peak": 1, "arm": 1, "lost_motion": 1,
    "input_length": 1, "input_far_x": 1, "input_strut_diameter": 1, "radius": 1,
    "knuckle_x": 1, "knuckle_y": 1, "knuckle_z": 1, "pin_dx": 1, "pin_y": 1, "pin_z": 1,
    "L1": 1, "L2": 1, "pad_distance": 1, "pad_thickness": 1, "d_min": 1, "d_max": 1,
    "spring_k": -1, "tensile": 2, "y": 1, "z": 1, "width": 1, "carry_h": 1,
    "x0": 1, "x1": 1, "y0": 1, "y1": 1, "z0": 1, "z1": 1, "clearance": 1,
    "pivot_mount_z": 1, "ring_radius": 1, "strip_width": 1, "strip_length": 1,
    "squeeze": 1, "min_web": 1, "smallest_drill": 1, "largest_turned": 1, "gap": 1,
    "chain_side_gap": 1, "play_limit": 1,
    "minutes_per_mm_mm": -2, "thickness": 1, "sheet_x": 1, "sheet_y": 1, "d": 1, "bore": 1,
    "outside": 1, "shaft": 1, "groove": 1, "past_groove": 1, "pitch": 1, "height": 1,
    "inner_width": 1, "pin": 1, "mass_per_mm": 2, "connector": 1, "bend_radius": 1, "module": 1,
}  # fmt: skip


def twice(record: T) -> T:
    """A record, and all records in it, with each length doubled."""
    changed = {}
    for f in fields(record):
        if not f.init:
            continue
        value = getattr(record, f.name)
        power = POWERS.get(f.name, 0)
        if isinstance(value, float) and power:
            changed[f.name] = value * 2.0**power
        elif is_dataclass(value):
            changed[f.name] = twice(value)
        elif isinstance(value, tuple):
            changed[f.name] = tuple(twice(v) if is_dataclass(v) else v for v in value)
        elif isinstance(value, Mapping) and f.name == "posts":
            changed[f.name] = {k: twice(v) for k, v in value.items()}
    return replace(record, **changed)


def doubled(space: Space, X: np.ndarray) -> np.ndarray:
    """The same drives at twice the size."""
    long = np.array([v.key.endswith("_mm") for v in space.variables])
    return np.where(long, 2.0 * X, X)
