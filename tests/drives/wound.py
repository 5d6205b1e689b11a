"""Chain drives for tests: a space on the demo hand, one drive with readable sizes, and its parts."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from explorer.brief.demand_build import build_demand
from explorer.brief.records import Brief
from explorer.brief.stock_records import Stock
from explorer.drives.assemble import Space
from explorer.drives.joints import Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Pulls, shares, strength_pulls
from explorer.drives.shelf import Shelf
from tests.factories import make_brief, make_stock

# One chain winder with chain wheels behind it, on the demo stock (indices into its lists).
PLAIN: dict[str, float] = {
    "plate": 2,  # stainless 2
    "link_plate": 1,  # stainless 1.5
    "doubled": 1,
    "bushed": 0,
    "tracks": 0,
    "input_teeth": 19,
    "output_teeth": 13,
    "input_core_mm": 9.0,
    "output_core_mm": 7.0,
    "input_chain": 1,  # 5.0
    "output_chain": 0,  # 3.75
    "one_piece": 0,
    "drive_pins": 3,
    "drive_pin": 0,  # 1.5
    "drive_pin_radius_mm": 4.0,
    "shaft": 1,  # 4
    "shaft_x_mm": -7.0,
    "output_side": 1,
    "exit_links": 8,
    "end_width_mm": 6.0,
    "first_wheel_teeth": 18,
    "carrier_strand_links": 24,
    "first_axle": 2,  # 2.5
    "fork_pin": 2,
    "wheel_teeth": 15,
    "wheel_chain": 0,
    "wheel_strand_links": 20,
    "axle_pin": 2,
    "carrier_fork_pin": 1,  # 2
    "wheel_sector": 0,
    "bar_offset_mm": 0.0,
    "bar_width_mm": 8.0,
    "finger_link_mm": 20.0,
    "bar_centre_pin": 2,
    "bar_end_pin": 1,
}


def with_minutes(brief: Brief) -> Brief:
    """The brief with minutes for each pinned track, whatever the factory calls them."""
    minutes = {"pinned_track": 14.0, **brief.shop.minutes}
    return replace(brief, shop=replace(brief.shop, minutes=minutes))


def space(
    fingers: int = 4,
    second: str = "chain",
    single: str = "index side",
    *,
    brief: Brief | None = None,
    stock: Stock | None = None,
) -> Space:
    """A chain winder's design space."""
    b = with_minutes(brief or make_brief(fingers))
    shelf = Shelf(b, stock or make_stock(), build_demand(b))
    return Space(shelf, f"chain_winder+{second}", single)


def vector(s: Space, **changes: float) -> np.ndarray:
    """PLAIN with changes as a vector (1,V); bar arms are 10 mm."""
    values = {**PLAIN, **changes}
    return np.array([[float(values.get(v.key, 10.0)) for v in s.variables]])


@dataclass(frozen=True)
class Built:
    """One drive, moved, with the loads of its strength pulls."""

    space: Space
    drive: Drive
    motion: Motion
    pulls: Pulls
    loads: Loads

    def joint(self, kind: str, key: str) -> Any:  # noqa: ANN401
        """The load record of a kind (pins, eyes, ...) by key."""
        return {r.key: r for r in getattr(self.loads, kind)}[key]


def built(s: Space, X: np.ndarray) -> Built:
    drive = s.build(X)
    motion = s.move(drive)
    sh = shares(drive, motion)
    pulls = strength_pulls(motion, sh, s.shelf.demand, s.shelf.brief)
    return Built(s, drive, motion, pulls, s.loads(drive, motion, pulls))


def frictionless(brief: Brief) -> Brief:
    """The brief without friction."""
    return replace(
        brief, friction=replace(brief.friction, bushed=0.0, bare=0.0, chain=0.0, mesh=1.0)
    )


def counts(s: Space, X: np.ndarray) -> dict[str, int]:
    """Pieces in the drive by what they are, zeros left out."""
    drive = s.build(X)
    total: dict[str, int] = {}
    for p in s.pieces(drive, s.move(drive)):
        total[p.what] = total.get(p.what, 0) + int(p.count[0, 0])
    return {k: n for k, n in total.items() if n}
