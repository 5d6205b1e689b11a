"""The journal of a study: one SQLite file, one transaction a round, a chain of checksums over all.

SQLite's main file has no checksums of its own, so every round carries the sha256 of itself and of the
one before it; whatever was flipped, cut or edited breaks the chain at a round that can be named.
Readers open read-only and may read while a run writes.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from shlex import quote as quote_word
from typing import Any
from urllib.parse import quote

from explorer.brief.errors import CannotWrite, JournalDamaged
from explorer.brief.files import file_problem
from explorer.study.system import refuse_link

JOURNAL = "study.db"
SCHEMA = 2
KEEP_WHOLE = 2  # whole states kept, so that a damaged round leaves one to go on from
_SIDES = ("", "-wal", "-shm", "-journal")
_BUSY_MS = 5000
_DISK = ("SQLITE_FULL", "SQLITE_READONLY", "SQLITE_IOERR", "SQLITE_CANTOPEN", "SQLITE_BUSY")

_TABLES = """
-- Version 2.  Everything is written once, except `state`, which is emptied when newer whole states exist,
-- and `asks`, to which a line is added each time somebody says how long to search.
CREATE TABLE identity (          -- one row: what this journal is of, and what made its numbers
  schema INTEGER NOT NULL,       -- version of this layout
  text   TEXT NOT NULL,          -- JSON: canonical brief and stock, start, seeds, settings, cpu, versions
  sha    TEXT NOT NULL           -- sha256 of schema and text: the chain begins with it
);
CREATE TABLE asks (
  n      INTEGER PRIMARY KEY,
  text   TEXT NOT NULL,          -- JSON: evaluations, seconds, workers
  sha    TEXT NOT NULL           -- sha256 of n and text
);
CREATE TABLE rounds (
  round  INTEGER PRIMARY KEY,    -- 1, 2, 3 ...: the order, whatever clocks said
  text   TEXT NOT NULL,          -- JSON: counts, drives named, keepers; the same in any run of this seed
  clock  TEXT NOT NULL,          -- JSON: seconds on the run's clock; differs from run to run
  whole  INTEGER NOT NULL,       -- 1: state stands alone; 0: it is a difference to the round before
  size   INTEGER NOT NULL,       -- bytes of state as written
  state  BLOB,                   -- npz: all that the next round reads; NULL when no longer needed
  sha    TEXT NOT NULL,          -- sha256 of state as written
  digest TEXT NOT NULL,          -- sha256(digest before, sha, whole, text): equal for equal searches
  seal   TEXT NOT NULL           -- sha256(seal before, digest, clock, size): finds any damage
);
"""


@dataclass(frozen=True)
class Line:
    """One round as journaled."""

    round: int
    text: str
    clock: str
    whole: bool
    size: int
    state: bytes | None
    sha: str
    digest: str
    seal: str


@dataclass(frozen=True)
class Recorded:
    """A journal read whole and found sound."""

    identity: Mapping[str, Any]
    genesis: str  # what the chain begins with
    asks: tuple[Mapping[str, Any], ...]
    lines: tuple[Line, ...]


def sha(*parts: str | bytes) -> str:
    """sha256 over parts, each with its length, so that none can borrow from its neighbour."""
    total = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8") if isinstance(part, str) else part
        total.update(len(data).to_bytes(8, "little"))
        total.update(data)
    return total.hexdigest()


def _head(schema: object, text: str) -> str:
    return sha(str(schema), text)


def as_json(value: object) -> str:
    """One text for one value; floats round trip exactly."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"))


def exists(folder: Path) -> bool:
    """Whether the study has a journal; BadInput where it is a link."""
    for side in _SIDES:
        refuse_link(folder / (JOURNAL + side))
    return (folder / JOURNAL).exists()


def is_blank(folder: Path) -> bool:
    """Whether the file holds no table at all: a run was killed before its journal was made."""
    try:
        with closing(_read_only(folder)) as db:
            return not db.execute("SELECT COUNT(*) FROM sqlite_schema").fetchone()[0]
    except sqlite3.Error as error:
        raise damaged(folder, None, str(error)) from error


def create(folder: Path, identity: Mapping[str, Any], ask: Mapping[str, Any]) -> None:
    """A new journal without rounds, whole or not at all."""
    text = as_json(identity)
    with writing(folder) as db, db:
        db.execute("BEGIN IMMEDIATE")
        for statement in _TABLES.split(";\n")[:-1]:
            db.execute(statement)
        db.execute("INSERT INTO identity VALUES (?,?,?)", (SCHEMA, text, _head(SCHEMA, text)))
        _add_ask(db, 1, ask)


def add_ask(db: sqlite3.Connection, ask: Mapping[str, Any]) -> None:
    """One more line on how long to search."""
    with db:
        n = db.execute("SELECT COALESCE(MAX(n), 0) + 1 FROM asks").fetchone()[0]
        _add_ask(db, n, ask)


def _add_ask(db: sqlite3.Connection, n: int, ask: Mapping[str, Any]) -> None:
    text = as_json(ask)
    db.execute("INSERT INTO asks VALUES (?,?,?)", (n, text, sha(str(n), text)))


@contextmanager
def writing(folder: Path) -> Iterator[sqlite3.Connection]:
    """The journal open for writing; CannotWrite where the disk refuses, JournalDamaged where it is none."""
    exists(folder)
    try:
        with closing(sqlite3.connect(folder / JOURNAL, isolation_level=None)) as db:
            db.execute(f"PRAGMA busy_timeout={_BUSY_MS}")
            db.execute("PRAGMA journal_mode=WAL")
            db.execute("PRAGMA synchronous=FULL")
            yield db
    except sqlite3.OperationalError as error:
        if not error.sqlite_errorname.startswith(_DISK):
            raise damaged(folder, None, str(error)) from error
        raise CannotWrite(f"{folder / JOURNAL}: cannot be written: {error}.") from error
    except sqlite3.DatabaseError as error:
        raise damaged(folder, None, str(error)) from error


def append(db: sqlite3.Connection, before: Line | None, genesis: str, line: Line) -> Line:
    """One round in one transaction; states no longer needed are emptied in the same."""
    sealed = sealed_line(before, genesis, line)
    db.execute("BEGIN IMMEDIATE")
    try:
        db.execute(
            "INSERT INTO rounds VALUES (?,?,?,?,?,?,?,?,?)",
            (sealed.round, sealed.text, sealed.clock, int(sealed.whole), sealed.size, sealed.state,
             sealed.sha, sealed.digest, sealed.seal),
        )  # fmt: skip
        if sealed.whole:
            _forget(db)
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise
    return sealed


def _forget(db: sqlite3.Connection) -> None:
    wholes = db.execute(
        "SELECT round FROM rounds WHERE whole = 1 ORDER BY round DESC LIMIT ?", (KEEP_WHOLE,)
    ).fetchall()
    if len(wholes) == KEEP_WHOLE:
        db.execute(
            "UPDATE rounds SET state = NULL WHERE round < ? AND state IS NOT NULL", (wholes[-1][0],)
        )


def sealed_line(before: Line | None, genesis: str, line: Line) -> Line:
    """The line with its place in the chain."""
    digest = sha(before.digest if before else genesis, line.sha, str(int(line.whole)), line.text)
    seal = sha(before.seal if before else genesis, digest, line.clock, str(line.size))
    return Line(
        line.round, line.text, line.clock, line.whole, line.size, line.state, line.sha, digest, seal
    )


def read(folder: Path, upto: int = 2**62) -> Recorded:
    """The journal up to a round, every checksum tried.  JournalDamaged names the first bad round."""
    try:
        with closing(_read_only(folder)) as db:
            db.execute("BEGIN")
            head = db.execute("SELECT schema, text, sha FROM identity").fetchall()
            asks = db.execute("SELECT n, text, sha FROM asks ORDER BY n").fetchall()
            rows = db.execute(
                "SELECT round, text, clock, whole, size, state, sha, digest, seal"
                " FROM rounds WHERE round <= ? ORDER BY round", (upto,),
            ).fetchall()  # fmt: skip
    except (sqlite3.Error, UnicodeDecodeError, OverflowError, MemoryError) as error:
        raise damaged(folder, None, str(error)) from error
    return _checked(folder, head, asks, rows)


def _read_only(folder: Path) -> sqlite3.Connection:
    """A connection that cannot write; without side files a folder that cannot be written will do."""
    exists(folder)
    path = quote(str((folder / JOURNAL).absolute()))
    for more in ("", "&immutable=1"):
        db = sqlite3.connect(f"file:{path}?mode=ro{more}", uri=True, isolation_level=None)
        try:
            db.execute(f"PRAGMA busy_timeout={_BUSY_MS}")
            db.execute("SELECT COUNT(*) FROM sqlite_schema").fetchone()
        except sqlite3.OperationalError:
            db.close()
            if more or (folder / f"{JOURNAL}-wal").exists():
                raise
        else:
            return db
    raise sqlite3.OperationalError("unable to open")


def _checked(folder: Path, head: list[Any], asks: list[Any], rows: list[Any]) -> Recorded:
    if len(head) != 1 or not asks:
        raise damaged(folder, None, "its head is missing")
    schema, text, mark = head[0]
    if not isinstance(text, str) or _head(schema, text) != mark:
        raise damaged(folder, None, "its head does not agree with itself")
    if schema != SCHEMA:
        raise file_problem(
            JOURNAL, f"is of layout {schema!s:.20}, and this program reads layout {SCHEMA}.",
            "Go on with the program that wrote it, or move it away and run afresh.",
        )  # fmt: skip
    for place, (n, ask, ask_mark) in enumerate(asks, start=1):
        if n != place or not isinstance(ask, str) or sha(str(n), ask) != ask_mark:
            raise damaged(folder, None, "what was asked does not agree with itself")
    return Recorded(
        json.loads(text), mark, tuple(json.loads(a[1]) for a in asks), _chain(folder, mark, rows)
    )


def _chain(folder: Path, genesis: str, rows: list[Any]) -> tuple[Line, ...]:
    lines: list[Line] = []
    for place, row in enumerate(rows, start=1):
        if not _sound(row, place, genesis, lines[-1] if lines else None):
            raise damaged(folder, place, "it does not agree with itself", going_on(lines))
        round_, text, clock, whole, *rest = row
        lines.append(Line(round_, text, clock, bool(whole), *rest))
    return tuple(lines)


def _sound(row: tuple[Any, ...], place: int, genesis: str, before: Line | None) -> bool:
    round_, text, clock, whole, size, state, mark, digest, seal = row
    kinds = all(isinstance(v, str) for v in (text, clock, mark, digest, seal))
    if not kinds or round_ != place or whole not in {0, 1} or not isinstance(size, int):
        return False
    if state is not None and (
        not isinstance(state, bytes) or len(state) != size or sha(state) != mark
    ):
        return False
    again = sealed_line(
        before, genesis, Line(round_, text, clock, bool(whole), size, None, mark, "", "")
    )
    return bool(again.digest == digest and again.seal == seal)


def going_on(lines: Sequence[Line]) -> bool:
    """Whether the state after the last of these rounds can be put together."""
    for line in reversed(lines):
        if line.state is None:
            return False
        if line.whole:
            return True
    return False


def cut(db: sqlite3.Connection, upto: int) -> None:
    """Forgets every round after `upto`."""
    with db:
        db.execute("DELETE FROM rounds WHERE round > ?", (upto,))


def damaged(folder: Path, round_: int | None, why: str, resumable: bool = False) -> JournalDamaged:  # noqa: FBT001, FBT002
    """The refusal: which round, and what to do about it."""
    path = folder / JOURNAL
    where = "" if round_ is None else f", first at round {round_}"
    here, old, new = (quote_word(str(w)) for w in (folder, path, f"{path}.damaged"))
    mend = f"Move it away and begin anew: mv {old} {new} && evener run {here}"
    if round_ is not None and resumable:
        good = round_ - 1
        mend = f"Rounds up to {good} are sound. Go on from there: evener run {here} --from {good}"
    return JournalDamaged(f"{path} is damaged{where}: {why}. {mend}")
