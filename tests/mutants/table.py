"""The record of a run: one line a mutant in fates.csv, and the table that people read."""

from __future__ import annotations

import csv
import tomllib
from collections import Counter
from datetime import UTC, datetime
from math import sqrt
from pathlib import Path

from tests.mutants import population
from tests.mutants.operators import OPERATORS
from tests.mutants.population import Mutant
from tests.mutants.runner import HUNG, KILLED, LIVED, Fate

HERE = Path(__file__).parent
FATES, FRESH = HERE / "fates.csv", HERE / "fresh.csv"
TABLE, REASONS = HERE / "table.md", HERE / "reasons.toml"
SAMPLE = 1200


def read_fates(path: Path = FATES) -> dict[str, Fate]:
    """Recorded fates by id."""
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as file:
        return {r["id"]: Fate(r["id"], r["fate"], r["by"]) for r in csv.DictReader(file)}


def write_fates(found: dict[str, Fate], path: Path = FATES) -> None:
    """Sorted by id, so that a new run changes few lines."""
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["id", "fate", "by"])
        out.writerows([f.id, f.fate, f.by] for _, f in sorted(found.items()))


def module_of(id_: str) -> str:
    """The module that an id names."""
    return id_.split("/", maxsplit=1)[0]


def wilson(k: int, n: int, z: float = 1.959964) -> tuple[float, float]:
    """95 % interval of a share k/n.  Source: Wilson 1927 (from memory)."""
    p, z2 = k / n, z * z
    middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n)
    half = z / (1.0 + z2 / n) * sqrt(p * (1.0 - p) / n + z2 / (4.0 * n * n))
    return middle - half, middle + half


def reasons() -> dict[str, dict[str, str]]:
    """Why survivors live: id -> kind ("same" or "open") and words."""
    if not REASONS.exists():
        return {}
    return {r["id"]: r for r in tomllib.loads(REASONS.read_text(encoding="utf-8"))["survivor"]}


def write_table(found: dict[str, Fate], path: Path = TABLE) -> None:
    """The table of a run, dated today."""
    today = datetime.now(UTC).date().isoformat()
    path.write_text(told(found, today), encoding="utf-8")


def told(found: dict[str, Fate], today: str) -> str:
    """The whole text."""
    known = {m.id: m for name in population.modules() for m in population.mutants_of(name)}
    lines = _head(found, today, len(known))
    lines += _unseen(read_fates(FRESH), known)
    lines += _modules(found, known)
    lines += _operators(found)
    lines += _survivors(found, known)
    return "\n".join(lines) + "\n"


def counted(found: dict[str, Fate]) -> Counter[str]:
    """How many of each fate."""
    return Counter(f.fate for f in found.values())


def _head(found: dict[str, Fate], today: str, whole: int) -> list[str]:
    n, fates = len(found), counted(found)
    dead = fates[KILLED] + fates[HUNG]
    low, high = wilson(dead, n)
    lived = {i for i, f in found.items() if f.fate == LIVED}  # a reason may outlive its survivor
    same = sum(r["kind"] == "same" for i, r in reasons().items() if i in lived)
    lines = [
        "# Mutants of mechanics and drives",
        "",
        f"Written {today}, after a run of `python -m tests.mutants`.",
        "",
        f"- {whole} mutants can be made; {n} were run, a fixed random sample, every module in proportion.",
        f"- Noticed: {dead} ({fates[KILLED]} by a failing test, {fates[HUNG]} by running over their time).",
        f"- Lived: {fates[LIVED]}.",
        f"- Share noticed, every survivor counted against us: **{dead / n:.1%}** ({_span(low, high)}).",
    ]
    if same and n > same:
        low, high = wilson(dead, n - same)
        words = f"- Without the {same} survivors that compute the same, for the reasons below:"
        lines += [f"{words} **{dead / (n - same):.1%}** ({_span(low, high)})."]
    return [*lines, "- Each was run against its module's own tests only (`own.toml`)."]


def _unseen(found: dict[str, Fate], known: dict[str, Mutant]) -> list[str]:
    """The tests judged by mutants that they were not written by."""
    if not found:
        return [""]
    n, fates = len(found), counted(found)
    dead = fates[KILLED] + fates[HUNG]
    words = [
        f"{n} more, outside the sample, run once after the tests above were written: {dead} noticed,"
    ]
    words += [f"**{dead / n:.1%}** ({_span(*wilson(dead, n))}), whatever lives counted against us."]
    lines = ["", " ".join(words), "They say what the whole population would; those that lived:", ""]
    for id_ in sorted(i for i, f in found.items() if f.fate == LIVED):
        m = known.get(id_)
        lines.append(f"- {id_}: `{_cell(m.words)}`" if m else f"- {id_}")
    return [*lines, ""]


def _span(low: float, high: float) -> str:
    return f"95 % interval {low:.1%} to {high:.1%}, Wilson"


def _modules(found: dict[str, Fate], known: dict[str, Mutant]) -> list[str]:
    made, ran = Counter(m.module for m in known.values()), Counter(map(module_of, found))
    by = Counter((module_of(f.id), f.fate) for f in found.values())
    lines = ["| module | made | run | by a test | by time | lived | noticed | 95 % interval |",
             "|---|---:|---:|---:|---:|---:|---:|---|"]  # fmt: skip
    for module in sorted(ran):
        n, dead = ran[module], by[module, KILLED] + by[module, HUNG]
        low, high = wilson(dead, n)
        counts = (made[module], n, by[module, KILLED], by[module, HUNG], by[module, LIVED])
        cells = [module, *map(str, counts), f"{dead / n:.0%}", f"{low:.0%} to {high:.0%}"]
        lines += [f"| {' | '.join(cells)} |"]
    return [*lines, ""]


def _operators(found: dict[str, Fate]) -> list[str]:
    lines = ["| operator | run | lived | what it does |", "|---|---:|---:|---|"]
    ran = Counter(_operator(i) for i in found)
    lived = Counter(_operator(i) for i, f in found.items() if f.fate == LIVED)
    lines += [f"| {o} | {ran[o]} | {lived[o]} | {words} |" for o, words in OPERATORS.items()]
    return [*lines, ""]


def _operator(id_: str) -> str:
    return id_.split("/")[2].partition("@")[0].rpartition("-")[0]


def _survivors(found: dict[str, Fate], known: dict[str, Mutant]) -> list[str]:
    why = reasons()
    kinds = (
        "`same`: computes the same for every legal input. `open`: a test could notice, none does."
    )
    lines = ["## Survivors", "", kinds, "",
             "| id | line | change | kind | reason |", "|---|---:|---|---|---|"]  # fmt: skip
    for id_ in sorted(i for i, f in found.items() if f.fate == LIVED):
        m, r = known.get(id_), why.get(id_, {"kind": "open", "why": "not looked at"})
        words = f"`{_cell(m.words)}`" if m else "the unit was edited since"
        lines += [f"| {id_} | {m.line if m else ''} | {words} | {r['kind']} | {_cell(r['why'])} |"]
    return lines


def _cell(text: str, most: int = 160) -> str:
    """Text that fits a table's cell."""
    text = text.replace("|", "\\|").replace("`", "'")
    return text if len(text) <= most else text[: most - 3] + "..."
