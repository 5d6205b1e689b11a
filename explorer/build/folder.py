"""Writing a folder whole or not at all.

Everything goes into a new folder beside the target, each file forced to the disk; then the names are
exchanged.  Whatever fails before that leaves the old folder as it was.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

from explorer.brief.errors import RANK_FILE, BadInput, CannotWrite, Problem, short
from explorer.brief.parse import character_fault

CONTENTS = "contents.txt"
_LONGEST = 255 - 16  # bytes in a name, less what a temporary name adds


def write_folder(folder: Path, files: Mapping[str, str]) -> Path:
    """Writes `files` (relative name -> text) as the whole folder; gives the folder as resolved.

    A folder written before by this function is replaced, unless something else was put into it since.
    A link to a folder is followed once, at the start.  Raises `BadInput` and `CannotWrite`.
    """
    target = _target(folder)
    listed = {**files, CONTENTS: _contents(files)}
    beside = target.with_name(f".{target.name}.new.{secrets.token_hex(4)}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        sweep(target)
        _refuse_foreign(target)
        try:
            os.mkdir(beside, 0o755)  # noqa: PTH102 - one door for the tests' failing disks
            for name, text in listed.items():
                _put(beside / name, text.encode("utf-8"))
            for inner in (*sorted(p for p in beside.rglob("*") if p.is_dir()), beside):
                _sync_folder(inner)
            _exchange(beside, target)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    except OSError as error:
        raise CannotWrite(f"{folder}: cannot be written: {error.strerror or error}.") from error
    return target


def sweep(target: Path) -> None:
    """Takes away what a killed writer left beside the target, and puts an old folder back in its place."""
    like = re.compile(rf"\.{re.escape(target.name)}\.(new|old)\.[0-9a-f]{{8}}")
    for stray in sorted(target.parent.iterdir()):
        found = like.fullmatch(stray.name)
        if found is None or stray.is_symlink() or not stray.is_dir():
            continue
        if found.group(1) == "old" and not os.path.lexists(target):
            stray.rename(target)
        else:
            shutil.rmtree(stray, ignore_errors=True)


def _target(folder: Path) -> Path:
    """The folder with links resolved; a name that cannot be one is refused."""
    fault = character_fault(str(folder))
    if fault is None and (
        len(os.fsencode(folder.name)) > _LONGEST or folder.name in {"", ".", ".."}
    ):
        fault = "cannot be a new folder"
    try:
        resolved = folder.resolve()
    except (OSError, RuntimeError, ValueError):
        fault = fault or "leads round in a circle"
        resolved = folder
    if fault is not None:
        raise _refused(folder, f"the folder name {fault}.", "Take another name with --to FOLDER.")
    return resolved


def _refuse_foreign(target: Path) -> None:
    """A folder that is not a former pack, or holds what someone added, is not replaced."""
    if not os.path.lexists(target):
        return
    if not target.is_dir():
        raise _refused(
            target, "is there already and is no folder.", "Take another with --to FOLDER."
        )
    there = {
        p.relative_to(target).as_posix()
        for p in target.rglob("*")
        if not p.is_dir() or p.is_symlink()
    }
    known = set(_listed(target)) if (target / CONTENTS).is_file() else set()
    extra = sorted(there - known)
    if extra:
        shown = short(extra[0])
        raise _refused(
            target, f"holds {shown}, which is not the pack's own.",
            "Move it away, or take another folder with --to FOLDER.",
        )  # fmt: skip


def _listed(target: Path) -> Iterator[str]:
    """Names in a pack's own list of contents, and the list itself."""
    yield CONTENTS
    with contextlib.suppress(OSError, UnicodeDecodeError):
        for line in (target / CONTENTS).read_text(encoding="utf-8").splitlines():
            yield line.partition("  ")[2]


def _contents(files: Mapping[str, str]) -> str:
    """sha256 and name of every file, as `sha256sum --check` reads it."""
    rows = (f"{hashlib.sha256(t.encode('utf-8')).hexdigest()}  {name}" for name, t in files.items())
    return "".join(f"{row}\n" for row in rows)


def _refused(folder: Path, message: str, mend: str) -> BadInput:
    shown = str(folder) if str(folder).isprintable() else short(str(folder))
    return BadInput([Problem(shown, None, "", "", "", mend, message, RANK_FILE)])


def _put(path: Path, data: bytes) -> None:
    path.parent.mkdir(exist_ok=True)
    descriptor = os.open(
        path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o644
    )
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _sync_folder(folder: Path) -> None:
    """Forces a folder's names to the disk where the system can."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _exchange(beside: Path, target: Path) -> None:
    """The new folder takes the name; if that fails the old one has it back."""
    old = target.with_name(f".{target.name}.old.{secrets.token_hex(4)}")
    replaced = os.path.lexists(target)
    if replaced:
        os.rename(target, old)  # noqa: PTH104 - one door for the tests' failing disks
    try:
        os.rename(beside, target)  # noqa: PTH104
    except OSError:
        if replaced:
            old.rename(target)
        raise
    with contextlib.suppress(OSError):  # the new pack is in its place; the rest is tidying
        _sync_folder(target.parent)
        if replaced:
            shutil.rmtree(old)
