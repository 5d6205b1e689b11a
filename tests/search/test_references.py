from dataclasses import dataclass

import numpy as np
import pytest

from explorer.search import references
from explorer.search.problem import BadScores, Rows, Scored, joined
from explorer.search.references import NAMES, ReferenceRefused, run
from tests.search.toys import Toy


@pytest.mark.parametrize("name", NAMES)
def test_a_reference_repeats_with_its_seed_and_counts_what_it_asks(name: references.Name) -> None:
    seen: list[Rows] = []
    a = run(name, Toy(), 3, 300, population=20, seen=seen.append)
    b = run(name, Toy(), 3, 300, population=20)
    other = run(name, Toy(), 4, 300, population=20)
    assert np.array_equal(a.archive.kept.X, b.archive.kept.X)
    assert not np.array_equal(a.archive.kept.X, other.archive.kept.X)
    X = joined(seen).X
    assert a.evaluations == len(X) >= 300
    assert (X[:, Toy().space.discrete] % 1.0 == 0.0).all()
    assert len(a.archive.kept)


@pytest.mark.parametrize("name", NAMES)
def test_where_nothing_fits_the_front_is_empty(name: references.Name) -> None:
    found = run(name, Toy(bar=2.0), 1, 100, population=20)
    assert found.evaluations >= 100
    assert not len(found.archive.kept)


@dataclass(frozen=True)
class Late(Toy):
    """A scorer that gives one NaN."""

    def evaluate(self, X: np.ndarray) -> Scored:
        s = super().evaluate(X)
        F = s.F.copy()
        F[-1, 0] = np.nan
        return Scored(F, s.violation, s.tie)


@pytest.mark.parametrize("name", NAMES)
def test_a_nan_is_an_error(name: references.Name) -> None:
    with pytest.raises(BadScores, match="NaN"):
        run(name, Late(), 1, 100, population=20)


def test_what_an_algorithm_cannot_take_is_refused() -> None:
    with pytest.raises(ReferenceRefused, match="at most 3 aims, not 5"):
        run("SMS", Toy(aims=5), 1, 100)
    with pytest.raises(ReferenceRefused, match="at most 200, not 300"):
        run("AGE2", Toy(), 1, 100, population=300)
    with pytest.raises(ReferenceRefused, match="there are NSGA2, GDE3, AGE2, SMS"):
        run("NSGA9", Toy(), 1, 100)  # type: ignore[arg-type]


def test_a_reference_stops_when_told() -> None:
    calls = iter([False, False, True])
    assert run("NSGA2", Toy(), 1, 10**9, population=20, stop=lambda: next(calls)).evaluations == 40
