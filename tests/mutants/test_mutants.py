"""The mutators on a toy, and the record against the sources.

Mutation testing itself takes long; here only: the right faults are made, a fork tells a noticed one from
one that lives, and what is recorded still speaks of this code.
"""

import ast
import os
import subprocess
import sys
import textwrap
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from tests.mutants import population, runner, table
from tests.mutants.operators import OPERATORS, faults
from tests.mutants.population import Mutant, listed

STALE_MOST = 0.25  # of the recorded mutants, before the everyday tests ask for a new run
AGAIN = "run `python -m tests.mutants`, write reasons for what lives, commit tests/mutants"

TOY = '''
"""A toy: 1 + 1."""
from __future__ import annotations
LENGTH: float = 2.5  # mm

def area(w: float, deep: bool = True) -> float:
    """Never 3 * 4."""
    if w < 0.0:
        raise ValueError(f"{w} is below {0 + 0}")
    return abs(w * LENGTH) if deep else -w

def same(w: float) -> float:
    return max(w, 1.0) if w >= 1.0 else 1.0
'''
SEEN = """
import toy
def test_area():
    assert toy.area(2.0) == 5.0
    assert toy.area(2.0, deep=False) == -2.0
    assert toy.area(0.0) == 0.0
def test_same():
    assert toy.same(3.0) == 3.0
    assert toy.same(0.0) == 1.0
"""


def toys(text: str = TOY) -> list[Mutant]:
    return [m for m, _, _ in listed(text, "toy")]


def test_a_toy_has_these_mutants_and_no_others() -> None:
    found = [(m.unit, m.operator, m.words) for m in toys()]
    assert found == [
        ("LENGTH", "CRP", "2.5 -> 2.75"),
        ("area", "CRP", "True -> False"),
        ("area", "ROR-edge", "w < 0.0 -> w <= 0.0"),
        ("area", "ROR-not", "w < 0.0 -> w >= 0.0"),
        ("area", "CRP", "0.0 -> 1.0"),
        ("area", "BSW", "abs(w * LENGTH) if deep else -w -> -w if deep else abs(w * LENGTH)"),
        ("area", "ABS", "abs(w * LENGTH) -> w * LENGTH"),
        ("area", "AOR", "w * LENGTH -> w / LENGTH"),
        ("area", "UOD", "-w -> w"),
        ("same", "BSW", "max(w, 1.0) if w >= 1.0 else 1.0 -> 1.0 if w >= 1.0 else max(w, 1.0)"),
        ("same", "ROR-edge", "w >= 1.0 -> w > 1.0"),
        ("same", "ROR-not", "w >= 1.0 -> w < 1.0"),
        ("same", "CRP", "1.0 -> 1.1"),
        ("same", "FSW", "max(w, 1.0) -> min(w, 1.0)"),
        ("same", "CRP", "1.0 -> 1.1"),
        ("same", "CRP", "1.0 -> 1.1"),
    ]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("a + b", "a - b"), ("a % b", "a * b"), ("a ** b", "a * b"), ("a & b", "a | b"),
        ("a or b", "a and b"), ("not a", "a"), ("~a", "a"), ("a is b", "a is not b"),
        ("a not in b", "a in b"), ("a == b", "a != b"), ("np.minimum(a, b)", "np.maximum(a, b)"),
        ("a.max()", "a.min()"), ("np.cos(a)", "np.sin(a)"), ("all(a)", "any(a)"),
        ("np.where(a, b, c)", "np.where(a, c, b)"), ("np.abs(a)", "a"),
        ("[b for b in c if b]", "[b for b in c if not b]"), ("7", "8"), ("0.0", "1.0"),
    ],
)  # fmt: skip
def test_each_operator_on_a_line(before: str, after: str) -> None:
    tree = ast.parse(before)
    (fault,) = [f for f in faults(tree) if f.operator in OPERATORS]
    fault.put_in()
    assert ast.unparse(tree) == after


@pytest.mark.parametrize("text", ["'text'", "x: tuple[1, 2]", "raise ValueError(1)", "f'{1 + 1}'"])
def test_texts_hints_and_messages_are_left_alone(text: str) -> None:
    assert not list(faults(ast.parse(text)))


@pytest.mark.parametrize(
    ("line", "idle"),
    [
        ("a + 0.0 * b", 2),
        ("0.0 * b", 1),
        ("a + 1.0 * b", 0),
        ("0.0 + a * b", 0),
        ("0.0 / b", 0),
        ("a - zero", 1),
        ("zero - a", 0),
    ],
)
def test_what_computes_the_same_is_no_mutant(line: str, idle: int) -> None:
    assert sum(f.idle for f in faults(ast.parse(line))) == idle


def test_an_edit_changes_the_ids_of_its_own_function_only() -> None:
    edited = TOY.replace("-w\n", "-w + w\n").replace("Never 3", "Not 3")
    old, new = {m.id for m in toys()}, {m.id for m in toys(edited)}
    assert {m.split("/")[1] for m in old - new} == {"area"}
    assert {m.split("/")[1] for m in old & new} == {"LENGTH", "same"}
    worded = {m.id for m in toys("\n\n" + TOY.replace("Never 3", "Not 3"))}
    assert worded == old


def test_a_fork_tells_what_is_noticed_from_what_lives(tmp_path: Path) -> None:
    """An edge where both sides agree lives."""
    (tmp_path / "toy.py").write_text(TOY, encoding="utf-8")
    (tmp_path / "test_toy.py").write_text(SEEN, encoding="utf-8")
    code = f"""
    import sys
    import hypothesis
    import pytest
    from pathlib import Path
    sys.path.insert(0, {str(tmp_path)!r})
    from tests.mutants import population, runner
    here = Path({str(tmp_path)!r})
    text, file = (here / "toy.py").read_text(), here / "toy.py"
    tests = [str(here / "test_toy.py")]
    print("unchanged", runner.in_fork(tests, "toy", file, None)[0])
    for m, _, _ in population.listed(text, "toy"):
        if m.operator in ("AOR", "ROR-edge", "FSW"):
            code = population.compiled(text, m)
            print(m.unit, m.operator, m.number, *runner.in_fork(tests, "toy", file, code)[:1])
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)],
        cwd=population.ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [
        "unchanged lived",
        "area ROR-edge 1 killed",
        "area AOR 1 killed",
        "same ROR-edge 1 lived",
        "same FSW 1 killed",
    ]


def test_the_interval_of_a_share() -> None:
    """Wilson's of 8 in 10: 0.490 to 0.943 (Brown, Cai and DasGupta 2001, from memory)."""
    assert table.wilson(8, 10) == pytest.approx((0.4902, 0.9433), abs=5e-5)


def test_own_tests_are_there() -> None:
    """Modules that are new may wait for the next run; what is named exists."""
    own = runner.own()
    named = {f"{room}.{name}" for room in population.ROOMS for name in own[room]}
    files = {f for m in named for f in runner.tests_of(m)}
    assert [f for f in sorted(files) if not (population.ROOT / f).is_file()] == []
    gone = named - set(population.modules())
    assert not gone, f"take {sorted(gone)} out of tests/mutants/own.toml"


def test_the_record_speaks_of_this_code() -> None:
    there = {m.id for name in population.modules() for m in population.mutants_of(name)}
    known = table.read_fates()
    assert len(known) >= 1000
    stale = sorted(known.keys() - there)
    assert len(stale) <= STALE_MOST * len(known), f"{len(stale)} edited since: {AGAIN}"


def test_table_and_fates_agree() -> None:
    known, text = table.read_fates(), table.TABLE.read_text(encoding="utf-8")
    fates = table.counted(known)
    dead = fates[runner.KILLED] + fates[runner.HUNG]
    assert f"{len(known)} were run" in text, AGAIN
    assert f"Lived: {fates[runner.LIVED]}." in text, AGAIN
    assert dead + fates[runner.LIVED] == len(known)
    by = Counter(table.module_of(i) for i in known)
    for module, n in by.items():
        (row,) = [line for line in text.splitlines() if line.startswith(f"| {module} |")]
        assert [c.strip() for c in row.split("|")][3] == str(n)
    lived = {i for i, f in known.items() if f.fate == runner.LIVED}
    assert {i for i in known if f"| {i} |" in text} == lived
    assert table.reasons().keys() <= lived, "a reason for a mutant that does not live"
    assert lived <= table.reasons().keys(), "a survivor without a reason"


def test_a_reason_whose_mutant_is_noticed_by_now_counts_for_nothing() -> None:
    """The table is written after a run, before anybody takes such reasons out."""
    known = table.read_fates()
    noticed = {i: replace(f, fate=runner.KILLED) for i, f in known.items()}
    text = table.told(noticed, "2000-01-01")
    assert f"Noticed: {len(known)} " in text
    assert "survivors that compute the same" not in text


def test_nineteen_of_twenty_are_noticed() -> None:
    """Every survivor counted against us, whatever the reason."""
    known = table.read_fates()
    assert 1.0 - table.counted(known)[runner.LIVED] / len(known) >= 0.95


@pytest.mark.long
def test_sixty_fates_are_reproduced() -> None:
    """A random sixty of the recorded; MUTANTS_SEED picks others than today's."""
    there = {m.id for name in population.modules() for m in population.mutants_of(name)}
    known = table.read_fates()
    stale = known.keys() - there
    assert len(stale) <= 0.05 * len(known), f"{len(stale)} edited since: {AGAIN}"
    seed = ["--seed", os.environ["MUTANTS_SEED"]] if "MUTANTS_SEED" in os.environ else []
    words = ["-m", "tests.mutants", "--redo", "60", "--jobs", str(os.cpu_count() or 1), *seed]
    done = subprocess.run(
        [sys.executable, *words], cwd=population.ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
