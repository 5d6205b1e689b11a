"""Which few to look at first, and why each: the short row, and the one to start with.

Aims count up to their `enough` level, as in the search.  The choice is by rule and printed beside each
drive: best on each aim, nearest to an old build, then farthest from those already chosen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from explorer.mechanics.types import Floats
from explorer.scoring.limits import AimRule

SHORT = 8


class Scored(Protocol):
    """Anything with a name and aims."""

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def aims(self) -> Mapping[str, float]:
        """Its scores."""


@dataclass(frozen=True)
class Choice:
    """One of the short row and why it is there."""

    name: str
    why: str


SHORT_WORDS = {
    "grip": "grip",
    "pieces": "pieces",
    "room": "room",
    "pin_margin": "pin margin",
    "weeks": "service interval",
    "fatigue": "fatigue margin",
    "share_error": "share error",
    "box": "overall box",
    "carried": "hook load",
    "neighbour": "neighbour travel",
    "mass": "mass",
    "stroke": "wrist travel",
    "part_numbers": "different parts",
    "hours": "workshop hours",
    "cost": "cost",
}


_FIRST = {
    "pieces": "fewest",
    "part_numbers": "fewest",
    "hours": "fewest",
    "weeks": "longest",
    "pin_margin": "largest",
    "carried": "largest",
    "share_error": "smallest",
    "box": "smallest",
    "cost": "lowest",
}  # what being first on an aim is called, where it is not "most" or "least"


def counted(rule: AimRule, value: float, enough: Mapping[str, float]) -> float:
    """What an aim counts, larger is better: clipped where more earns nothing."""
    limit = enough.get(rule.name)
    if limit is not None:
        value = min(value, limit) if rule.more else max(value, limit)
    value = min(max(value, -1e12), 1e12)
    return value if rule.more else -value


def regrets(
    aims: Sequence[AimRule],
    enough: Mapping[str, float],
    rows: Sequence[Scored],
    among: Sequence[Scored],
) -> Floats:
    """How far each of `rows` lies below the best of `among`, (R,A), 1 being their whole range."""
    pool = np.array([[counted(a, e.aims[a.name], enough) for a in aims] for e in among])
    own = np.array([[counted(a, e.aims[a.name], enough) for a in aims] for e in rows])
    best, worst = pool.max(axis=0), pool.min(axis=0)
    span = np.where(best > worst, best - worst, 1.0)
    return np.asarray((best - own) / span)


def by_evenness(
    aims: Sequence[AimRule], enough: Mapping[str, float], keepers: Sequence[Scored]
) -> tuple[int, ...]:
    """Places of the keepers, first the one whose worst aim is least far from the best."""
    if not keepers or not aims:
        return tuple(range(len(keepers)))
    worst = regrets(aims, enough, keepers, keepers).max(axis=1)
    return tuple(int(i) for i in np.argsort(worst, kind="stable"))


def gives_all(keeper: Scored) -> bool:
    """Whether its weakest powered grip gets all that it needs; where there is none, none is short."""
    return keeper.aims.get("grip", 1.0) >= 1.0


def stands_out(keeper: Scored, keepers: Sequence[Scored]) -> bool:
    """Whether it gives all and others do not."""
    return gives_all(keeper) and not all(gives_all(k) for k in keepers)


def to_begin_with(
    aims: Sequence[AimRule], enough: Mapping[str, float], keepers: Sequence[Scored]
) -> tuple[int, ...]:
    """Places of the keepers in the order in which one would build them: what gives all first, then the most even.

    A grip that the job needs is not traded for pieces or room where a keeper gives it.
    """
    return tuple(
        sorted(by_evenness(aims, enough, keepers), key=lambda i: not gives_all(keepers[i]))
    )


def short_row(
    aims: Sequence[AimRule],
    enough: Mapping[str, float],
    keepers: Sequence[Scored],
    builds: Sequence[Scored],
) -> tuple[Choice, ...]:
    """At most eight keepers with the reason for each."""
    if not keepers:
        return ()
    if not aims:
        return tuple(Choice(k.name, "kept") for k in keepers[:SHORT])
    why: dict[str, list[str]] = {}
    far = regrets(aims, enough, keepers, keepers)
    for j, a in enumerate(aims):
        ties = far[:, j] <= 0.0
        i = int(np.argmin(np.where(ties, far.sum(axis=1), np.inf)))
        reached = a.name in enough and bool(ties.sum() > 1)
        word = "enough" if reached else _FIRST.get(a.name, "most" if a.more else "least")
        why.setdefault(keepers[i].name, []).append(f"{word} {SHORT_WORDS[a.name]}")
    for b in builds[:2]:
        if all(a.name in b.aims for a in aims) and len(why) < SHORT:
            gap = np.abs(far - regrets(aims, enough, [b], keepers)).sum(axis=1)
            why.setdefault(keepers[int(np.argmin(gap))].name, []).append(
                f"scores most like “{b.name}”"
            )
    names = [k.name for k in keepers]
    while len(why) < min(SHORT, len(keepers)):
        chosen = far[[names.index(n) for n in why]]
        away = np.abs(far[:, None, :] - chosen[None, :, :]).max(axis=2).min(axis=1)
        i = int(np.argmax(away))
        if away[i] <= 0.0:
            break
        why[names[i]] = ["unlike the others"]
    return tuple(Choice(k.name, "; ".join(why[k.name])) for k in keepers if k.name in why)
