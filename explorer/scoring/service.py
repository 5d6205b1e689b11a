"""Service: when to look at each wearing joint, what limit to measure it against, when to change it.

Built on the weeks of `explorer.scoring.wear`; wear grows in step with use, so a coarser limit is reached
in proportion later.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from explorer.scoring.score import Detail

LEAST_SEEN = 0.05  # mm; a caliper shows no less for sure (common practice, no source)
LINKS = 10  # chain is measured over so many
LOOKS = 4  # looks in the life of a part: its rate of wear is known to a few times only (judgement)
YEAR = 52.0  # weeks

Kind = Literal["bush", "pin", "chain"]


@dataclass(frozen=True)
class Service:
    """One wearing joint.

    kind: what is changed: a bush, a bare pin with its hole, a chain; look, change: weeks between looks
    and until the change; limit: mm of play, or of length over `LINKS` links, more than when new;
    new: length over `LINKS` links when new, 0 for pins; spares for one year.
    """

    key: str
    part: str
    kind: Kind
    look: float
    change: float
    limit: float
    new: float
    spares: int


def spares(change: float) -> int:
    """Spares for one year of something changed every so many weeks: ceil(52/weeks); none if never."""
    return math.ceil(YEAR / change)


def service(d: Detail) -> tuple[Service, ...]:
    """Every wearing joint of one drive, the first to be changed first."""
    pins = {j.key: j for j in d.loads.pins}
    pitches = {c.key: float(c.pitch[0, 0]) for c in d.loads.chains}
    out = []
    for w in d.wear:
        j = pins.get(w.key)
        if j is None:
            new = LINKS * pitches[w.key]
            found = _one(w.key, w.part, "chain", float(w.weeks[0]), w.limit * new, new)
        else:
            bushed = float(j.d_mid[0, 0]) > float(j.d[0, 0]) or float(j.d_fork[0, 0]) > float(
                j.d[0, 0]
            )
            kind: Kind = "bush" if bushed else "pin"
            found = _one(w.key, w.part, kind, float(w.weeks[0]), w.limit, 0.0)
        out.append(found)
    return tuple(sorted(out, key=lambda s: s.change))


def _one(key: str, part: str, kind: Kind, weeks: float, limit: float, new: float) -> Service:
    """A limit too fine for a caliper is raised to what it can see, and is reached later."""
    seen = max(limit, LEAST_SEEN)
    change = weeks * (seen / limit)
    return Service(key, part, kind, change / LOOKS, change, seen, new, spares(change))


def soonest_look(rows: tuple[Service, ...]) -> float:
    """Weeks between looks at the whole drive: those of its shortest-lived joint; inf without wear."""
    return min((s.look for s in rows), default=math.inf)
