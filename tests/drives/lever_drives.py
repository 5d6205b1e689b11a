"""Linked levers with bars on an invented hand: briefs, vectors and pulls that several tests share."""

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from explorer.brief.demand_build import build_demand
from explorer.brief.records import Brief, Friction
from explorer.drives.assemble import Space, plays
from explorer.drives.joints import Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Pulls, shares, strength_pulls
from explorer.drives.shelf import Shelf
from tests.factories import make_brief, make_stock, make_wrist

FRICTIONLESS = Friction(bushed=0.0, bare=0.0, chain=0.0, mesh=1.0, pad=0.6)

# mm, deg and names of the stock; an invented drive of stainless plates with bare pins
SIZES: dict[str, Any] = {
    "plate": "stainless 2",
    "link_plate": "stainless 1.5",
    "doubled": "single",
    "bushed": "bare",
    "input_arm_mm": 21.0,
    "output_arm_mm": 13.0,
    "rest_angle_deg": -38.0,
    "dogleg_deg": 0.0,
    "pivot_x_mm": -10.0,
    "output_side": "little side",
    "rocker_width_mm": 10.0,
    "exit_link_mm": 20.0,
    "pivot_pin": "pin 4",
    "drawbar_pin": "pin 3",
    "lever_arm_a_mm": 14.0,
    "lever_arm_b_mm": 14.0,
    "lever_offset_mm": 0.0,
    "lever_width_mm": 9.0,
    "carrier_link_mm": 18.0,
    "lever_centre_pin": "pin 3",
    "lever_end_pin": "pin 3",
    "bar_arm_a_mm": 10.0,
    "bar_arm_b_mm": 10.0,
    "bar_index_arm_a_mm": 10.0,
    "bar_index_arm_b_mm": 10.0,
    "bar_little_arm_a_mm": 10.0,
    "bar_little_arm_b_mm": 10.0,
    "bar_offset_mm": 0.0,
    "bar_width_mm": 7.0,
    "finger_link_mm": 20.0,
    "bar_centre_pin": "pin 3",
    "bar_end_pin": "pin 2",
    "wheel_teeth": 15,
    "wheel_chain": 0,
    "wheel_strand_links": 24,
    "axle_pin": "pin 2.5",
    "carrier_fork_pin": "pin 3",
    "wheel_sector": 0,
}
UNEQUAL = {
    "dogleg_deg": 9.0,
    "pivot_x_mm": -6.0,
    "lever_arm_a_mm": 13.0,
    "lever_arm_b_mm": 16.0,
    "lever_offset_mm": 2.0,
    "bar_index_arm_a_mm": 9.0,
    "bar_little_arm_b_mm": 12.0,
    "bar_arm_a_mm": 9.0,
    "bar_offset_mm": -1.0,
}


def make_space(
    fingers: int = 4,
    *,
    brief: Brief | None = None,
    second: str = "bar",
    single: str = "index side",
    **wrist: Any,  # noqa: ANN401 - any field of the wrist
) -> Space:
    """A design space; keywords replace fields of the wrist."""
    brief = make_brief(fingers) if brief is None else brief
    brief = replace(brief, wrist=make_wrist(**wrist))
    shelf = Shelf(brief, make_stock(), build_demand(brief))
    return Space(shelf, f"linked_lever+{second}", single)


def vector(space: Space, **sizes: Any) -> np.ndarray:  # noqa: ANN401 - names and numbers
    """The drive above with some sizes replaced, (1,V)."""
    chosen = {**SIZES, **sizes}
    row = []
    for v in space.variables:
        value = chosen[v.key]
        row.append(float(v.options.index(value)) if isinstance(value, str) else float(value))
    return np.array([row])


def random_vectors(space: Space, n: int, seed: int) -> np.ndarray:
    """Any vectors within the variables' bounds, (n,V)."""
    rng = np.random.default_rng(seed)
    X = np.empty((n, len(space.variables)))
    for j, v in enumerate(space.variables):
        if v.kind == "real":
            X[:, j] = rng.uniform(v.low, v.high, n)
        else:
            X[:, j] = rng.integers(int(v.low), int(v.high) + 1, n)
    return X


@dataclass(frozen=True)
class Worked:
    """A drive with its motion, pulls and loads in every position."""

    space: Space
    drive: Drive
    motion: Motion
    pulls: Pulls
    loads: Loads

    def force(self, key: str) -> np.ndarray:
        """Load of the joint or eye with this key (N,P)."""
        found = [r.load for r in (*self.loads.pins, *self.loads.eyes) if r.key == key]
        assert len(found) == 1, key
        return found[0]

    def moment(self, key: str) -> np.ndarray:
        """Moment of the section with this key (N,P)."""
        found = [r.moment for r in self.loads.flexures if r.key == key]
        assert len(found) == 1, key
        return found[0]

    def ends(self, key: str) -> tuple[np.ndarray, np.ndarray]:
        """Both ends of a plate's axis as complex numbers x + iy (P,)."""
        shape = next(p.shape for p in self.space.pieces(self.drive, self.motion) if p.key == key)
        zero = np.zeros_like(self.motion.Y)
        p, q = shape.px + 1j * shape.py + zero, shape.qx + 1j * shape.qy + zero
        return p[0], q[0]


def work(space: Space, X: np.ndarray, *, skeleton: bool = False) -> Worked:
    """Everything under the strength pulls."""
    drive = space.build(X)
    motion = space.move(drive, skeleton=skeleton)
    demand, brief = space.shelf.demand, space.shelf.brief
    pulls = strength_pulls(motion, shares(drive, motion), demand, brief)
    return Worked(space, drive, motion, pulls, space.loads(drive, motion, pulls))


def smooth(fingers: int = 4, **wrist: Any) -> Worked:  # noqa: ANN401 - any field of the wrist
    """A drive with unequal arms, offsets and a dogleg, without friction."""
    space = make_space(fingers, brief=make_brief(fingers, friction=FRICTIONLESS), **wrist)
    return work(space, vector(space, **UNEQUAL))


def arrays(record: object) -> dict[str, np.ndarray]:
    """Array fields of a record by name."""
    found = {f.name: getattr(record, f.name) for f in fields(record)}  # type: ignore[arg-type]
    return {k: v for k, v in found.items() if isinstance(v, np.ndarray)}


def all_arrays(w: Worked) -> dict[str, np.ndarray]:
    """Every array of loads, pieces, limits and play, by a name of its own."""
    loads = w.loads
    records: list[Any] = [*loads.pins, *loads.eyes, *loads.flexures, *loads.struts, *loads.chains]
    found = {f"{type(r).__name__} {r.key} {k}": a for r in records for k, a in arrays(r).items()}
    for p in w.space.pieces(w.drive, w.motion):
        found |= {f"{p.key} {k}": a for k, a in arrays(p).items()}
        found |= {f"{p.key} shape {k}": a for k, a in arrays(p.shape).items()}
        found |= {
            f"{p.key} hole {i} {k}": a for i, h in enumerate(p.holes) for k, a in arrays(h).items()
        }
        found |= {f"{p.key} number {i}": a for i, a in enumerate(p.number)}
    limits = w.space.limits(w.drive, w.motion)
    found |= {f"limit {i} {r.id}": r.slack for i, r in enumerate(limits)}
    return found | {f"play {r.key}": r.at_input for r in plays(w.space, w.drive, w.motion)}
