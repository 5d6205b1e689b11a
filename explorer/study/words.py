"""What a run says while it goes and when it ends: lines of words from records."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from explorer.brief.shell import quoted
from explorer.drives.assemble import tag
from explorer.scoring.limits import AIM_BY_NAME, BY_ID
from explorer.study.problem import broken, missed_by
from explorer.study.records import Kept, Ledger, Progress, StudyResult
from explorer.study.run import Begun, Went

_FAMILY = {
    "linked_lever": "levers", "chain_winder": "winder", "chain_differential": "differential",
    "chain": "chain", "bar": "bar",
}  # fmt: skip
_BEST = {
    "grip": "most grip {:.2f} x need", "pieces": "fewest pieces {:.0f}", "room": "least room {:.1f} cm3",
    "pin_margin": "best pin margin {:.2f}", "weeks": "longest {:.0f} weeks between services",
}  # fmt: skip
_UNIT = {"-": "", "money": "", "MS": " of margin"}
_EVERY_S = 60.0  # between lines
_EVERY_FIRST_S = 10.0  # on a terminal, in the first minute


def words_of(architecture: str) -> str:
    """An architecture as people say it."""
    first, second = architecture.split("+")
    return f"{_FAMILY[first]} with {_FAMILY[second]}"


def clock(seconds: float) -> str:
    """0:09, 12:30, 8:00:00."""
    minutes, s = divmod(int(seconds), 60)
    hours, m = divmod(minutes, 60)
    return f"{hours}:{m:02d}:{s:02d}" if hours else f"{m}:{s:02d}"


def many(n: int) -> str:
    """A count as one says it: 950, 48 000, 2.1 M."""
    if n >= 1_000_000:
        return f"{n / 1e6:.1f} M"
    return f"{n:,}".replace(",", " ")


def begun_lines(b: Begun, folder: Path) -> list[str]:
    """The first lines, before anything is computed."""
    head = (
        f"brief {b.brief_hash} · seed {b.seed} · {_by(b.algorithm, ' · ')}{b.workers} worker{'' if b.workers == 1 else 's'} · "
        "saved after every round; stop with Ctrl-C, nothing is lost"
    )
    lines = [head]
    if b.round:
        lines = [
            f"Going on from {clock(b.seconds)}, round {b.round}, same seed. The brief has not changed.",
            head,
        ]
    return lines + ([f"warning: {folder}: {b.warning}"] if b.warning else [])


def _by(algorithm: str, then: str) -> str:
    """A stock algorithm by its name; nothing of our own search."""
    return f"{algorithm}{then}" if algorithm else ""


class Pace:
    """Says which rounds are told: the first, the first that fits, then now and then."""

    def __init__(self, *, terminal: bool) -> None:
        self._terminal = terminal
        self._next = 0.0
        self._fits = False
        self._begun: float | None = None

    def line(self, went: Went) -> str | None:
        """A line of progress, or None where it is too soon for one."""
        p = went.progress
        first_fit = bool(p.keepers) and not self._fits
        if p.seconds < self._next and not first_fit:
            return None
        self._begun = p.seconds if self._begun is None else self._begun
        soon = self._terminal and p.seconds - self._begun < _EVERY_S
        self._next = p.seconds + (_EVERY_FIRST_S if soon else _EVERY_S)
        self._fits = bool(p.keepers)
        return progress_line(went)


def progress_line(went: Went) -> str:
    """One line: time, how many, how many keepers, the best or the nearest."""
    p = went.progress
    known = "" if went.share_done is None else f"  {100.0 * went.share_done:3.0f} %"
    head = f"{clock(p.seconds):>6}{known}  {many(p.looked_at):>8} looked at  {p.keepers:>4} kept   "
    if p.keepers:
        news = f" · last newcomer {clock(p.last_new)} ago" if p.last_new >= 1.0 else ""
        return head + " · ".join(_bests(p.best)) + news
    if went.nearest is not None:
        return (
            head + f"closest: {words_of(went.nearest.architecture)}, {miss_words(went.nearest, 1)}"
        )
    return head + "none fits yet"


def _bests(best: Mapping[str, float]) -> list[str]:
    return [_BEST[n].format(v) for n, v in best.items() if n in _BEST][:3]


def miss_words(kept: Kept, most: int = 3) -> str:
    """By how much a drive misses, each limit in its own unit."""
    said = [
        f"{_amount(-kept.slacks[i], BY_ID[i].unit)} {_SHORT.get(i, f'short in {i}')}"
        for i in broken(kept.slacks)
    ]
    return ", ".join(said[:most]) + (f" and {len(said) - most} more" if len(said) > most else "")


_SHORT = {
    "cavity": "too large for the palm", "keepout": "into a keep-out", "clearance": "too close to itself",
    "stroke": "of stroke too much", "strength": "short in strength", "grip": "short in grip",
}  # fmt: skip


def _amount(value: float, unit: str) -> str:
    return f"{value:.3g}{_UNIT.get(unit, f' {unit}')}"


def stopped_lines(r: StudyResult, folder: Path) -> list[str]:
    """The end of a run that somebody stopped."""
    go_on = f"Go on: evener run {quoted(folder)}"
    return [
        f"stopped at {clock(r.seconds)}, saved (round {r.rounds}, {len(r.keepers)} kept). {go_on}"
    ]


def done_lines(r: StudyResult) -> list[str]:
    """The end of a run that did what was asked: what it found."""
    if not r.keepers:
        return _nothing_fits(r)
    plural = "" if len(r.keepers) == 1 else "s"
    lines = [f"Done. {len(r.keepers)} keeper{plural} of {many(r.looked_at)}. {_agreement(r)}"]
    if not r.settled:
        lines.append(f"{not_settled(r)} {unsettled(r)}".strip())
    return lines + [line for line in (_architecture(r, x.architecture) for x in r.ledger) if line]


def not_settled(r: StudyResult) -> str:
    """What to say of a search that is not settled at its end."""
    if r.settled_at:
        return f"The search had settled after {many(r.settled_at)}, went on, and came upon more."
    return "The search had not settled: more time may find more."


def unsettled(r: StudyResult) -> str:
    """The kinds of which something fits and the search has not settled, and how far each is from it."""
    off = [
        f"{words_of(c.architecture)} ({percent(c.growth)} more in its last quarter, "
        f"two searches {percent(c.apart)} apart)"
        for c in r.covered
        if not c.settled and c.growth is not None and c.apart is not None
    ]
    return f"Still moving: {'; '.join(off)}." if off else ""


def percent(share: float) -> str:
    """A share in per cent, with as many digits as the limits of what is settled have."""
    return f"{100.0 * share:.2f} %" if share < 0.01 else f"{100.0 * share:.1f} %"


def after_lines(
    r: StudyResult, folder: Path, page: Path, start: str | None, *, packs: bool
) -> list[str]:
    """The last lines of a run: where the report is, and what to type next.

    `start` is the drive that the report says to begin with; `packs`, whether a build pack of it can be made.
    """
    then = f"Next: {next_words(r, folder, start, packs=packs)}"
    if r.state != "done":
        return [f"Report so far: {page}      {then}"]
    if not r.keepers:
        near = _nearest(r)
        told = f"Nearest miss: {near[0].name}, drawn in" if near else "Report:"
        return [f"{told} {page}{' section 3.' if near else ''}      {then}"]
    return [*unpacked_lines(r, start, packs=packs), f"Report: {page}      {then}"]


def unpacked_lines(r: StudyResult, start: str | None, *, packs: bool) -> list[str]:
    """Why no build pack is offered, where drives fit and none is."""
    if packs or not r.keepers:
        return []
    if start is None:
        why = (
            "the most even break a limit at true link lengths (check leans), or clash while closing"
        )
    else:
        why = f"parts of {start} clash while it closes"
    return [f"No build pack is offered: {why}. Try another keeper, or a longer run."]


def next_words(
    r: StudyResult, folder: Path, start: str | None = None, *, packs: bool = False
) -> str:
    """The command, or the two, that come after a report."""
    study = quoted(folder)
    if r.state != "done":
        return f"evener {'status' if r.state == 'running' else 'run'} {study}"
    if packs and start is not None:
        return f"evener show {study} {start}, or evener pack {study} {start}"
    near = [best_kept(r)] if r.keepers else _nearest(r)
    drive = start or (near[0].name if near else None)
    return f"evener status {study}" if drive is None else f"evener show {study} {drive}"


def unreported_line(folder: Path, why: str) -> str:
    """A run is over and saved; its page alone could not be written."""
    return (
        f"The run is saved; its report is not written: {why} Again: evener report {quoted(folder)}"
    )


def best_kept(r: StudyResult) -> Kept:
    """The keeper that is best in the first aim it has a score for."""
    first = next(iter(r.progress[-1].best))
    sign = -1.0 if AIM_BY_NAME[first].more else 1.0
    return min(r.keepers, key=lambda k: (sign * k.aims[first], k.name))


def _agreement(r: StudyResult) -> str:
    """How far the seeds agree in the first two aims."""
    if len(r.agreement) <= 1 or not all(a.best for a in r.agreement):
        return "One seed alone: nothing to compare it with."
    said = []
    for name in list(r.agreement[0].best)[:2]:
        values = [a.best[name] for a in r.agreement]
        unit = AIM_BY_NAME[name].unit
        apart = max(values) - min(values)
        how = f"within {apart:.2g} {unit}".rstrip(" -") if apart else "exactly"
        said.append(f"best {name.replace('_', ' ')} {how}")
    return f"{len(r.agreement)} seeds agree on {', '.join(said)}."


def _architecture(r: StudyResult, architecture: str) -> str:
    """What became of a kind that has no keeper."""
    row = next(x for x in r.ledger if x.architecture == architecture)
    if row.kept:
        return ""
    name = words_of(architecture)
    own = next((k for k in r.misses if k.architecture == architecture), None)
    if row.fits and own is not None:
        return f"{name.capitalize()}: {many(row.fits)} fit, all beaten; the best, {own.name}, by {r.shown.get(own.name, 'others')}."
    if own is not None:
        return f"{name.capitalize()}: none fits; {own.name} comes nearest, {miss_words(own)}."
    return ""


def _nothing_fits(r: StudyResult) -> list[str]:
    nearest = _nearest(r)
    if not nearest:
        return [f"{many(r.looked_at)} looked at, none fits."]
    off = broken(nearest[0].slacks)[:2]
    names = " and ".join(BY_ID[i].id.replace("_", " ") for i in off)
    clash = f"Two limits clash: {names}." if len(off) > 1 else f"One limit keeps them out: {names}."
    lines = [f"{many(r.looked_at)} looked at, none fits. {clash}"]
    lines += [f"  {k.name}  {words_of(k.architecture)}: {miss_words(k)}" for k in nearest]
    return lines + [f"What eases {i.replace('_', ' ')}: {BY_ID[i].ease}." for i in off]


def _nearest(r: StudyResult) -> list[Kept]:
    """Nearest misses, the nearest first."""
    return sorted(r.misses, key=lambda k: missed_by(k.slacks))


def status_lines(r: StudyResult, folder: Path) -> list[str]:
    """Where a study stands."""
    if r.state == "never run":
        return [f"{folder} was never run.", f"Next: evener run {quoted(folder)}"]
    known = "" if r.share_done is None else f", {100.0 * r.share_done:.0f} % of {r.asked}"
    head = (
        f"{folder}: {r.state}{known}. Brief {r.brief_hash}, seed {r.seeds[0]}, {_by(r.algorithm, ', ')}round {r.rounds}, "
        f"{clock(r.seconds)}, {many(r.looked_at)} looked at, {len(r.keepers)} kept."
    )
    lines = [head]
    if r.progress and r.keepers:
        p: Progress = r.progress[-1]
        lines.append(
            f"{' · '.join(_bests(p.best))} · last newcomer {clock(p.last_new)} ago".capitalize()
        )
    lines.append("Settled." if r.settled else f"Not settled yet. {unsettled(r)}".strip())
    lines += [_ledger_line(r, row) for row in r.ledger]
    if r.faults:
        lines.append(f"{r.faults} drives could not be scored: a fault of ours.")
    after = {"running": "status", "interrupted": "run"}.get(r.state, "report")
    return [*lines, f"Next: evener {after} {quoted(folder)}"]


def _ledger_line(r: StudyResult, row: Ledger) -> str:
    told = _architecture(r, row.architecture)
    return (
        f"  {tag(row.architecture)}  {many(row.fits):>8} fit  {row.kept:>4} kept   {told}".rstrip()
    )
