"""How hard the search looked, and how far the second route and the cautions reach."""

from __future__ import annotations

from explorer.report import story
from explorer.report.gather import Gathered
from explorer.report.scales import scales, words
from explorer.show.facts import words_of
from explorer.show.layout import number
from explorer.show.layout import words_of as list_of
from explorer.show.plain import Json
from explorer.study.words import percent


def time_words(seconds: float) -> str:
    """A time on the clock as one says it."""
    whole = round(seconds)
    if whole < 120:
        return f"{whole} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60} min"


def effort(g: Gathered) -> list[tuple[str, str]]:
    """What the run did."""
    r = g.result
    out = [
        ("drives looked at", story.many(r.looked_at)),
        ("rounds", str(r.rounds)),
        ("time on the clock", time_words(r.seconds)),
        ("workers", str(r.workers)),
        ("fitted", story.many(sum(row.fits for row in r.ledger))),
        ("kept", str(len(g.keepers))),
        ("drives that could not be scored (faults of ours)", str(r.faults)),
    ]
    if r.progress:
        out.append(
            (
                "last newcomer among the keepers",
                f"{time_words(r.progress[-1].last_new)} before the end",
            )
        )
    return out


def covered(g: Gathered) -> list[tuple[str, list[str]]]:
    """By kind: growth in its last quarter, how far two searches lie apart, whether it has settled."""
    told = []
    for c in g.result.covered:
        shares = ["-" if s is None else percent(s) for s in (c.growth, c.apart)]
        told.append((words_of(c.architecture), [*shares, "settled" if c.settled else "not yet"]))
    return told


def agreement(g: Gathered) -> list[tuple[str, list[str]]]:
    """First of each aim by seed."""
    unit = {s.rule.name: s.rule.unit for s in scales(g)}
    return [
        (str(a.seed), [words(a.best.get(name), u, g.study.currency) for name, u in unit.items()])
        for a in g.result.agreement
    ]


def leans(g: Gathered) -> list[tuple[str, str]]:
    """How far the exact linkage pulls otherwise, a drive."""
    out = []
    for name, w in g.whole.items():
        exact = w.facts["exact"]
        if isinstance(exact, dict) and w.entry.kind != "miss":
            moved = exact["largest_grip_difference_share"]
            told = (
                "cannot be solved"
                if not exact["solved"]
                else f"{number(100 * abs(number_of(moved, 0.0)), 1)} %"
            )
            out.append((name, told + (", check leans" if exact["check_leans"] else "")))
    return out


def cautions(g: Gathered) -> list[str]:
    """Cautions of the drives that the page works out, each once."""
    told: dict[str, list[str]] = {}
    for name, w in g.whole.items():
        for c in list_of(w.facts["cautions"]):
            if w.entry.kind != "miss":
                told.setdefault(c, []).append(name)
    every = sum(w.entry.kind != "miss" for w in g.whole.values())
    return [c if len(who) == every else f"{', '.join(who)}: {c}" for c, who in told.items()]


def number_of(value: Json, otherwise: float = float("nan")) -> float:
    """A number of the facts, or another where there is none."""
    return float(value) if isinstance(value, (int, float)) else otherwise
