"""A study folder read whole: brief, stock and build book, or every problem at once."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from explorer.brief.between import disagreements
from explorer.brief.builds import Build, builds_of, one_drive
from explorer.brief.canonical import canonical_json, hash6
from explorer.brief.convert import to_brief
from explorer.brief.errors import RANK_ADVICE, BadInput, Problem, short
from explorer.brief.explain import bad_sections, validate
from explorer.brief.files import file_problem
from explorer.brief.parse import Parsed, parse_file, parse_text
from explorer.brief.records import Brief, Provenance
from explorer.brief.same_as import spread_out, taken_from
from explorer.brief.schema_brief import BriefTable
from explorer.brief.sources import guesses, origin_of, provenance, source_problems
from explorer.brief.stock_convert import to_stock
from explorer.brief.stock_read import Echo, read_stock_table
from explorer.brief.stock_records import Stock
from explorer.brief.templates import template

if TYPE_CHECKING:
    from explorer.brief.schema_stock import StockTable

BRIEF, STOCK, BUILDS = "brief.toml", "stock.toml", "builds.toml"


@dataclass(frozen=True)
class Study:
    """What a study folder says.

    `lines` gives file and line of every key path (`finger.ring.L1_mm` of the brief, `stock:` and
    `builds:` before those of the other files); `canonical` is the text that `brief.hash6` names.
    """

    folder: Path
    name: str
    brief: Brief
    stock: Stock
    builds: tuple[Build, ...]
    warnings: tuple[Problem, ...]
    guesses: tuple[Provenance, ...]
    lines: Mapping[str, tuple[str, int]]
    canonical: str
    currency: str = "credits"
    echoes: tuple[Echo, ...] = ()
    stock_file: bool = True  # False: none there, everything is to be bought

    def placed(self, problems: Iterable[Problem]) -> tuple[Problem, ...]:
        """Problems found later, with the line of their key path in the brief."""
        return tuple(self._placed(p) for p in problems)

    def _placed(self, problem: Problem) -> Problem:
        path = problem.path
        while problem.line is None and path:
            if path in self.lines:
                file, line = self.lines[path]
                return dataclasses.replace(problem, file=file, line=line)
            path = path.rpartition(".")[0]
        return problem


def read_study(folder: Path) -> Study:
    """Reads a study folder.  Raises `BadInput` with all problems of all its files."""
    _must_be_folder(folder)
    problems: list[Problem] = []
    parsed_brief = _or_problems(folder / BRIEF, problems)
    has_stock = _there(folder / STOCK)
    parsed_stock = (
        _or_problems(folder / STOCK, problems)
        if has_stock
        else parse_text(template("default_stock.toml"), STOCK)
    )
    stock, echoes = _stock(parsed_stock, problems)
    brief, found, taken = _brief(parsed_brief, stock, problems)
    builds = _builds(folder, problems)
    if (
        parsed_brief is None
        or parsed_stock is None
        or brief is None
        or stock is None
        or any(p.kind == "error" for p in problems)
    ):
        raise BadInput(problems)
    if not has_stock:
        stock = _all_bought(stock)
        problems.append(_no_stock())
    text = canonical_json(brief, stock)
    return Study(
        folder=folder,
        name=folder.resolve().name,
        brief=to_brief(brief, hash6(text), found),
        stock=to_stock(stock),
        builds=builds,
        warnings=tuple(p for p in problems if p.kind == "warning"),
        guesses=guesses(found, taken),
        lines=_lines(parsed_brief, parsed_stock, found, taken),
        canonical=text,
        currency=stock.currency,
        echoes=echoes,
        stock_file=has_stock,
    )


def read_drive_file(path: Path) -> Build:
    """The one drive of a drive file (the same block as an entry of builds.toml)."""
    return one_drive(parse_file(path))


def _must_be_folder(folder: Path) -> None:
    try:
        if folder.is_dir():
            return
    except (OSError, ValueError):
        pass
    shown = str(folder) if str(folder).isprintable() else short(str(folder))
    raise file_problem(
        shown,
        "there is no such study folder.",
        "Write one with: evener start STUDY",
        allowed=f"a folder with {BRIEF}",
    )


def _there(path: Path) -> bool:
    try:
        return path.is_symlink() or path.exists()
    except (OSError, ValueError):
        return True  # opening it will say what is wrong


def _or_problems(path: Path, problems: list[Problem]) -> Parsed | None:
    try:
        return parse_file(path)
    except BadInput as error:
        problems += error.problems
        return None


def _stock(
    parsed: Parsed | None, problems: list[Problem]
) -> tuple[StockTable | None, tuple[Echo, ...]]:
    if parsed is None:
        return None, ()
    problems += parsed.problems
    table, echoes = read_stock_table(parsed)
    if isinstance(table, list):
        problems += table
        return None, ()
    return table, echoes


def _brief(
    parsed: Parsed | None, stock: StockTable | None, problems: list[Problem]
) -> tuple[BriefTable | None, dict[str, Provenance], dict[str, str]]:
    if parsed is None:
        return None, {}, {}
    raw, places, wrong = spread_out(parsed)
    problems += wrong
    problems += parsed.problems
    table = validate(BriefTable, raw, parsed, skip=places)
    if isinstance(table, list):
        problems += table
        problems += _of_sound_sections(parsed, raw, stock)
        return None, {}, {}
    problems += disagreements(table, parsed, stock)
    taken = taken_from(parsed, places)
    found = provenance(table, parsed, taken)
    problems += source_problems(table, parsed, found)
    return table, found, taken


def _of_sound_sections(
    parsed: Parsed, raw: dict[str, Any], stock: StockTable | None
) -> list[Problem]:
    """What disagrees in the sections that could be read, so that one reading tells all it can."""
    unread = bad_sections(BriefTable, raw)
    example = parse_text(template("brief.toml"), BRIEF)
    filled = {k: v for k, v in raw.items() if k not in unread}
    filled |= {k: v for k, v in spread_out(example)[0].items() if k in unread}
    table = validate(BriefTable, filled, parsed)
    if isinstance(table, list):
        return []
    return disagreements(table, parsed, stock, unread)


def _builds(folder: Path, problems: list[Problem]) -> tuple[Build, ...]:
    if not _there(folder / BUILDS):
        return ()
    try:
        return builds_of(parse_file(folder / BUILDS))
    except BadInput as error:
        problems += error.problems
        return ()


def _all_bought(stock: StockTable) -> StockTable:
    """The stock with every line to be bought."""
    kinds = {
        kind: [line.model_copy(update={"have": "buy"}) for line in lines]
        for kind, lines in stock
        if isinstance(lines, list)
    }
    return stock.model_copy(update=kinds)


def _no_stock() -> Problem:
    message = "there is no stock.toml: everything is to be bought, from a made-up list."
    mend = "Write one with: evener start STUDY"
    return Problem(STOCK, None, "", "", "", mend, message, RANK_ADVICE, "warning")


def _lines(
    brief: Parsed, stock: Parsed, known: Iterable[str], taken: Mapping[str, str]
) -> Mapping[str, tuple[str, int]]:
    found = {brief.path(loc): (brief.file, line) for loc, line in brief.lines.items()}
    found |= {f"stock:{stock.path(loc)}": (stock.file, n) for loc, n in stock.lines.items()}
    for path in known:  # what was taken from another finger stands on that finger's line
        origin = origin_of(path, taken)
        if origin in found:
            found.setdefault(path, found[origin])
    return MappingProxyType(found)
