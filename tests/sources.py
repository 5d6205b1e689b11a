"""Published values beside ours, as a page: `python -m tests.sources` writes `published_values.md`.

The page is made from the very rows that the tests check, so it cannot say more than they do.
"""

from __future__ import annotations

import ast
import importlib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from tests.outside.published import Row

HERE = Path(__file__).resolve().parent
OUTSIDE = HERE / "outside"
ITSELF = OUTSIDE / "test_rows.py"  # it checks this page and holds no rows of its own
PAGE = HERE / "published_values.md"
# What is evidence stands apart from what is none: a formula with a number of our own, and what nobody published.
MADE = (
    "Made by `python -m tests.sources` from the rows that the tests check; a test compares this page "
    "with what the script makes now."
)
IDENTITIES, INDEPENDENT = "identity", "independent"


@dataclass(frozen=True)
class Listed:
    """One value of `rows.toml`."""

    id: str
    topic: str
    kind: str
    says: str
    value: float
    unit: str
    memory: bool = False
    why_not: str = ""
    pending: str = ""

    @property
    def waits(self) -> bool:
        """True while the module that it waits for is not there."""
        return bool(self.pending) and not (HERE.parent / self.pending).is_file()


@cache
def listed() -> Mapping[str, Listed]:
    """Every value that our functions could be held against, by number."""
    raw = tomllib.loads((OUTSIDE / "rows.toml").read_text(encoding="utf-8"))
    found = [Listed(**row) for row in raw["row"]]
    assert len({r.id for r in found}) == len(found), "a number stands twice"
    return {r.id: r for r in found}


def holds_rows(path: Path) -> bool:
    """True for a test file that takes `Row` from `published`."""
    return path != ITSELF and any(
        isinstance(n, ast.ImportFrom)
        and n.module == "tests.outside.published"
        and any(a.name == "Row" for a in n.names)
        for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    )


@cache
def rows_by_file() -> Mapping[str, tuple[Row, ...]]:
    """All rows that tests check, by test file, in the files' order."""
    out: dict[str, tuple[Row, ...]] = {}
    for path in sorted(OUTSIDE.glob("test_*.py")):
        if holds_rows(path):
            module = importlib.import_module(f"tests.outside.{path.stem}")
            out[path.name] = tuple(_rows_of(vars(module)))
    return out


def _rows_of(names: Mapping[str, Any]) -> list[Row]:
    return [
        row
        for value in names.values()
        if isinstance(value, list)
        for row in value
        if isinstance(row, Row)
    ]


def number_of(row: Row) -> str:
    """The row's number without the word that tells several of one number apart."""
    return row.id.split(" ", maxsplit=1)[0]


def listed_of(row: Row) -> Listed | None:
    """Its listed value; None for a row with a name of its own."""
    return listed().get(number_of(row))


def kind_of(row: Row) -> str:
    """Kind of the listed value, or "named" for a row with a name of its own."""
    at = listed_of(row)
    return "named" if at is None else at.kind


def recalled(row: Row) -> bool:
    """True where the value was recalled, not read."""
    at = listed_of(row)
    return row.memory or (at is not None and at.memory)


def words_for(row: Row) -> str:
    """What is compared, with its unit; for a row with a name of its own, its source says it."""
    at = listed_of(row)
    if row.what or at is None:
        return row.what or "see the source"
    apart = row.id.partition(" ")[2]
    unit = "" if at.unit in {"", "-"} else f", {at.unit}"
    return f"{at.says}{unit}" + (f" [{apart}]" if apart else "")


def told(value: object) -> str:
    """Numbers to six digits; several beside each other."""
    # Adding 0.0 takes the sign off a zero.
    return " / ".join(f"{float(v) + 0.0:.6g}" for v in np.atleast_1d(np.asarray(value, float)))


def difference(row: Row, got: object) -> str:
    """The largest difference as a share of the published value."""
    ours = np.atleast_1d(np.asarray(got, float))
    theirs = np.atleast_1d(np.asarray(row.expected, float))
    apart = np.abs(ours - theirs)
    whole = np.where(theirs == 0.0, 1.0, np.abs(theirs))
    return f"{100.0 * float((apart / whole).max()):.2f} %"


def table(heading: str, intro: str, rows: Sequence[Row]) -> list[str]:
    """One section of the page."""
    out = [
        f"## {heading} ({len(rows)})",
        "",
        intro,
        "",
        "| no. | what | source | published | ours | difference | allowed |",
        "|---|---|---|---|---|---|---|",
    ]
    for row in rows:
        got = row.got()
        source = row.source if "memory" in row.source or not row.memory else row.source + "; memory"
        allowed = f"{100.0 * row.rel:.2g} %" if row.rel >= 1e-6 else "none"
        cells = (
            row.id,
            words_for(row),
            source,
            told(row.expected),
            told(got),
            difference(row, got),
            allowed,
        )
        out.append("| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |")
    return [*out, ""]


def unrows_by_file() -> list[str]:
    """What no test holds our functions against, by reason."""
    have = {number_of(row) for rows in rows_by_file().values() for row in rows}
    reasons: dict[str, list[Listed]] = {}
    for at in listed().values():
        if at.id not in have:
            reasons.setdefault(at.why_not or f"waits for {at.pending}", []).append(at)
    out = [
        f"## Not tested ({sum(map(len, reasons.values()))})",
        "",
        "| no. | about | why not |",
        "|---|---|---|",
    ]
    for why, rows in reasons.items():
        topics = ", ".join(dict.fromkeys(r.topic for r in rows))
        out.append(f"| {', '.join(r.id for r in rows)} | {topics} | {why} |")
    return [*out, ""]


def solvers() -> list[str]:
    """Foreign solvers and other tests from outside, each by its file's first line."""
    out = [
        "## Foreign solvers and other evidence",
        "",
        "These compare whole routines over many inputs, not single numbers.",
        "",
    ]
    for path in sorted(OUTSIDE.glob("test_*.py")):
        if not holds_rows(path) and path != ITSELF:
            first = (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").split(
                "\n"
            )
            out.append(f"- `{path.name}`: {first[0]}")
    return [*out, ""]


def page() -> str:
    """The whole page."""
    rows = [row for found in rows_by_file().values() for row in found]
    apart = {k: [r for r in rows if kind_of(r) == k] for k in (INDEPENDENT, IDENTITIES)}
    published = [r for r in rows if kind_of(r) not in apart]
    memory = sum(map(recalled, published))
    counted = (
        f"{len(published)} comparisons with published values ({memory} of them recalled, marked memory), "
        f"{len(apart[INDEPENDENT])} with another implementation of the same mechanics, and, apart, "
        f"{len(apart[IDENTITIES])} identities. Difference: how far ours lies from theirs, as a share of theirs; "
        "allowed: the rounding of the printed value, or the spread between two sources."
    )
    head = [
        "# Published values beside ours",
        "",
        MADE,
        "",
        counted,
        "",
    ]
    body: list[str] = []
    for file, found in rows_by_file().items():
        these = [r for r in found if r in published]
        if these:
            doc = importlib.import_module(f"tests.outside.{Path(file).stem}").__doc__ or ""
            body += table(doc.split("\n", maxsplit=1)[0].rstrip("."), f"Tests: `{file}`.", these)
    body += table(
        "Another implementation",
        "Computed by a program made apart from this one; not published anywhere.",
        apart[INDEPENDENT],
    )
    body += table(
        "Identities, which are no evidence",
        "Textbook formulas with numbers of our own: they guard against slips, not against a wrong model.",
        apart[IDENTITIES],
    )
    return "\n".join([*head, *body, *solvers(), *unrows_by_file()])


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
