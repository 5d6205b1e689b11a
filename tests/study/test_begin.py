"""A study that begins with a chosen drive: near it, with its frozen parts, and nothing that is not there."""

from pathlib import Path

import numpy as np
import pytest

from explorer.brief.errors import BadInput
from explorer.brief.read import read_study
from explorer.study import rounds, tribes
from explorer.study.begin import START
from explorer.study.crew import Alone
from explorer.study.plan import SCHEME, plan_of
from tests.show.book import write_builds

ARCHITECTURE = "chain_winder+bar"
NAME = "chain_winder with bar"


def start_text(more: str = "", frozen: str = '["plate", "bushed"]', name: str = NAME) -> str:
    head = f'schema = 1\ndrive = "{name}"\narchitecture = "{ARCHITECTURE}"\nfrozen = {frozen}\n'
    return f"{head}[bounds]\n{more}"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_builds(tmp_path)
    return tmp_path


def test_without_it_everything_is_searched(folder: Path) -> None:
    plan = plan_of(read_study(folder), (1,), SCHEME)
    assert all(start is None for start in plan.starts)


def test_the_search_stays_within_what_was_said(folder: Path) -> None:
    study = read_study(folder)
    at = next(
        i
        for i, p in enumerate(plan_of(study, (1,)).problems)
        if p.design.architecture == ARCHITECTURE
    )
    variables = plan_of(study, (1,)).problems[at].design.variables
    real = next(v for v in variables if v.kind == "real")
    j = [v.key for v in variables].index(real.key)
    middle, by = (real.low + real.high) / 2, (real.high - real.low) / 8
    (folder / START).write_text(start_text(f"{real.key} = [{middle - by}, {middle + by}]\n"))
    plan = plan_of(study, (1,), SCHEME)
    begin = plan.starts[at]
    assert begin is not None
    assert sum(start is not None for start in plan.starts) == 1
    conveyor = rounds.Conveyor(plan, list(rounds.begin(plan)), Alone(plan, lambda: False))
    for round_ in range(3):
        conveyor.hand_out(at, round_, apart=False)
        conveyor.take_in(at)
    X = conveyor.groups[at].states[0].population.X
    assert len(X)
    assert (X[:, j] >= middle - by).all()
    assert (X[:, j] <= middle + by).all()
    frozen = [i for i, v in enumerate(variables) if v.key in {"plate", "bushed"}]
    assert len(frozen) == 2
    assert (X[:, frozen] == begin[0, frozen]).all()


def test_the_drive_itself_is_looked_at_first(folder: Path) -> None:
    (folder / START).write_text(start_text())
    plan = plan_of(read_study(folder), (1,), SCHEME)
    at = next(i for i, start in enumerate(plan.starts) if start is not None)
    begin = plan.starts[at]
    assert begin is not None
    state = rounds.begin(plan)[plan.of(at)[0]].states[0]
    assert np.array_equal(tribes.proposed(state, plan.problems[at], begin)[0], begin[0])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (start_text(name="nobody"), "no such drive"),
        (start_text(frozen='["plaet"]'), "no such key"),
        (start_text("plaet = [1.0, 2.0]\n"), "no such key"),
        (start_text("plate = [0.0, 1.0]\n"), "is a choice"),
        (start_text("d_core_teeth = [5.0, 2.0]\n"), "no such key"),
        (start_text().replace("schema = 1", "schema = 2"), "schema"),
        (start_text() + "\n[more]\n", "more"),
    ],
)
def test_what_is_not_there_is_refused(folder: Path, text: str, said: str) -> None:
    (folder / START).write_text(text)
    with pytest.raises(BadInput, match=said):
        plan_of(read_study(folder), (1,))


@pytest.mark.parametrize("bounds", ["[2.0, 1.0]", "[-1e9, 1.0]", "[1.0]", "[nan, 1.0]"])
def test_bounds_that_cannot_be_are_refused(folder: Path, bounds: str) -> None:
    study = read_study(folder)
    problems = plan_of(study, (1,)).problems
    variables = next(p for p in problems if p.design.architecture == ARCHITECTURE).design.variables
    real = next(v for v in variables if v.kind == "real")
    (folder / START).write_text(start_text(f"{real.key} = {bounds}\n"))
    with pytest.raises(BadInput):
        plan_of(study, (1,))
