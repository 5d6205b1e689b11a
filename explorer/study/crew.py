"""Who does the work: this process alone, or worker processes.  What is asked for is called for later.

What is asked is pure, so a piece may be done twice, and the answers do not depend on who did it.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Protocol, cast

from explorer.brief.errors import EvenerError
from explorer.mechanics.types import Floats
from explorer.scoring.score import warm_up
from explorer.search.measure import hypervolume
from explorer.study import stints, system
from explorer.study.stints import Brought, Plan, Stint

_TRIES = 3
_LOOK_UP_S = 0.1  # between looks at whether somebody wants to stop
_SILENT_LOOKS = 20  # looks at a pool that has lost a worker and does not say so


class Stopped(Exception):
    """Somebody asked to stop while an answer was waited for."""


class WorkersDied(EvenerError):
    """Worker processes die over and over on the same drives: a fault of ours."""


class Crew(Protocol):
    """Works through stints and measures fronts."""

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Do the batches of a stint."""
        ...

    def volume(self, place: int, F: Floats) -> Callable[[], float]:
        """Hypervolume of a front F (N,M)."""
        ...


def measured(plan: Plan, place: int, F: Floats) -> float:
    """The work itself."""
    aims = plan.problems[place].aims
    return hypervolume(F, aims.enough, aims.box)


@dataclass(frozen=True)
class Alone:
    """This process does all of it, when the answer is wanted."""

    plan: Plan
    stopped: Callable[[], bool]

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Do it when the answer is called for."""
        return lambda: stints.done(self._unless_stopped(), stint)

    def volume(self, place: int, F: Floats) -> Callable[[], float]:
        """Measure when the answer is called for."""
        return lambda: measured(self._unless_stopped(), place, F)

    def _unless_stopped(self) -> Plan:
        if self.stopped():
            raise Stopped
        return self.plan


_given: list[Plan] = []  # what a worker process was given when it began


def _prepare(plan: Plan) -> None:
    _given[:] = [plan]
    warm_up()


Task = Stint | tuple[int, Floats]  # a piece of the search, or a place and its front to measure


def _work(task: Task) -> object:
    if isinstance(task, Stint):
        return stints.done(_given[0], task)
    return measured(_given[0], *task)


@dataclass
class Workers:
    """Worker processes; when one dies all are started anew and what was lost is asked again."""

    plan: Plan
    n: int
    stopped: Callable[[], bool]
    made: ProcessPoolExecutor | None = None
    turn: int = 0
    most: int = 0  # workers that this pool had at once
    silent: int = 0  # looks since one of them is missing
    open: dict[int, tuple[Task, Future[object], int]] = field(default_factory=dict)

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Do it in a worker."""
        ticket = self._ask(stint)
        return lambda: cast("Brought", self.answer(ticket))

    def volume(self, place: int, F: Floats) -> Callable[[], float]:
        """Measure in a worker."""
        ticket = self._ask((place, F))
        return lambda: cast("float", self.answer(ticket))

    def _ask(self, task: Task) -> int:
        self.turn += 1
        try:
            future = self._pool().submit(_work, task)
        except BrokenProcessPool:
            self._anew()
            future = self._pool().submit(_work, task)
        self.open[self.turn] = (task, future, 1)
        return self.turn

    def _pool(self) -> ProcessPoolExecutor:
        if self.made is None:
            self.made = system.pool(self.n, _prepare, (self.plan,))
        return self.made

    def answer(self, ticket: int) -> object:
        """The answer to one ticket."""
        while True:
            if self.stopped():
                raise Stopped
            task, future, tries = self.open[ticket]
            try:
                found = future.result(timeout=_LOOK_UP_S)
            except NotYet:
                self._look_after()
                continue
            except BrokenProcessPool as error:
                if tries >= _TRIES:
                    place = task.place if isinstance(task, Stint) else task[0]
                    raise WorkersDied(
                        f"worker processes died {tries} times on the same work (space {place}). "
                        "Try: --workers 1"
                    ) from error
                self._anew()
                continue
            del self.open[ticket]
            return found

    def _look_after(self) -> None:
        """Ends a pool that lost a worker and hangs.

        One killed in the middle of an answer leaves half of it, and the pool waits for the rest as long as
        another worker lives.
        """
        alive = multiprocessing.active_children()
        self.most = min(self.n, max(self.most, len(alive)))
        self.silent = self.silent + 1 if len(alive) < self.most else 0
        if self.silent > _SILENT_LOOKS:
            for child in alive:
                child.kill()

    def _anew(self) -> None:
        """New processes; every piece not answered is asked again, in the old order."""
        self.close()
        for ticket, (task, future, tries) in list(self.open.items()):
            lost = not future.done() or future.cancelled() or future.exception() is not None
            if lost:
                self.open[ticket] = (task, self._pool().submit(_work, task), tries + 1)

    def close(self) -> None:
        """Ends the processes."""
        self.most = self.silent = 0
        if self.made is not None:
            self.made.shutdown(wait=False, cancel_futures=True)
            self.made = None


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
