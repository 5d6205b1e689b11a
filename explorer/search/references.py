"""Stock algorithms to measure the islands by, behind the same door as an island.

What these libraries let pass in silence is refused here: a NaN raises, a run in which nothing fits gives
an empty front, and the run ends by the count of evaluations and by nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any, Literal

import numpy as np
from pymoo.algorithms.moo.gde3 import GDE3
from pymoo.algorithms.moo.nsga2 import NSGA2
from pymoo.algorithms.moo.sms import SMSEMOA
from pymoo.core.problem import Problem as StockProblem
from pymoo.core.termination import NoTermination

from explorer.mechanics.types import Floats
from explorer.search.archive import Archive, added, empty, merged
from explorer.search.problem import Problem, Rows, evaluated
from explorer.search.ranks import clipped
from explorer.search.space import drawn, repaired

Name = Literal["NSGA2", "GDE3", "AGE2", "SMS"]
NAMES: tuple[Name, ...] = ("NSGA2", "GDE3", "AGE2", "SMS")
MOST_AGE2 = 200  # its survival takes cubic time
MOST_AIMS_SMS = 3  # exact hypervolume contributions each round


class ReferenceRefused(ValueError):
    """The algorithm cannot take this problem or these settings."""


@dataclass(frozen=True)
class Outcome:
    """What a reference found: its archive of all it evaluated, and how many that were."""

    archive: Archive
    evaluations: int


def run(
    name: Name,
    problem: Problem,
    seed: int,
    evaluations: int,
    population: int = 100,
    stop: Callable[[], bool] | None = None,
    seen: Callable[[Rows], None] | None = None,
) -> Outcome:
    """Run one stock algorithm for about `evaluations`, or until `stop` says so between rounds.

    `seen`, if given, is shown every round's rows. The archive is the same as an island's, so that what is
    compared is the search and not the way of keeping.
    """
    algorithm = _algorithm(name, problem, seed, population)
    archive, done = empty(problem.space.width, problem.enough), 0
    while done < evaluations and not (stop is not None and stop()):
        asked = algorithm.ask()
        if asked is None or not len(asked):
            break  # it sees no new vector to try
        rows = evaluated(problem, repaired(problem.space, asked.get("X").astype(np.float64)))
        _tell(algorithm, asked, rows, problem.enough)
        done += len(rows)
        archive = added(archive, rows)
        if seen is not None:
            seen(rows)
    return Outcome(merged(archive), done)


def _algorithm(name: Name, problem: Problem, seed: int, population: int) -> Any:  # noqa: ANN401
    """The library's algorithm, set up; its first rows are the generator's of this seed."""
    aims = len(problem.enough)
    if name not in NAMES:
        raise ReferenceRefused(f"no reference {name!r}; there are {', '.join(NAMES)}")
    if name == "AGE2" and population > MOST_AGE2:
        raise ReferenceRefused(f"AGE2 takes a population of at most {MOST_AGE2}, not {population}")
    if name == "SMS" and aims > MOST_AIMS_SMS:
        raise ReferenceRefused(f"SMS takes at most {MOST_AIMS_SMS} aims, not {aims}")
    make = {"NSGA2": NSGA2, "GDE3": GDE3, "SMS": SMSEMOA}.get(name) or _age2()
    rng = np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed)))
    algorithm = make(pop_size=population, sampling=drawn(problem.space, population, rng))
    stock = StockProblem(
        n_var=problem.space.width,
        n_obj=aims,
        n_ieq_constr=1,
        xl=problem.space.low,
        xu=problem.space.high,
    )
    algorithm.setup(stock, termination=NoTermination(), seed=seed, verbose=False)
    return algorithm


def _age2() -> Any:  # noqa: ANN401
    """AGE-MOEA-II, which needs an accelerator that is not installed with this package by itself."""
    try:
        return import_module("pymoo.algorithms.moo.age2").AGEMOEA2
    except Exception as error:  # the library raises a bare Exception where numba is missing
        raise ReferenceRefused("AGE2 needs numba: pip install 'evener[references]'") from error


def _tell(algorithm: Any, asked: Any, rows: Rows, enough: Floats) -> None:  # noqa: ANN401
    """Hand the scores back; aims an infeasible row lacks are made finite, its violation decides."""
    F = clipped(rows.F, enough)
    asked.set("X", rows.X)
    asked.set("F", np.where(np.isfinite(F), F, np.finfo(np.float64).max / 1e6))
    asked.set("G", rows.violation[:, None])
    asked.set("evaluated", [{"F", "G", "H"}] * len(asked))
    algorithm.tell(infills=asked)
