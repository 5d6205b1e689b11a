"""First-to-give: at which pull at the wrist, or load on the hook, each check reaches its strength."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from explorer.drives import checks as chk
from explorer.drives.assemble import Space
from explorer.drives.joints import Leaves
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Shares, carried_pull, strength_pulls
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


def _each(d: Moved, *, wrist: bool) -> Iterator[tuple[int, Rung]]:
    """Every check that carries anything, in every position that counts, by the check's index."""
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    pulls = strength_pulls(d.motion, d.shares, demand, brief, wrist=wrist, hook=not wrist)
    loads = d.space.loads(d.drive, d.motion, pulls)
    st = brief.strength
    F_hook = carried_pull(demand, d.shares, demand.m_ideal)
    for p, position in enumerate(demand.positions):
        counted = (
            position.must
            and (position.kind == "carry" or wrist)
            and position.kind not in ("open", "squeeze")
        )
        if not counted:
            continue
        found = chk.evaluate(loads, d.drive.n, chk.at_position(p))
        use = found.utilisation()[0]
        for c, name in enumerate(found.names):
            if use[c] <= 0.0:
                continue
            times = 1.0 / float(use[c])
            share = st.chain_factor if name.group == "chain" else st.overload * st.design_factor
            if wrist:
                gives = float(pulls.F_in[0, p]) * times
                allowed = gives / share
            else:
                gives, allowed = (
                    float(gr.hook_kg(F_hook * f, demand, d.shares, demand.m_ideal)[0, p])
                    for f in (times, times / share)
                )
            rung = Rung(
                name.key, name.part, name.way, gives, allowed, position.name, _left(name.leaves)
            )
            yield c, rung


def _rungs(d: Moved, *, wrist: bool) -> tuple[Rung, ...]:
    best: dict[int, Rung] = {}
    for c, rung in _each(d, wrist=wrist):
        if c not in best or rung.gives < best[c].gives:
            best[c] = rung
    return tuple(sorted(best.values(), key=lambda r: r.gives))


def wrist_everywhere(d: Moved) -> tuple[Rung, ...]:
    """Rungs of every position apart: what each check takes there, N at the wrist."""
    return tuple(rung for _, rung in _each(d, wrist=True))


def wrist_ladder(d: Moved) -> tuple[Rung, ...]:
    """Rungs by pull at the wrist, N; the detail of one drive."""
    return _rungs(d, wrist=True)


def hook_ladder(d: Moved) -> tuple[Rung, ...]:
    """Rungs by load on the hook, kg; empty when nothing is carried."""
    if not (d.space.shelf.demand.carried > 0.0).any():
        return ()
    return _rungs(d, wrist=False)
