"""Service: in step with use, limits that a caliper sees, spares for a year."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.brief.records import Use
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf
from explorer.scoring.score import Detail, detail
from explorer.scoring.service import (
    LEAST_SEEN,
    LINKS,
    LOOKS,
    Service,
    service,
    soonest_look,
    spares,
)
from tests.scoring import orchard


def told(architecture: str, **use: float) -> Detail:
    """The least bad drive of an architecture, with another use."""
    shelf = orchard.shelf()
    changed: Use = replace(shelf.brief.use, **use)
    shelf = Shelf(replace(shelf.brief, use=changed), shelf.stock, shelf.demand)
    return detail(Space(shelf, architecture), orchard.vectors(architecture)[:1])


def by_key(rows: tuple[Service, ...]) -> dict[str, Service]:
    return {s.key: s for s in rows}


@pytest.mark.parametrize("architecture", orchard.ALL)
def test_twice_the_grips_a_day_halve_every_interval(architecture: str) -> None:
    grips = orchard.shelf().brief.use.grips_per_day
    once = by_key(service(told(architecture)))
    twice = by_key(service(told(architecture, grips_per_day=2.0 * grips)))
    assert once.keys() == twice.keys()
    assert any(math.isfinite(s.change) for s in once.values())
    for key, s in once.items():
        assert twice[key].change == s.change / 2.0
        assert twice[key].look == s.look / 2.0
        assert twice[key].limit == s.limit


@pytest.mark.parametrize("architecture", orchard.ALL)
def test_every_wearing_joint_is_there_once_the_soonest_first(architecture: str) -> None:
    d = told(architecture)
    rows = service(d)
    assert sorted(s.key for s in rows) == sorted(w.key for w in d.wear)
    assert [s.change for s in rows] == sorted(s.change for s in rows)
    assert soonest_look(rows) == rows[0].look
    weeks = {w.key: float(w.weeks[0]) for w in d.wear}
    for s in rows:  # the brief's own limits are seen by a caliper: the scorer's weeks stand
        assert s.change == weeks[s.key]
        assert s.look * LOOKS == pytest.approx(s.change)


@pytest.mark.parametrize("architecture", orchard.ALL)
def test_no_limit_is_finer_than_a_caliper_and_a_raised_one_is_reached_later(
    architecture: str,
) -> None:
    """A tenth of the least limit is raised tenfold; the wear itself stays what it is."""
    coarse = by_key(service(told(architecture, play_limit=LEAST_SEEN)))
    fine = by_key(service(told(architecture, play_limit=LEAST_SEEN / 10.0, chain_lengthening=1e-4)))
    for key, s in fine.items():
        assert s.limit == pytest.approx(LEAST_SEEN)
        if s.kind != "chain":
            assert s.change == pytest.approx(coarse[key].change, rel=1e-12)


def test_a_chain_is_changed_at_two_percent() -> None:
    rows = service(told("chain_winder+chain"))
    chains = [s for s in rows if s.kind == "chain"]
    pitches = {c.pitch for c in orchard.shelf().stock.chains}
    assert len(chains) == 5  # input, output, first wheel, two carriers
    for s in chains:
        assert s.new / LINKS in pitches
        assert s.limit == pytest.approx(0.02 * s.new)  # changed at 2 %: common practice
    assert all(s.new == 0.0 for s in rows if s.kind != "chain")


def test_bushed_joints_change_bushes_and_bare_ones_pins() -> None:
    space = orchard.space("linked_lever+bar")
    at = next(i for i, v in enumerate(space.variables) if v.key == "bushed")
    kinds = []
    for bushed in (0.0, 1.0):
        X = orchard.vectors("linked_lever+bar")[:1].copy()
        X[0, at] = bushed
        kinds.append({s.kind for s in service(detail(space, X))})
    assert kinds[0] == {"pin"}
    assert "bush" in kinds[1]


@given(st.floats(0.01, 1e7))
def test_spares_last_the_year_and_one_fewer_does_not(weeks: float) -> None:
    n = spares(weeks)
    assert n * weeks >= 52.0 * (1.0 - 1e-12)
    assert (n - 1) * weeks < 52.0


def test_what_never_wears_needs_no_spare() -> None:
    assert spares(math.inf) == 0
    assert [spares(w) for w in (52.0, 51.9, 26.0, 13.0)] == [1, 2, 2, 4]
    assert soonest_look(()) == math.inf
