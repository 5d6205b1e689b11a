"""Who does the work: this process alone, or worker processes.  What is asked for is called for later.

What is asked is pure, so a piece may be done twice, and the answers do not depend on who did it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
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
from explorer.study import system
from explorer.study.problem import DriveProblem, Judged

_TRIES = 3
_LOOK_UP_S = 0.1  # between looks at whether somebody wants to stop


class Stopped(Exception):
    """Somebody asked to stop while an answer was waited for."""


class WorkersDied(EvenerError):
    """Worker processes die over and over on the same drives: a fault of ours."""


class Crew(Protocol):
    """Scores drives and measures fronts."""

    def score(self, place: int, X: Floats) -> Callable[[], Judged]:
        """Score vectors X (N,V) of a design space."""
        ...

    def volume(self, place: int, F: Floats) -> Callable[[], float]:
        """Hypervolume of a front F (N,M)."""
        ...


def scored(problems: Sequence[DriveProblem], place: int, X: Floats) -> Judged:
    """The work itself."""
    return problems[place].judge(X)


def measured(problems: Sequence[DriveProblem], place: int, F: Floats) -> float:
    """The work itself."""
    aims = problems[place].aims
    return hypervolume(F, aims.enough, aims.box)


@dataclass(frozen=True)
class Alone:
    """This process does all of it, when the answer is wanted."""

    problems: Sequence[DriveProblem]
    stopped: Callable[[], bool]

    def score(self, place: int, X: Floats) -> Callable[[], Judged]:
        """Score when the answer is called for."""
        return lambda: scored(self._unless_stopped(), place, X)

    def volume(self, place: int, F: Floats) -> Callable[[], float]:
        """Measure when the answer is called for."""
        return lambda: measured(self._unless_stopped(), place, F)

    def _unless_stopped(self) -> Sequence[DriveProblem]:
        if self.stopped():
            raise Stopped
        return self.problems


_given: list[DriveProblem] = []  # what a worker process was given when it began


def _prepare(problems: Sequence[DriveProblem]) -> None:
    _given[:] = problems
    warm_up()


def _work(kind: str, place: int, array: Floats) -> object:
    return scored(_given, place, array) if kind == "score" else measured(_given, place, array)


Task = tuple[str, int, Floats]


@dataclass
class Workers:
    """Worker processes; when one dies all are started anew and what was lost is asked again."""

    problems: Sequence[DriveProblem]
    n: int
    stopped: Callable[[], bool]
    made: ProcessPoolExecutor | None = None
    turn: int = 0
    open: dict[int, tuple[Task, Future[object], int]] = field(default_factory=dict)

    def score(self, place: int, X: Floats) -> Callable[[], Judged]:
        """Score in a worker."""
        ticket = self._ask(("score", place, X))
        return lambda: cast("Judged", self.answer(ticket))

    def volume(self, place: int, F: Floats) -> Callable[[], float]:
        """Measure in a worker."""
        ticket = self._ask(("volume", place, F))
        return lambda: cast("float", self.answer(ticket))

    def _ask(self, task: Task) -> int:
        self.turn += 1
        try:
            future = self._pool().submit(_work, *task)
        except BrokenProcessPool:
            self._anew()
            future = self._pool().submit(_work, *task)
        self.open[self.turn] = (task, future, 1)
        return self.turn

    def _pool(self) -> ProcessPoolExecutor:
        if self.made is None:
            self.made = system.pool(self.n, _prepare, (self.problems,))
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
                continue
            except BrokenProcessPool as error:
                if tries >= _TRIES:
                    raise WorkersDied(
                        f"worker processes died {tries} times on the same drives "
                        f"(space {task[1]}, {len(task[2])} of them). Try: --workers 1"
                    ) from error
                self._anew()
                continue
            del self.open[ticket]
            return found

    def _anew(self) -> None:
        """New processes; every piece not answered is asked again, in the old order."""
        self.close()
        for ticket, (task, future, tries) in list(self.open.items()):
            lost = not future.done() or future.cancelled() or future.exception() is not None
            if lost:
                self.open[ticket] = (task, self._pool().submit(_work, *task), tries + 1)

    def close(self) -> None:
        """Ends the processes."""
        if self.made is not None:
            self.made.shutdown(wait=False, cancel_futures=True)
            self.made = None


@contextmanager
def crew_of(
    problems: Sequence[DriveProblem], workers: int, stopped: Callable[[], bool]
) -> Iterator[Crew]:
    """This process for one worker, else that many processes."""
    if workers <= 1:
        yield Alone(problems, stopped)
        return
    sent = [system.portable(p) for p in problems]
    crew = Workers(sent, workers, stopped)
    try:
        yield crew
    finally:
        crew.close()
