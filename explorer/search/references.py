"""Stock algorithms behind the same door as an island, to measure the islands by or to search with instead.

A batch is a plain step from state to state, as an island's is.  The library's algorithm is made anew for each
half of it, given the population it left, in its order, with its ranks and crowding: it carries nothing else from
one generation to the next but the generator of its run, and here each half draws from one of its own.

What these libraries let pass in silence is refused here: a NaN raises, a run in which nothing fits gives
an empty front, and the run ends by the count of evaluations and by nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib import import_module
from importlib.util import find_spec
from types import ModuleType
from typing import Literal, Protocol, cast

import numpy as np
from numpy.typing import NDArray
from pymoo.config import Config

from explorer.mechanics.types import Floats
from explorer.search import island as isl
from explorer.search.archive import Archive, added, merged
from explorer.search.island import Settings, State
from explorer.search.problem import Problem, Rows, evaluated, joined
from explorer.search.ranks import clipped
from explorer.search.space import Columns, repaired

Name = Literal["NSGA2", "GDE3", "AGE2", "SMS"]
NAMES: tuple[Name, ...] = ("NSGA2", "GDE3", "AGE2", "SMS")
MOST_AGE2 = 200  # its survival takes cubic time
MOST_AIMS_SMS = 3  # exact hypervolume contributions each round
_CLASSES = {
    "NSGA2": "nsga2.NSGA2", "GDE3": "gde3.GDE3", "AGE2": "age2.AGEMOEA2", "SMS": "sms.SMSEMOA",
}  # fmt: skip
_UNRANKED = -1  # the library ranks what fits and nothing else


class _Population(Protocol):
    """The library's population: values by key, a row each; of a key that a row lacks, None."""

    def get(self, key: str) -> NDArray[np.generic]:
        """Values of every row."""
        ...

    def set(self, **values: object) -> object:
        """Give every row its value."""
        ...


class _Start(Protocol):
    sampling: Floats


class _Algorithm(Protocol):
    """What is used of the library's algorithms."""

    pop: _Population
    is_initialized: bool
    n_iter: int
    random_state: np.random.Generator
    initialization: _Start

    def setup(self, problem: object, *, termination: object) -> object:
        """Take a problem on."""
        ...

    def infill(self) -> _Population | None:
        """What it wants scored next."""
        ...

    def advance(self, infills: _Population) -> object:
        """Take the scored in."""
        ...


class ReferenceRefused(ValueError):
    """The algorithm cannot take this problem or these settings."""


@dataclass(frozen=True)
class Outcome:
    """What a reference found: its archive of all it evaluated, and how many that were."""

    archive: Archive
    evaluations: int


def settings_of(name: str, population: int) -> Settings:
    """The settings of a state that this algorithm searches from."""
    return Settings(population=population, batch=population, algorithm=name)


def refuse(name: str, aims: int, population: int) -> None:
    """ReferenceRefused where the algorithm is none of ours or cannot take so many."""
    if name not in NAMES:
        raise ReferenceRefused(f"no reference {name!r}; there are {', '.join(NAMES)}")
    if name == "AGE2" and population > MOST_AGE2:
        raise ReferenceRefused(f"AGE2 takes a population of at most {MOST_AGE2}, not {population}")
    if name == "SMS" and not 2 <= aims <= MOST_AIMS_SMS:
        raise ReferenceRefused(f"SMS takes 2 to {MOST_AIMS_SMS} aims, not {aims}")
    _class(name)


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
    compared is the search and not the way of keeping.  The library's algorithm lives through all of it, so that
    its seconds are its own.
    """
    refuse(name, len(problem.enough), population)
    state = isl.begin(problem, seed, 0, settings_of(name, population))
    algorithm = _algorithm(state, problem.space)
    while state.evaluations < evaluations and not (stop is not None and stop()):
        rows = evaluated(problem, _asked(algorithm, state, problem))
        state = _told(algorithm, state, rows)
        if seen is not None:
            seen(rows)
    return Outcome(merged(state.archive), state.evaluations)


def proposed(state: State, problem: Problem, start: Floats | None = None) -> Floats:
    """The next vectors (batch,V); the first are an island's, with `start` (K,V) in the place of the first of them.

    Where the algorithm sees no new vector to try, in a space of one point, they are spread over it again.
    """
    return _asked(_algorithm(state, problem.space), state, problem, start)


def survived(state: State, rows: Rows) -> State:
    """The state after the rows of a batch joined it: the library says who lives."""
    return _told(_algorithm(state), state, rows)


def _algorithm(state: State, space: Columns | None = None) -> _Algorithm:
    """The library's algorithm where the state left it; it needs the space to propose, and not to judge."""
    s, enough = state.settings, state.archive.enough
    algorithm = _class(s.algorithm)(pop_size=s.population)
    problem = _library("core.problem").Problem(
        n_var=state.population.X.shape[1],
        n_obj=len(enough),
        n_ieq_constr=1,
        xl=None if space is None else space.low,
        xu=None if space is None else space.high,
    )
    algorithm.setup(problem, termination=_library("core.termination").NoTermination())
    if len(state.population):
        algorithm.pop = _population(state.population, enough)
        algorithm.pop.set(rank=state.rank, crowding=state.lonely)
        algorithm.is_initialized, algorithm.n_iter = True, state.round + 1
    return algorithm


def _asked(
    algorithm: _Algorithm,
    state: State,
    problem: Problem,
    start: Floats | None = None,
) -> Floats:
    """As `proposed`, from an algorithm that stands where the state does."""
    rng = isl.generator(state.seed, state.island, state.round)
    if not len(state.population):
        algorithm.initialization.sampling = isl.first(state, problem, start, rng)
    algorithm.random_state = rng
    asked = algorithm.infill()
    if asked is None:
        return isl.first(state, problem, None, rng)
    return repaired(problem.space, asked.get("X").astype(np.float64))


def _told(algorithm: _Algorithm, state: State, rows: Rows) -> State:
    """As `survived`, by an algorithm that stands where the state does and then goes on."""
    everyone = joined([state.population, rows])
    infills = _population(rows, state.archive.enough)
    infills.set(place=np.arange(len(state.population), len(everyone)))
    if len(state.population):
        algorithm.pop.set(place=np.arange(len(state.population)))
    algorithm.random_state = isl.generator(state.seed, state.island, state.round, 1)
    algorithm.advance(infills=infills)
    place = np.asarray(algorithm.pop.get("place"), dtype=np.int64)
    rank, crowding = algorithm.pop.get("rank"), algorithm.pop.get("crowding")
    return replace(
        state,
        round=state.round + 1,
        evaluations=state.evaluations + len(rows),
        fitting=state.fitting + int(everyone.feasible.any()),
        population=everyone.take(place),
        rank=np.array([_UNRANKED if r is None else r for r in rank], dtype=np.int64),
        lonely=np.array([0.0 if c is None else c for c in crowding], dtype=np.float64),
        nearest=isl.nearer(state.nearest, rows),
        archive=added(state.archive, rows),
    )


def _population(rows: Rows, enough: Floats) -> _Population:
    """Rows as the library's; aims an infeasible row lacks are made finite, its violation decides."""
    F = clipped(rows.F, enough)
    made = _library("core.population").Population.new(
        X=rows.X,
        F=np.where(np.isfinite(F), F, np.finfo(np.float64).max / 1e6),
        G=rows.violation[:, None],
    )
    return cast("_Population", made)


def _class(name: str) -> Callable[..., _Algorithm]:
    """An algorithm of the library; AGE-MOEA-II needs an accelerator that is not installed with this package."""
    if name == "AGE2" and find_spec("numba") is None:
        raise ReferenceRefused("AGE2 needs numba: pip install 'evener[references]'")
    module, _, kind = _CLASSES[name].partition(".")
    return cast("Callable[..., _Algorithm]", getattr(_library(f"algorithms.moo.{module}"), kind))


def _library(module: str) -> ModuleType:
    """A module of pymoo, which takes a third of a second to load and is needed here only."""
    Config.warnings["not_compiled"] = False  # it would print that
    return import_module(f"pymoo.{module}")
