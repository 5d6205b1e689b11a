"""`python -m tests.mutants`: run mutants of mechanics and drives, keep their fates, write the table.

python -m tests.mutants                 the fixed sample; what has a fate already is not run again
python -m tests.mutants --all           every mutant there is
python -m tests.mutants --again lived   run those with this fate again (after new tests)
python -m tests.mutants --again all     run everything recorded again
python -m tests.mutants --only drives.bar
python -m tests.mutants --check         only run each module's own tests, unchanged
python -m tests.mutants --table         only write the table from the fates
"""

from __future__ import annotations

import argparse
import os
import random
import sys
from datetime import UTC, datetime

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")  # a fork must not inherit threads

from tests.mutants import population, runner, table  # noqa: E402 - after the threads are set


def _words() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__,
                                     formatter_class=argparse.RawTextHelpFormatter)  # fmt: skip
    parser.add_argument("--size", type=int, default=table.SAMPLE, help="size of the sample")
    parser.add_argument("--all", action="store_true", help="the whole population")
    parser.add_argument("--only", action="append", default=[], help="a module, as drives.bar")
    parser.add_argument("--again", choices=["lived", "killed", "hung", "all"], help="run again")
    parser.add_argument("--jobs", type=int, default=1, help="processes at a time")
    parser.add_argument("--fresh", type=int, help="how many outside the sample")
    parser.add_argument("--redo", type=int, help="how many to run again and compare")
    parser.add_argument("--seed", default="", help="which ones; without it, of today's date")
    parser.add_argument("--check", action="store_true", help="own tests of unchanged modules")
    parser.add_argument("--table", action="store_true", help="only write the table")
    return parser.parse_args()


def _chosen(words: argparse.Namespace) -> list[population.Mutant]:
    if words.all:
        return [m for name in population.modules() for m in population.mutants_of(name)]
    return population.sample(words.size)


def _check(only: list[str]) -> int:
    """Own tests on the code as it is, module by module."""
    failed = 0
    for module in only or population.modules():
        pid = os.fork()
        if pid == 0:
            runner.warm_up(module)
            fate, by = runner.sound(module)
            spent = sum(os.times()[2:4])
            said = "passes" if fate == runner.LIVED else f"FAILS at {by}"
            print(f"{module}: {said} in {spent:.1f} s", flush=True)
            os._exit(fate != runner.LIVED)
        failed += os.waitpid(pid, 0)[1] != 0
    return failed


def _fresh(count: int, size: int, jobs: int) -> int:
    """Mutants that no test was written by."""
    found = runner.run(population.fresh(size, count), jobs)
    table.write_fates({f.id: f for f in found}, table.FRESH)
    table.write_table(table.read_fates())
    return 0


def _redo(count: int, seed: str, jobs: int) -> int:
    """Fates that are not reproduced; a unit edited since cannot be asked."""
    seed = seed or datetime.now(UTC).date().isoformat()
    known = table.read_fates()
    there = {m.id: m for name in population.modules() for m in population.mutants_of(name)}
    fresh = sorted(known.keys() & there.keys())
    drawn = random.Random(seed).sample(fresh, min(count, len(fresh)))
    print(f"{len(drawn)} of {len(fresh)} mutants, seed {seed}", flush=True)
    other = [f for f in runner.run([there[i] for i in drawn], jobs) if f.fate != known[f.id].fate]
    for f in other:
        print(f"{f.id}: recorded as {known[f.id].fate}, now {f.fate} {f.by}", flush=True)
    return len(other)


def main() -> int:
    """Run what is asked for; a run that is stopped keeps what it has."""
    words = _words()
    if words.fresh:
        return _fresh(words.fresh, words.size, words.jobs)
    if words.redo:
        return min(_redo(words.redo, words.seed, words.jobs), 100)
    if words.check:
        return _check(words.only)
    if not words.table:
        known = table.read_fates()
        chosen = [m for m in _chosen(words) if not words.only or m.module in words.only]
        wanted = [
            m for m in chosen
            if m.id not in known or words.again in {"all", known[m.id].fate}
        ]  # fmt: skip
        print(f"{len(wanted)} mutants to run", flush=True)
        keep = {m.id for m in _chosen(words)} if not words.only else {*known}
        for done, fate in enumerate(runner.run(wanted, words.jobs), 1):
            known[fate.id] = fate
            table.write_fates({k: f for k, f in known.items() if k in keep or k == fate.id})
            print(f"{done}/{len(wanted)} {fate.fate} {fate.seconds} {fate.id}", flush=True)
    table.write_table(table.read_fates())
    return 0


if __name__ == "__main__":
    sys.exit(main())
