"""The search beside stock algorithms on public problems:  python -m tests.bench.yardsticks

    [--evaluations 20000] [--seconds 1] [--seeds 5]

Hypervolume in percent of a pooled reference, every algorithm with the same unbounded archive: the
islands with their own settings, the stock ones with a population of 100. Then how many evaluations the
islands need until their archive is the whole front of the gear train, which is known exactly. Ends with 1
where the islands' mean is below a stock algorithm's at either budget, or a front was not found.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable

import numpy as np

from explorer.mechanics.types import Floats
from explorer.search import island, references
from explorer.search.archive import Archive, merged
from explorer.search.measure import Box, hypervolume
from tests.bench.yardstick_problems import GEAR_FRONT, YARDSTICKS, Yardstick

FOREVER = 10**9
GEAR_MOST = 1_000_000
Stop = Callable[[], bool]


def percent(problem: Yardstick, archive: Archive) -> float:
    """Hypervolume in percent of the tabulated reference."""
    box = Box(np.array(problem.ideal), np.array(problem.nadir))
    return 100.0 * hypervolume(archive.kept.F, problem.enough, box) / problem.reference


def ours(problem: Yardstick, seed: int, evaluations: int, stop: Stop) -> tuple[Archive, int]:
    """One island's archive, and how many vectors it looked at."""
    state = island.begin(problem, seed, 0)
    while state.evaluations < evaluations and not stop():
        state, _ = island.step(state, problem)
    return merged(state.archive), state.evaluations


def stock(name: references.Name) -> Callable[[Yardstick, int, int, Stop], tuple[Archive, int]]:
    """The same of a stock algorithm."""

    def search(problem: Yardstick, seed: int, evaluations: int, stop: Stop) -> tuple[Archive, int]:
        found = references.run(name, problem, seed, evaluations, stop=stop)
        return found.archive, found.evaluations

    return search


SEARCHES = {"islands": ours, "NSGA2": stock("NSGA2"), "GDE3": stock("GDE3")}


def until(seconds: float | None) -> Stop:
    """Whether so many seconds have passed since now; never, for None."""
    end = time.perf_counter() + (np.inf if seconds is None else seconds)
    return lambda: time.perf_counter() >= end


def table(title: str, seeds: int, evaluations: int, seconds: float | None) -> dict[str, float]:
    """Print percent by problem and search (mean over seeds); give each search's mean of the problems."""
    print(f"\n{title}: hypervolume % of the reference, mean of {seeds} seeds (evaluations)")
    print(f"{'':24}" + "".join(f"{name:>20}" for name in SEARCHES))
    means: dict[str, list[float]] = {name: [] for name in SEARCHES}
    for problem in YARDSTICKS:
        line = f"{problem.name:24}"
        for name, search in SEARCHES.items():
            runs = [search(problem, s, evaluations, until(seconds)) for s in range(seeds)]
            value = float(np.mean([percent(problem, archive) for archive, _ in runs]))
            means[name].append(value)
            line += f"{value:10.2f} {f'({np.mean([n for _, n in runs]):.0f})':>9}"
        print(line, flush=True)
    total = {name: float(np.mean(values)) for name, values in means.items()}
    print(f"{'mean':24}" + "".join(f"{v:10.2f}{'':10}" for v in total.values()), flush=True)
    return total


def is_gear_front(F: Floats) -> bool:
    """Whether aims (N,2) are the 17 points and nothing else, within the digits they are tabulated with."""
    front = np.array(GEAR_FRONT)
    F = F[np.argsort(F[:, 1])]
    return F.shape == front.shape and bool(np.allclose(F, front, rtol=1e-8, atol=1e-9))


def gear(seed: int, most: int = GEAR_MOST, every: int = 20) -> int | None:
    """Evaluations until an island's archive is the whole front, to `every` rounds; None if never."""
    problem = next(y for y in YARDSTICKS if y.name.startswith("CRE25"))
    state = island.begin(problem, seed, 0)
    while state.evaluations < most:
        for _ in range(every):
            state, _ = island.step(state, problem)
        if is_gear_front(merged(state.archive).kept.F):
            return state.evaluations
    return None


def main(words: list[str]) -> int:
    """Print the tables; 1 where the islands fall below."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.yardsticks", description=__doc__)
    parser.add_argument("--evaluations", type=int, default=20_000)
    parser.add_argument("--seconds", type=float, default=1.0)
    parser.add_argument("--seeds", type=int, default=5)
    asked = parser.parse_args(words)
    for problem in YARDSTICKS:  # what is loaded or warmed up at first use costs nobody's second
        for search in SEARCHES.values():
            search(problem, 0, 500, until(None))
    totals = [
        table(f"{asked.evaluations} evaluations", asked.seeds, asked.evaluations, None),
        table(f"{asked.seconds:g} s", asked.seeds, FOREVER, asked.seconds),
    ]
    found = [gear(seed) for seed in range(asked.seeds)]
    counts = ", ".join("not found" if n is None else f"{n}" for n in found)
    print(
        f"\nall {len(GEAR_FRONT)} points of the gear train's front, and no others, after {counts}"
    )
    below = [
        f"{name} {t[name]:.2f} > islands {t['islands']:.2f}"
        for t in totals
        for name in t
        if t[name] > t["islands"]
    ]
    for line in below:
        print(f"below: {line}")
    return int(bool(below) or None in found)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
