"""First-to-give: at which pull at the wrist, or load on the hook, each check reaches its strength."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from explorer.drives import checks as chk
from explorer.drives.assemble import Space
from explorer.drives.joints import Leaves
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Shares, carried_pull, strength_pulls
from explorer.mechanics.types import Bools, Floats
from explorer.scoring import grip as gr

LEFT: dict[Leaves, str] = {
    "nothing": "nothing is left in the hand",
    "two fingers": "two fingers are left",
    "the other fingers": "the other fingers are left",
    "all but this finger": "all but this finger are left",
}


@dataclass(frozen=True)
class Rung:
    """One part and way of failing.

    `gives`: N at the wrist or kg on the hook with overload and factor 1; `allowed`: the same divided by
    overload and factor (chains: by the chain factor); `position` where it governs; `leaves` what the hand
    still has then.
    """

    key: str
    part: str
    way: str
    gives: float
    allowed: float
    position: str
    leaves: str


class Moved(Protocol):
    """One drive in motion with its shares: all that a ladder needs of a detail."""

    @property
    def space(self) -> Space:
        """Its design space."""

    @property
    def drive(self) -> Drive:
        """The decoded drive."""

    @property
    def motion(self) -> Motion:
        """Its motion in every position."""

    @property
    def shares(self) -> Shares:
        """Its shares in every position."""


def _left(leaves: Leaves) -> str:
    return LEFT[leaves]


@dataclass(frozen=True)
class _Given:
    """Of every position P and check C: whether it carries there and counts, and `gives` and `allowed` of `Rung`."""

    names: tuple[chk.CheckName, ...]
    positions: tuple[str, ...]
    carries: Bools
    gives: Floats
    allowed: Floats

    def rung(self, p: int, c: int) -> Rung:
        """One check in one position."""
        name, left = self.names[c], _left(self.names[c].leaves)
        gives, allowed = float(self.gives[p, c]), float(self.allowed[p, c])
        return Rung(name.key, name.part, name.way, gives, allowed, self.positions[p], left)


def _given(d: Moved, *, wrist: bool) -> _Given:
    """Every check in every position, the positions side by side like a batch of drives."""
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    pulls = strength_pulls(d.motion, d.shares, demand, brief, wrist=wrist, hook=not wrist)
    loads = d.space.loads(d.drive, d.motion, pulls)
    found = chk.evaluate(loads, len(demand.positions), chk.each_position)
    counted = [
        position.must
        and (position.kind == "carry" or wrist)
        and position.kind not in ("open", "squeeze")
        for position in demand.positions
    ]
    use = found.utilisation()
    carries = np.array(counted)[:, None] & (use > 0.0)
    times = 1.0 / np.where(carries, use, 1.0)
    st = brief.strength
    of_others = st.overload * st.design_factor
    share = np.array([st.chain_factor if n.group == "chain" else of_others for n in found.names])
    if wrist:
        gives = pulls.F_in[0][:, None] * times
        allowed = gives / share
    else:
        F_hook = carried_pull(demand, d.shares, demand.m_ideal)
        gives, allowed = (
            gr.hook_kg(F_hook * f.T, demand, d.shares, demand.m_ideal).T
            for f in (times, times / share)
        )
    return _Given(found.names, tuple(p.name for p in demand.positions), carries, gives, allowed)


def _rungs(d: Moved, *, wrist: bool) -> tuple[Rung, ...]:
    """Of every check the position in which it gives first; equals in the order of positions, then of checks."""
    found = _given(d, wrist=wrist)
    gives = np.where(found.carries, found.gives, np.inf)
    order = np.lexsort((found.carries.argmax(axis=0), gives.min(axis=0)))
    at, there = gives.argmin(axis=0), np.asarray(found.carries.any(axis=0))
    return tuple(found.rung(int(at[c]), int(c)) for c in order if there[c])


def wrist_everywhere(d: Moved) -> tuple[Rung, ...]:
    """Rungs of every position apart: what each check takes there, N at the wrist."""
    found = _given(d, wrist=True)
    return tuple(found.rung(int(p), int(c)) for p, c in np.argwhere(found.carries))


def wrist_ladder(d: Moved) -> tuple[Rung, ...]:
    """Rungs by pull at the wrist, N; the detail of one drive."""
    return _rungs(d, wrist=True)


def hook_ladder(d: Moved) -> tuple[Rung, ...]:
    """Rungs by load on the hook, kg; empty when nothing is carried."""
    if not (d.space.shelf.demand.carried > 0.0).any():
        return ()
    return _rungs(d, wrist=False)
