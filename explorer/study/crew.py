"""Who does the work: this process alone, or worker processes.  What is asked for is called for later.

What is asked is pure, so a piece may be done twice, and the answers do not depend on who did it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Protocol, cast

from explorer.brief.errors import EvenerError
from explorer.scoring.score import warm_up
from explorer.study import stints, system
from explorer.study.stints import Brought, Plan, Stint
from explorer.study.worker import Worker, WorkerLost

_TRIES = 3
_LOOK_UP_S = 0.1  # between looks at whether somebody wants to stop


class Stopped(Exception):
    """Somebody asked to stop while an answer was waited for."""


class WorkersDied(EvenerError):
    """Worker processes die over and over on the same drives: a fault of ours."""


class Crew(Protocol):
    """Works through stints."""

    @property
    def hands(self) -> int:
        """How many stints it can do at a time."""
        ...

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Do the batches of a stint."""
        ...


@dataclass(frozen=True)
class Alone:
    """This process does all of it, when the answer is wanted."""

    plan: Plan
    stopped: Callable[[], bool]
    hands: int = 1

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Do it when the answer is called for."""
        return lambda: stints.done(self._unless_stopped(), stint)

    def _unless_stopped(self) -> Plan:
        if self.stopped():
            raise Stopped
        return self.plan


_given: list[Plan] = []  # what a worker process was given when it began


def _prepare(plan: Plan) -> None:
    _given[:] = [plan]
    warm_up()


def _work(stint: Stint) -> Brought:
    return stints.done(_given[0], stint)


@dataclass
class Workers:
    """Worker processes, each with a thread that hands it stint after stint; one that dies is replaced."""

    plan: Plan
    hands: int
    stopped: Callable[[], bool]
    closed: bool = False
    started: list[Worker] = field(default_factory=list)  # every process ever
    threads: ThreadPoolExecutor = field(init=False)
    mine: threading.local = field(default_factory=threading.local)

    def __post_init__(self) -> None:
        self.threads = ThreadPoolExecutor(self.hands)

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Do it in a worker."""
        future = self.threads.submit(self._answer, stint)
        return lambda: cast("Brought", self._wait(future))

    def _wait(self, future: Future[object]) -> object:
        while not self.stopped():
            with suppress(NotYet):
                return future.result(timeout=_LOOK_UP_S)
        raise Stopped

    def _answer(self, stint: Stint) -> object:
        """What this thread's worker says; the same is asked of a new one where it dies."""
        for _ in range(_TRIES):
            try:
                return self._worker().ask(stint)
            except WorkerLost:
                self.mine.worker = None
                if self.closed:
                    raise Stopped from None
        raise WorkersDied(
            f"worker processes died {_TRIES} times on the same work (space {stint.place}). "
            "Try: --workers 1"
        )

    def _worker(self) -> Worker:
        found: Worker | None = getattr(self.mine, "worker", None)
        if found is None:
            found = self.mine.worker = Worker(_prepare, (self.plan,), _work)
            self.started.append(found)
            if self.closed:
                found.end()
        return found

    def close(self) -> None:
        """Ends the processes, whatever they are doing."""
        self.closed = True
        self.threads.shutdown(wait=False, cancel_futures=True)
        for worker in self.started:
            worker.end()


@contextmanager
def crew_of(plan: Plan, workers: int, stopped: Callable[[], bool]) -> Iterator[Crew]:
    """This process for one worker, else that many processes."""
    if workers <= 1:
        yield Alone(plan, stopped)
        return
    crew = Workers(system.portable(plan), workers, stopped)
    try:
        yield crew
    finally:
        crew.close()
