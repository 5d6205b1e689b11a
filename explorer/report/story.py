"""The sentences of the page, computed from the result: what to build next, which kinds fit, how the old fared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from explorer.drives.assemble import ARCHITECTURES, tag
from explorer.report.choose import SHORT_WORDS, gives_all, regrets, stands_out
from explorer.report.gather import Entry, Gathered, Whole
from explorer.report.scales import words
from explorer.scoring.limits import BY_ID, AimRule
from explorer.show.facts import words_of
from explorer.show.layout import number, rows_of, table_of
from explorer.show.plain import Json
from explorer.study.problem import missed_by
from explorer.study.records import Kept, Ledger

FIRST = (
    ("the wrist's peak torque", "wrist.torque_peak_Nm"),
    ("the cavity's height", "cavity.z_mm"),
    ("the grips a day", "use.grips_per_day"),
)
_ALL_BUT = 0.99  # a grip of this share of its need would be written as nearly 1


@dataclass(frozen=True)
class KindRow:
    """One architecture in the ledger: how far its drives came, and what that says."""

    tag: str
    words: str
    counts: Ledger | None
    sentence: str
    limits: tuple[str, ...]  # the nearest miss's broken limits, each in its own unit
    miss: str | None


def aim_value(g: Gathered, e: Entry, rule: AimRule) -> str:
    """A drive's score on an aim as the page writes it."""
    return words(e.aims.get(rule.name), rule.unit, g.study.currency)


def with_word(g: Gathered, e: Entry, rule: AimRule) -> str:
    """A score with its aim's word, once: "grip 0.91 × need", "73 pieces"."""
    told = aim_value(g, e, rule)
    return told if rule.unit in {"pieces", "parts"} else f"{SHORT_WORDS[rule.name]} {told}"


def best(g: Gathered, rule: AimRule, among: Sequence[Entry] | None = None) -> Entry:
    """The keeper that stands first on an aim."""
    rows = among or g.keepers
    return (max if rule.more else min)(rows, key=lambda e: e.aims[rule.name])


def next_build(g: Gathered) -> tuple[str, ...]:
    """Section 1 in a few sentences."""
    return tuple(
        s
        for s in (_count(g), _need(g), _start(g), _decides(g), _families(g), _olds(g), _measure(g))
        if s
    )


def headline(g: Gathered) -> str:
    """The state in a few words, for the head of the page."""
    r = g.result
    if r.state == "never run":
        return "not searched yet"
    if g.searching:
        share = "" if r.share_done is None else f", {number(100 * r.share_done, 0)} %"
        word = "still searching" if r.state == "running" else "interrupted"
        return f"unfinished ({word}{share}), {len(g.keepers)} unbeaten so far"
    if r.settled:
        return "settled"
    if r.settled_at:
        return f"settled after {many(r.settled_at)} drives, then came upon more"
    return "rough: the search had not settled when it ended"


def _count(g: Gathered) -> str:
    n, looked = len(g.keepers), many(g.result.looked_at)
    far = " so far" if g.searching else ""
    fitted = sum(row.fits for row in g.result.ledger)
    if not n:
        return _none_fits(g, looked)
    if n == 1:
        return (
            f"Only {g.keepers[0].name} is left{far} of {looked} drives looked at: nothing else that fits is not "
            "beaten by it. There is nothing to trade; easing a limit gives a choice (section 3)."
        )
    if not g.aims or len(g.aims) == 1:
        return f"{n} drives fit and are kept{far}, of {looked} looked at; with one aim they are a ranked list."
    return (
        f"{n} drives are kept{far}: they fit, and none of them beats another on everything (the Pareto front). "
        f"{looked} were looked at; {many(fitted)} of these fit."
    )


def _none_fits(g: Gathered, looked: str) -> str:
    far = " so far" if g.searching else ""
    misses = [k for k in g.result.misses if not k.fits]
    if not misses:
        return f"Nothing fits{far}: of {looked} drives looked at none holds every limit."
    near = min(misses, key=lambda k: missed_by(k.slacks))
    return (
        f"Nothing fits{far}: of {looked} drives looked at none holds every limit. The nearest, {near.name}, misses "
        f"by {'; '.join(short_of(near)[:3])}. Section 3 says what each kind misses, and what eases it."
    )


def short_of(kept: Kept) -> list[str]:
    """Each broken limit by how much, in its own unit, worst first."""
    broken = [(i, v) for i, v in kept.slacks.items() if v < 0.0]
    broken.sort(key=lambda item: item[1] / BY_ID[item[0]].scale)
    return [f"{limit_name(i)} {_short(i, v)}" for i, v in broken]


def _short(limit: str, slack: float) -> str:
    unit = BY_ID[limit].unit
    told = words(-slack, unit)
    if any(c in "123456789" for c in told):
        return told
    figures = told.split(" ")[0]
    return f"less than {told.replace(figures, figures[:-1] + '1', 1)}"


def limit_name(limit: str) -> str:
    """A limit in words: `pin_size` is "pin size"."""
    return {"cavity": "room in the cavity", "keepout": "keep-outs", "strand": "strand length"}.get(
        limit, limit.replace("_", " ")
    )


def _start(g: Gathered) -> str:
    if g.start is None and g.keepers:
        return (
            "The most even ones break a limit with links at their true lengths (check leans), or their parts clash "
            "while they close: no pack can be made of them yet. More room or a larger lean limit would help."
        )
    if g.start is None or len(g.keepers) < 2:
        return ""
    e = g.find(g.start)
    if not g.aims:
        return f"Start with {e.name}."
    far = regrets(g.aims, g.enough, [e], g.keepers)[0]
    j = int(far.argmax())
    told = ", ".join(with_word(g, e, a) for a in g.aims)
    kept = f"no aim gives up more than {number(100 * far[j], 0)} % of the keepers' range ({SHORT_WORDS[g.aims[j].name]})"
    lead = "So far the most even one is" if g.searching else "If you build one, build"
    who = "give every powered grip all that it needs and " if stands_out(e, g.keepers) else ""
    return (
        f"{lead} {e.name} ({words_of(e.architecture)}): {told}. Of the keepers that {who}can have a build pack "
        f"it is the most even: {kept}."
    )


def _need(g: Gathered) -> str:
    """Whether any keeper gives its weakest grip all that it needs."""
    if not g.keepers or not any(a.name == "grip" for a in g.aims):
        return ""
    enough = [e for e in g.keepers if gives_all(e)]
    far = " so far" if g.searching else ""
    if not enough:
        first = max(g.keepers, key=lambda e: e.aims["grip"])
        told = words(first.aims["grip"], "x need")
        near = (
            f"with {told}"
            if first.aims["grip"] < _ALL_BUT
            else "within one part in a hundred of it"
        )
        return (
            f"None{far} gives its weakest grip all that it needs at a comfortable pull; {first.name} comes nearest, "
            f"{near}. The brief lets that pass."
        )
    if len(enough) == len(g.keepers):
        return ""
    return f"{len(enough)} of them{far} give{'s' if len(enough) == 1 else ''} every powered grip all that it needs at a comfortable pull."


def _decides(g: Gathered) -> str:
    if len(g.keepers) < 2 or len(g.aims) < 2:
        return ""
    a, b = g.aims[0], g.aims[1]
    x, y = best(g, a), best(g, b)
    if x.name == y.name:
        return f"{x.name} is first on both {SHORT_WORDS[a.name]} and {SHORT_WORDS[b.name]}; what decides is the rest."
    return (
        f"What decides is {SHORT_WORDS[a.name]} against {SHORT_WORDS[b.name]}: "
        f"{x.name} gives {aim_value(g, x, a)} at {aim_value(g, x, b)}, {y.name} gives {aim_value(g, y, a)} at "
        f"{aim_value(g, y, b)}."
    )


def _families(g: Gathered) -> str:
    if not g.aims or not g.keepers:
        return ""
    told = []
    for kind in ("levers", "winder", "differential"):
        rows = [e for e in g.keepers if e.family == kind]
        if rows:
            first = best(g, g.aims[0], rows)
            told.append(f"{kind} {first.name} with {aim_value(g, first, g.aims[0])}")
        else:
            told.append(f"no {kind} is kept")
    lead = f"First of each family on {SHORT_WORDS[g.aims[0].name]}" + (
        " so far" if g.searching else ""
    )
    return f"{lead}: {'; '.join(told)}."


def _olds(g: Gathered) -> str:
    if not g.builds:
        return ""
    return " ".join(old_fate(g, g.whole[e.name]) for e in g.builds[:2])


def old_fate(g: Gathered, w: Whole) -> str:
    """One old build, scored the same way, in a sentence."""
    rungs = rows_of(table_of(w.facts["first_to_give"])["wrist"])
    peak = g.shelf.demand.pull_peak
    fits = "would fit this brief" if w.entry.fits else "does not fit this brief"
    told = f"Your “{w.entry.name}”, scored the same way, {fits}"
    if rungs and isinstance(rungs[0]["gives_N"], (int, float)):
        gives = rungs[0]["gives_N"]
        told += f"; first to give would be {rungs[0]['part']} at {words(gives, 'N')}, {number(gives / peak, 1)} × your peak"
    broke = table_of(w.facts["broke"])
    if broke:
        same = bool(rungs) and broken_rungs(w, rungs[:1])
        told += f"; what broke was {broke['part']}" + (": that joint" if same else "")
    return told + "."


def broken_rungs(w: Whole, rungs: Sequence[Mapping[str, Json]]) -> list[Mapping[str, Json]]:
    """The rungs of the part that broke, by its name."""
    broke = table_of(w.facts["broke"])
    if not broke:
        return []
    asked = _plain(str(broke["part"]))
    return [
        r
        for r in rungs
        if asked and (asked in _plain(str(r["part"])) or asked in _plain(str(r["key"])))
    ]


def _plain(name: str) -> str:
    return " ".join(word.removesuffix("s") for word in name.lower().replace("-", " ").split())


def _measure(g: Gathered) -> str:
    guessed = {p.path for p in g.study.guesses}
    for told, path in FIRST:
        if path in guessed:
            return (
                f"Measure {told} next: it is a guess still, as are {len(guessed) - 1} other values of the brief, and "
                "every load follows from it."
                if path.startswith("wrist")
                else f"Measure {told} next: it is a guess still, one of {len(guessed)}."
            )
    return f"{len(guessed)} values of the brief are guesses." if guessed else ""


def kinds(g: Gathered) -> tuple[KindRow, ...]:
    """The ledger of all architectures."""
    counts = {row.architecture: row for row in g.result.ledger}
    return tuple(_kind(g, a, counts.get(a)) for a in ARCHITECTURES)


def _kind(g: Gathered, architecture: str, row: Ledger | None) -> KindRow:
    kept = [e for e in g.keepers if e.architecture == architecture]
    miss = next((k for k in g.result.misses if k.architecture == architecture and not k.fits), None)
    limits = tuple(short_of(miss)) if miss and not kept else ()
    told = _kept_sentence(g, kept) if kept else _gone_sentence(g, architecture, row, miss)
    return KindRow(
        tag(architecture),
        words_of(architecture),
        row,
        told,
        limits,
        miss.name if miss and not kept else None,
    )


def _kept_sentence(g: Gathered, kept: Sequence[Entry]) -> str:
    if not g.aims:
        return f"{kept[0].name} and {len(kept) - 1} more." if len(kept) > 1 else f"{kept[0].name}."
    a = g.aims[0]
    first = best(g, a, kept)
    return f"{first.name} has its {'least' if not a.more else 'most'} {SHORT_WORDS[a.name]}, {aim_value(g, first, a)}."


def _gone_sentence(g: Gathered, architecture: str, row: Ledger | None, miss: Kept | None) -> str:
    if row is None or not row.looked_at:
        return "Not looked at."
    if row.fits:
        own, by = beaten(g, architecture)
        if own and by:
            return f"{many(row.fits)} fit, none is kept: {own} comes nearest and is beaten by {by}."
        return f"{many(row.fits)} fit, but others beat each of them."
    if miss is None:
        return "None fits."
    broken = [i for i, v in miss.slacks.items() if v < 0.0]
    worst = min(broken, key=lambda i: miss.slacks[i] / BY_ID[i].scale) if broken else ""
    ease = f" What eases {limit_name(worst)}: {BY_ID[worst].ease}." if worst else ""
    return f"None fits. {miss.name} comes nearest; short by {'; '.join(short_of(miss)[:2])}.{ease}"


def beaten(g: Gathered, architecture: str) -> tuple[str, str]:
    """An architecture's best drive that is not kept, and what beats it."""
    own = {e.name for e in g.others if e.architecture == architecture and e.fits}
    for key, by in g.result.shown.items():
        if key in own:
            return key, by
        if key == architecture and own:
            return min(own), by
    return "", ""


def many(count: int) -> str:
    """A large count as one says it."""
    if count >= 1_000_000:
        return f"{number(count / 1e6, 1)} million"
    return f"{count:,}".replace(",", "\u00a0")
