"""What differs between operating systems: the lock of a study, stopping, what can be sent, links.

Every other module asks here, so that a system without one of these still runs: without file locks two
runs at once are not noticed; without signals a stop takes effect at the keyboard alone.
"""

from __future__ import annotations

import importlib
import os
import signal
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from shlex import quote
from types import FrameType, MappingProxyType, ModuleType
from typing import Any

from explorer.brief.errors import CannotWrite, StudyBusy
from explorer.brief.files import file_problem

LOCK = "study.lock"


def _optional(name: str) -> ModuleType | None:
    try:
        return importlib.import_module(name)
    except ImportError:
        return None


def refuse_link(path: Path) -> None:
    """A file of a study that is a link leads elsewhere, and is not followed: BadInput."""
    if path.is_symlink():
        raise file_problem(
            path.name, "is a link to another file, and links inside a study are not followed.",
            "Move the file itself into the study folder.", allowed="a plain file",
        )  # fmt: skip


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Holds the study for this process alone; StudyBusy where another has it.

    The lock dies with its process, so what a power cut leaves behind holds nobody up.
    """
    descriptor = _open_lock(folder)
    try:
        if not _take(descriptor):
            raise StudyBusy(
                f"{folder}: the study is being run by another process. "
                f"Look on with: evener status {quote(str(folder))}"
            )
        yield
    finally:
        os.close(descriptor)


def is_locked(folder: Path) -> bool:
    """Whether another process runs the study.  Never ask from the process that runs it."""
    if not (folder / LOCK).is_file():
        return False
    try:
        descriptor = _open_lock(folder)
    except CannotWrite:
        return False
    try:
        return not _take(descriptor)
    finally:
        os.close(descriptor)


def _open_lock(folder: Path) -> int:
    path = folder / LOCK
    refuse_link(path)
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        return os.open(path, flags, 0o644)
    except OSError as error:
        raise CannotWrite(f"{path}: cannot be written: {error.strerror}.") from error


def _take(descriptor: int) -> bool:
    """Whether the lock was free; now it is ours.  lockf, which no child process inherits."""
    fcntl, msvcrt = _optional("fcntl"), _optional("msvcrt")
    try:
        if fcntl is not None:
            fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        elif msvcrt is not None:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
    except OSError:
        return False
    return True


@dataclass
class Stop:
    """Whether somebody asked the run to stop."""

    asked: bool = False

    def ask(self, _signal: int = 0, _frame: FrameType | None = None) -> None:
        """Stop at the next chance; a second time, at once."""
        if self.asked:
            raise KeyboardInterrupt
        self.asked = True


@contextmanager
def stoppable() -> Iterator[Stop]:
    """Ctrl-C and a polite kill set a flag instead of breaking in; as before afterwards."""
    stop = Stop()
    before: dict[int, Any] = {}
    if threading.current_thread() is threading.main_thread():
        for name in ("SIGINT", "SIGTERM"):
            number = getattr(signal, name, None)
            if number is not None:
                before[number] = signal.signal(number, stop.ask)
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def portable(record: Any) -> Any:  # noqa: ANN401  # any record of the brief
    """A record that can be sent to a worker: read-only tables become plain ones."""
    if isinstance(record, MappingProxyType):
        return {k: portable(v) for k, v in record.items()}
    if isinstance(record, tuple) and type(record) is tuple:
        return tuple(portable(v) for v in record)
    if is_dataclass(record) and not isinstance(record, type):
        kept: Mapping[str, Any] = {
            f.name: getattr(record, f.name) for f in fields(record) if f.init
        }
        sent = {k: portable(v) for k, v in kept.items()}
        same = all(sent[k] is v for k, v in kept.items())
        return record if same else replace(record, **sent)
    return record
