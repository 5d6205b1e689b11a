"""Random hands and random drives for the comparison of both scorers; no formulas here.

Hands are the orchard worker's with everything shaken that a formula could depend on: pins, springs, posts'
objects, direction of the pull, a short input drawbar, where loads are locked.  Drives are drawn by the
names and bounds of their own variables, sizes that rule reach kept to the useful part of their range.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from explorer.brief.demand_build import build_demand
from explorer.brief.errors import BadInput
from explorer.brief.records import Brief, TorqueAt
from explorer.brief.stock_records import Stock
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.shelf import Shelf
from explorer.drives.values import values_of
from tests.factories import make_brief, make_stock
from tests.outside.second.checks import Eye, Lever
from tests.outside.second.equal import OutOfReachError
from tests.outside.second.hand import Position, positions
from tests.outside.second.plan import Plan, plan
from tests.outside.second.score import Moment, moments
from tests.outside.second.strength import at_peak, records

USEFUL = {
    "input_arm_mm": (16.0, 30.0), "output_arm_mm": (12.0, 26.0), "rest_angle_deg": (-45.0, -15.0),
    "dogleg_deg": (-15.0, 15.0), "pivot_x_mm": (-25.0, 25.0), "exit_link_mm": (16.0, 40.0),
    "carrier_link_mm": (16.0, 40.0), "finger_link_mm": (16.0, 40.0), "lever_arm_a_mm": (12.0, 30.0),
    "lever_arm_b_mm": (12.0, 30.0), "shaft_x_mm": (-12.0, 12.0), "exit_links": (5, 14),
    "carrier_strand_links": (12, 36), "wheel_strand_links": (16, 36), "unit_x_mm": (-8.0, 8.0),
    "bar_offset_mm": (-2.0, 4.0), "lever_offset_mm": (-2.0, 4.0),
    "bar_index_arm_a_mm": (8.0, 18.0), "bar_index_arm_b_mm": (8.0, 18.0),
    "bar_little_arm_a_mm": (8.0, 18.0), "bar_little_arm_b_mm": (8.0, 18.0),
    "rocker_width_mm": (8.0, 18.0), "lever_width_mm": (8.0, 15.0), "bar_width_mm": (8.0, 12.0),
    "bar_arm_a_mm": (8.0, 18.0), "bar_arm_b_mm": (8.0, 18.0),
}  # fmt: skip

WEB = 1.06  # an eye narrower than this times its hole is refused, whatever it would carry


@dataclass(frozen=True)
class Case:
    """One drive on one hand: as the package takes it and as the second scorer does."""

    space: Space
    X: np.ndarray
    plan: Plan
    ms: list[Moment]


def brief_of(rng: np.random.Generator, fingers: int | None = None) -> Brief:
    """A hand whose grips all work, of any number of fingers or this; those that cannot are drawn again."""
    while True:
        brief = _shaken(rng, fingers)
        try:
            build_demand(brief)
        except BadInput:
            continue
        return brief


def _shaken(rng: np.random.Generator, fingers: int | None) -> Brief:
    def u(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    def one(*options: str) -> str:
        return options[int(rng.integers(len(options)))]

    n = int(rng.integers(2, 5)) if fingers is None else fingers
    brief = make_brief(n)
    shaken = tuple(
        replace(
            f, pin_dx=u(-2, 2), pin_y=f.pin_y + u(-3, 3), spring_T0=u(0.8, 2.5),
            spring_k=u(0.05, 0.3), efficiency=u(0.85, 1.0), L1=f.L1 * u(0.98, 1.02),
            L2=f.L2 * u(0.98, 1.02), pad_thickness=u(1, 3), coupling=u(0.85, 0.95),
        )
        for f in brief.fingers
    )  # fmt: skip
    reverses, short = bool(rng.integers(2)), bool(rng.integers(2))
    wrist = replace(
        brief.wrist, reverses=reverses, input_length=u(45, 59) if short else 80.0,
        input_far_x=u(-12, 12),
        input_strut=one("strut", "led from finger side") if reverses else "none",
        torque_at=(TorqueAt(0.0, 0.8), TorqueAt(0.5, 1.0), TorqueAt(1.0, 0.7))
        if rng.integers(2) else (),
    )  # fmt: skip
    grips = tuple(
        replace(
            g, width=g.width * u(0.97, 1.03), share_of_day=u(0.05, 0.3),
            floor=tuple(u(0, 1) for _ in g.floor),
            wished=(None, "equal", tuple(u(0.2, 0.4) for _ in range(n)))[int(rng.integers(3))],
        )
        for g in brief.grips
    )  # fmt: skip
    when = one("must", "report")
    return replace(
        brief, fingers=shaken, wrist=wrist, grips=grips,
        positions=replace(brief.positions, neighbours="must" if rng.uniform() < 0.2 else "report",
                          empty_fist=when, open=one("must", "report", "off")),
        strength=replace(brief.strength, lock=one("none", "input drawbar", "carriers")),
        limits=replace(brief.limits, finger_floor=u(0, 0.5)),
    )  # fmt: skip


def stock_of(rng: np.random.Generator) -> Stock:
    """A shelf that lacks bushes and rings of some sizes, or of none; every rod takes its own minutes."""
    full = make_stock()
    rods = {
        name: tuple(replace(p, minutes=0.5 + i / 4.0) for i, p in enumerate(getattr(full, name)))
        for name in ("pins", "shafts")
    }
    full = replace(full, **rods)
    share = 1.0 if rng.integers(2) else 0.6
    return replace(
        full,
        bushes=tuple(b for b in full.bushes if rng.uniform() < share),
        rings=tuple(r for r in full.rings if rng.uniform() < share),
    )


def vector_of(space: Space, rng: np.random.Generator) -> np.ndarray:
    x = np.empty(len(space.variables))
    for j, v in enumerate(space.variables):
        low, high = USEFUL.get(v.key, (v.low, v.high))
        if v.kind == "real":
            x[j] = rng.uniform(low, high)
        else:
            x[j] = rng.integers(int(low), int(high) + 1)
    return x


def reached(p: Plan, where: list[Position]) -> list[Moment] | None:
    """All positions; None if links or levers cannot follow, or a hole is wider than its eye."""
    try:
        ms = moments(p, where)
    except OutOfReachError:
        return None
    eyes = [r for r in records(p, ms[0], at_peak(p, ms[0])) if isinstance(r, Eye | Lever)]
    return ms if all(r.w > WEB * r.d for r in eyes) else None


def cases(seed: int, n: int) -> Iterator[Case]:
    """n drives that reach, all six architectures in turn, a new hand for every six."""
    rng = np.random.default_rng(seed)
    done = 0
    while done < n:
        brief, stock = brief_of(rng), stock_of(rng)
        where = positions(brief)
        shelf = Shelf(brief, stock, build_demand(brief))
        single = ("index side", "little side")[int(rng.integers(2))]
        for architecture in ARCHITECTURES:
            if done >= n:
                return
            space = Space(shelf, architecture, single)
            for _ in range(400):
                x = vector_of(space, rng)
                p = plan(brief, stock, architecture, single, values_of(space, x))
                ms = reached(p, where)
                if ms is not None:
                    yield Case(space, x[None, :], p, ms)
                    done += 1
                    break
