"""First-to-give: at which pull at the wrist, or load on the hook, each check reaches its strength."""

from __future__ import annotations

from dataclasses import dataclass

from explorer.drives import checks as chk
from explorer.drives.joints import Leaves
from explorer.drives.pulls import carried_pull, strength_pulls
from explorer.scoring import grip as gr
from explorer.scoring.score import Detail

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


def _left(leaves: Leaves) -> str:
    return LEFT[leaves]


def _rungs(d: Detail, *, wrist: bool) -> tuple[Rung, ...]:
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    pulls = strength_pulls(d.motion, d.shares, demand, brief, wrist=wrist, hook=not wrist)
    loads = d.space.loads(d.drive, d.motion, pulls)
    st = brief.strength
    best: dict[int, Rung] = {}
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
            if c not in best or rung.gives < best[c].gives:
                best[c] = rung
    return tuple(sorted(best.values(), key=lambda r: r.gives))


def wrist_ladder(d: Detail) -> tuple[Rung, ...]:
    """Rungs by pull at the wrist, N; the detail of one drive."""
    return _rungs(d, wrist=True)


def hook_ladder(d: Detail) -> tuple[Rung, ...]:
    """Rungs by load on the hook, kg; empty when nothing is carried."""
    if not (d.space.shelf.demand.carried > 0.0).any():
        return ()
    return _rungs(d, wrist=False)
