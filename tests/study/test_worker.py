"""A worker that is lost is seen at once, also in the middle of a message longer than a pipe holds."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from explorer.study.worker import Worker, WorkerLost

LONG = 5_000_000  # bytes: a pipe holds some 64 kB
_given: list[int] = []


def prepare(n: int) -> None:
    _given.append(n)


def work(task: object) -> object:
    if isinstance(task, int):
        return b"x" * task
    if task == "no such thing":
        raise ValueError(task)
    return len(task), _given[0]


@contextmanager
def started() -> Iterator[Worker]:
    worker = Worker(prepare, (7,), work)
    try:
        yield worker
    finally:
        worker.end()
        worker.process.join(10)
        worker.pipe.close()


def test_it_is_prepared_once_and_answers_task_after_task() -> None:
    with started() as worker:
        assert worker.ask(b"abc") == (3, 7)
        assert worker.ask(b"x" * LONG) == (LONG, 7)
        assert worker.ask(LONG) == b"x" * LONG


def test_what_the_work_raises_is_raised_here_and_the_worker_lives_on() -> None:
    with started() as worker:
        with pytest.raises(ValueError, match="no such thing"):
            worker.ask("no such thing")
        assert worker.ask(b"") == (0, 7)


def test_one_killed_in_the_middle_of_an_answer() -> None:
    with started() as worker:
        worker.pipe.send(LONG)
        assert worker.pipe.poll(30)  # its answer has begun, and cannot end: nobody reads it
        worker.process.kill()
        worker.process.join(10)
        with pytest.raises((EOFError, OSError)):
            worker.pipe.recv()
        with pytest.raises(WorkerLost):
            worker.ask(b"abc")


def test_one_killed_before_a_long_task() -> None:
    with started() as worker:
        worker.ask(b"")
        worker.process.kill()
        worker.process.join(10)
        with pytest.raises(WorkerLost):
            worker.ask(b"x" * LONG)


def test_one_killed_before_it_was_prepared() -> None:
    with started() as worker:
        worker.process.kill()
        with pytest.raises(WorkerLost):
            worker.ask(b"abc")
