"""One worker process at the end of a pipe of its own: it is asked, it answers, and when it dies that is seen.

Not the standard library's process pool: there all workers share one queue each way, and on a loss in the
middle of a message longer than a pipe holds (64 kB) Python 3.11 waits for the rest for ever, with a message
to the lost worker at exit, with one from it at once.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any

Prepare = Callable[..., None]
Work = Callable[[Any], object]


class WorkerLost(Exception):
    """The process ended before it answered."""


class Worker:
    """A process started afresh (spawn), which ends when this one does: `prepare(*given)`, then `work` by work."""

    def __init__(self, prepare: Prepare, given: tuple[object, ...], work: Work) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, end = context.Pipe()
        self.process = context.Process(target=_serve, args=(end,), daemon=True)
        self.process.start()
        end.close()  # else the pipe of a dead worker would stay open from here
        # What is given follows by the pipe: a start waits for ever on a process that dies before it has read.
        with suppress(OSError):
            self.pipe.send((prepare, given, work))

    def ask(self, task: object) -> object:
        """The answer to a task; raises WorkerLost, or what the work raised."""
        try:
            self.pipe.send(task)
            good, answer = self.pipe.recv()
        except (EOFError, OSError) as error:
            raise WorkerLost from error
        if not good:
            raise answer
        return answer

    def end(self) -> None:
        """Ends the process, whatever it is doing; an `ask` that waits raises WorkerLost."""
        self.process.kill()


def _serve(pipe: Connection) -> None:
    """A worker's life.  It leaves Ctrl-C to its parent, and never outlives it."""
    with suppress(ValueError, OSError):
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    with suppress(EOFError, OSError):
        prepare, given, work = pipe.recv()
        prepare(*given)
        while True:
            pipe.send(_tried(work, pipe.recv()))


def _tried(work: Work, task: object) -> tuple[bool, object]:
    """Whether the work was done, and the answer or what it raised."""
    try:
        return True, work(task)
    except Exception as error:  # noqa: BLE001 - whatever it is, it is raised where the answer is called for
        return False, error


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
