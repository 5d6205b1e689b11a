"""The demo's old differential as a vector, and how the tests of the chain differential load it."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from explorer.brief.demand_build import build_demand
from explorer.drives import chain_differential as family
from explorer.drives.assemble import Space
from explorer.drives.joints import Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Pulls, shares
from explorer.drives.shelf import Shelf
from tests.factories import make_brief, make_shop, make_stock, make_wrist

FINE = "fine 3.75 (invented)"
OLD: dict[str, float | str] = {
    "plate": "stainless 2", "link_plate": "stainless 1.5", "doubled": "single", "bushed": "bare",
    "input_chain": FINE, "output_chain": FINE, "input_teeth": 19, "wheel_a_teeth": 13,
    "wheel_b_teeth": 13, "shaft": "shaft 4", "output_pins": 3, "output_pin": "pin 2",
    "output_pin_radius_mm": 4.0, "output_seat": "clamped", "unit_x_mm": 0.0,
    "shaft_side": "back of hand side", "strand_drop_mm": 7.3, "strand_gap_mm": 0.6, "end_width_mm": 6.0,
    "carrier_strand_links": 6, "gear": "module 0.5", "side_teeth": 26, "planet_teeth": 14,
    "planet_pairs": 2, "face_mm": 4.0, "planet_pin": "pin 2.5", "cage_pins": 2, "cage_pin": "pin 1.5",
    "cage_pin_radius_mm": 7.8, "cage_seat": "loose",
    "wheel_teeth": 15, "wheel_chain": FINE, "wheel_strand_links": 19, "axle_pin": "pin 2.5",
    "carrier_fork_pin": "pin 2.5", "wheel_sector": "sector",
}  # fmt: skip


@cache
def make_space(n: int = 4, second: str = "chain", *, reverses: bool = True) -> Space:
    brief = make_brief(n, shop=make_shop(min_web=0.8), wrist=make_wrist(reverses=reverses))
    return Space(Shelf(brief, make_stock(), build_demand(brief)), f"chain_differential+{second}")


def vector(space: Space, **changes: float | str) -> np.ndarray:
    values = OLD | changes
    row = [
        float(v.options.index(str(values[v.key]))) if v.options else float(values[v.key])
        for v in space.variables
    ]
    return np.array([row])


def some_vectors(space: Space, n: int, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.stack([
        rng.uniform(v.low, v.high, n) if v.kind == "real"
        else rng.integers(int(v.low), int(v.high) + 1, n).astype(float)
        for v in space.variables
    ], axis=1)  # fmt: skip


def plain_pulls(drive: Drive, motion: Motion, F_out: float) -> Pulls:
    """Pulls of F_out with no friction anywhere."""
    s = shares(drive, motion)
    out = F_out + np.zeros_like(motion.Y)
    carriers = tuple(out * c for c in s.carrier)
    finger = tuple(carriers[k] * c for k, c in zip(s.carrier_of, s.finger, strict=True))
    return Pulls(out * motion.step, out, carriers, finger)


def old_loads(**changes: float | str) -> tuple[Space, Drive, Motion, Pulls, Loads]:
    space = make_space()
    drive = space.build(vector(space, **changes))
    motion = space.move(drive)
    pulls = plain_pulls(drive, motion, 400.0)
    return space, drive, motion, pulls, family.loads(space.shelf, drive, motion, pulls)


def by_key(records: tuple[Any, ...]) -> dict[str, Any]:
    return {r.key: r for r in records}
