"""A piece of the search is a plain function of what it begins with; a settled space sits out."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
import pytest

from explorer.search.island import State
from explorer.study import keepers, rounds, stints, tribes
from explorer.study import standing as st
from explorer.study.crew import Alone
from explorer.study.plan import plan_of
from explorer.study.rounds import Conveyor, Measured
from explorer.study.standing import Point, Standing
from explorer.study.stints import Brought, Plan, Stint
from explorer.study.tribes import Group
from tests.study.small import SCHEME, study_in

SEEDS = (1, 2)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """The small study with two seeds."""
    return plan_of(study_in(tmp_path_factory.mktemp("rounds") / "s"), SEEDS, SCHEME)


def alike(a: Group, b: Group) -> bool:
    """Whether two groups would go on alike and hold the same."""
    pairs = zip(a.states, b.states, strict=True)
    same = all(
        s.round == t.round and np.array_equal(s.population.X, t.population.X) for s, t in pairs
    )
    return same and np.array_equal(rounds.front_of(a).F, rounds.front_of(b).F)


def begun(plan: Plan) -> list[Group]:
    """The groups of the first space before their first batch."""
    return list(rounds.begin(plan))[: len(SEEDS)]


def test_a_stint_may_be_done_twice_and_in_parts(plan: Plan) -> None:
    groups = begun(plan)
    at_once = stints.done(plan, stints.asked(0, groups, 6))
    again = stints.done(plan, stints.asked(0, groups, 6))
    parts = list(groups)
    counts = []
    for _ in range(2):
        brought = stints.done(plan, stints.asked(0, parts, 3))
        counts.append(brought.counts)
        for i, after in enumerate(brought.groups):
            parts[i] = stints.brought_home(parts[i], after)
    assert at_once.counts == again.counts == counts[0] + counts[1]
    for i, after in enumerate(at_once.groups):
        home = stints.brought_home(groups[i], after)
        assert alike(home, stints.brought_home(groups[i], again.groups[i]))
        assert alike(home, parts[i])
    assert at_once.counts.looked_at == sum(g.evaluations for g in at_once.groups) > 0


@pytest.mark.parametrize("beyond", [0.0, 0.3])
def test_what_is_left_out_changes_nothing(
    plan: Plan, beyond: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A row that cannot live is not looked at to the end; the search goes on as if it had been."""
    scheme = replace(plan.scheme, whole=replace(plan.scheme.whole, beyond=beyond, far=0.3))
    plan = replace(plan, scheme=scheme)
    left_out = []
    real = tribes.worth

    def worth(state: State) -> float:
        left_out.append(real(state))
        return left_out[-1]

    monkeypatch.setattr(tribes, "worth", worth)
    found = [stints.done(plan, stints.asked(0, begun(plan), 25))]
    monkeypatch.setattr(tribes, "worth", lambda _: np.inf)
    found.append(stints.done(plan, stints.asked(0, begun(plan), 25)))
    assert np.isinf(left_out).any()
    assert np.isfinite(left_out).any()
    assert found[0].counts == found[1].counts
    for a, b in zip(found[0].groups, found[1].groups, strict=True):
        assert a.gathered
        assert alike(a, b)
        assert np.array_equal(a.nearest.X, b.nearest.X)
        assert np.array_equal(a.nearest.violation, b.nearest.violation)


def test_what_travels_has_no_archive_and_comes_home_to_it(plan: Plan) -> None:
    groups = begun(plan)
    for _ in range(6):
        brought = stints.done(plan, stints.asked(0, groups, 3))
        before = sum(len(rounds.front_of(g)) for g in groups)
        groups = [stints.brought_home(*g) for g in zip(groups, brought.groups, strict=True)]
    assert before, "nothing fits in the easy study"
    light = stints.asked(0, groups, 1).groups
    assert all(not len(rounds.front_of(g)) for g in light)
    assert all(g.evaluations == h.evaluations for g, h in zip(light, groups, strict=True))


def test_seeds_done_apart_bring_what_they_bring_together(plan: Plan) -> None:
    """To the last row and in the same order: who does a piece, and with what others, is not to be seen in a study."""
    groups, problem = begun(plan), plan.problems[0]
    for _ in range(4):
        one = stints.done(plan, stints.asked(0, groups, 6))
        parts = [stints.done(plan, stints.asked(0, [g], 6)) for g in groups]
        both = stints.together(parts, problem)
        assert one.counts == both.counts
        for name in ("X", "F", "violation", "tie"):
            assert np.array_equal(getattr(one.fits, name), getattr(both.fits, name))
        assert all(alike(a, b) for a, b in zip(one.groups, both.groups, strict=True))
        groups = [stints.brought_home(*g) for g in zip(groups, one.groups, strict=True)]
    assert len(one.fits)
    assert all(len(p.fits) for p in parts)


@dataclass
class Handed:
    """A crew of so many hands that notes what it is handed."""

    plan: Plan
    hands: int
    stints: list[tuple[int, int]] = field(default_factory=list)

    def work(self, stint: Stint) -> Callable[[], Brought]:
        """Space and number of seeds are noted; the work is done when the answer is called for."""
        self.stints.append((stint.place, len(stint.groups)))
        return lambda: stints.done(self.plan, stint)


def test_no_hand_is_idle_where_few_spaces_are_left(plan: Plan) -> None:
    """A piece for each seed where there are fewer spaces than hands, else one a space."""
    known = {p: Measured((0.25, 0.5), 0.75) for p in range(1, len(plan.problems))}
    for hands, piece in ((1, 2), (2, 1)):
        crew = Handed(plan, hands)
        conveyor = Conveyor(plan, list(rounds.begin(plan)), crew)
        rounds.play(conveyor, 1, known)
        ahead = 2  # this round's work and the next's
        assert crew.stints == [(0, piece)] * (2 // piece) * ahead
    assert len(plan.problems) > 2
    crew = Handed(plan, 2)
    rounds.play(Conveyor(plan, list(rounds.begin(plan)), crew), 1, {})
    assert set(crew.stints) == {(p, 2) for p in range(len(plan.problems))}


def test_a_resting_space_is_left_as_it_is(plan: Plan) -> None:
    conveyor = Conveyor(plan, list(rounds.begin(plan)), Alone(plan, lambda: False))
    rounds.play(conveyor, 1, {})
    before = list(conveyor.groups)
    known = {p: Measured((0.25, 0.5), 0.75) for p in (0, 3)}
    played = rounds.play(conveyor, 2, known)
    assert all(
        (played.measured[p] == known.get(p)) == (p in known) for p in range(len(plan.problems))
    )
    for p, counts in enumerate(played.counts):
        asleep = p in {0, 3}
        assert (counts.looked_at == 0) == asleep
        assert all((conveyor.groups[i] is before[i]) == asleep for i in plan.of(p))
        assert (len(played.newcomers[p]) == 0) or not asleep


def course(end: float, growth: float = 0.0) -> tuple[Point, ...]:
    """Forty measurements that end at a volume, the last of them with so much growth."""
    flat = [Point(100.0 * n, end * (1.0 - growth), 0.0) for n in range(1, 40)]
    return (*flat, Point(4000.0, end, 0.0))


def stood(plan: Plan, spaces: dict[int, tuple[float, float, float]]) -> Standing:
    """A standing where all spaces are settled, apart from those given: (volume, volume, joint growth)."""
    n = len(plan.problems)
    told = [spaces.get(p, (0.5, 0.5, 0.0)) for p in range(n)]
    return replace(
        st.begin(n, n * len(SEEDS)),
        round=40,
        courses=tuple(course(v) for t in told for v in t[:2]),
        joint=tuple(course(max(t[:2]), t[2]) for t in told),
    )


def test_settled_spaces_rest_until_all_are(plan: Plan) -> None:
    n = len(plan.problems)
    assert st.settled(plan, stood(plan, {}))
    assert st.resting(plan, stood(plan, {})) == {}
    grows, differs = {1: (0.5, 0.5, 0.002)}, {2: (0.5, 0.489, 0.0)}
    for awake in (grows, differs, grows | differs):
        now = stood(plan, awake)
        assert not st.settled(plan, now)
        asleep = st.resting(plan, now)
        assert asleep.keys() == set(range(n)) - awake.keys()
        assert set(asleep.values()) == {Measured((0.5, 0.5), 0.5)}


def test_growth_counts_over_both_seeds_together(plan: Plan) -> None:
    """What one seed alone still finds and the other has long had is nothing new."""
    now = stood(plan, {})
    grown = replace(now, courses=(course(0.5, 0.01), *now.courses[1:]))
    assert st.settled(plan, grown)


def gone_through(plan: Plan, stints_: int) -> list[list[Group]]:
    """The groups of the first space before and after each of so many batches."""
    course = [begun(plan)]
    for _ in range(stints_):
        brought = stints.done(plan, stints.asked(0, course[-1], 1))
        course.append(
            [stints.brought_home(*g) for g in zip(course[-1], brought.groups, strict=True)]
        )
    return course


def test_where_something_soon_fits_few_tribes_will_do(plan: Plan) -> None:
    """The first goes ahead alone until something fits; then there are few, else as many as there may be."""
    course = gone_through(replace(plan, scheme=replace(plan.scheme, alone=30)), 30)
    for seed in range(len(SEEDS)):
        mine = [c[seed] for c in course]
        first = next(i for i, g in enumerate(mine) if g.states[0].fitting)
        assert all(len(g.states) == SCHEME.tribes for g in mine[:first])
        assert not any(s.round for g in mine[: first + 1] for s in g.states[1:])
        assert len(mine[first].states) == SCHEME.few
        assert mine[first + 1].states[1].round == 1
    course = gone_through(replace(plan, scheme=replace(plan.scheme, alone=1)), 3)
    assert all(not g.states[0].fitting for g in course[1])
    assert all(len(g.states) == SCHEME.tribes for g in course[-1])


def test_a_joining_does_not_wait_for_the_last_fourth(plan: Plan) -> None:
    """Of four tribes one may be late, not two; what lives in a late one is joined too."""
    scheme = replace(plan.scheme, alone=1, together=99, most=99)
    group = gone_through(replace(plan, scheme=scheme), 4)[-1][0]
    assert len(group.states) == SCHEME.tribes
    for late, left in ((4, 4), (2, 4), (1, 2), (0, 2)):
        states = tuple(
            s if t < late else replace(s, fitting=99) for t, s in enumerate(group.states)
        )
        after = tribes.survived(replace(group, states=states), 0, scheme, [])
        assert len(after.states) == left
        assert {s.joins for s in after.states} == {0 if left == SCHEME.tribes else 1}
        both = np.concatenate([s.population.violation for s in group.states[:2]])
        if left < SCHEME.tribes and (both > 0.0).all():
            kept = after.states[0].population.violation
            np.testing.assert_array_equal(kept, np.sort(both)[: len(kept)])


def test_what_fits_first_is_named_in_its_own_round(
    plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Keepers are named every few rounds, but nobody waits for the first."""
    monkeypatch.setattr(st, "is_told", lambda _: False)
    conveyor = Conveyor(plan, list(rounds.begin(plan)), Alone(plan, lambda: False))
    standing = st.begin(len(plan.problems), len(plan.groups))
    width = max(p.space.width for p in plan.problems)
    front = keepers.begin(width, plan.problems[0].aims)
    while not sum(c.fits for c in standing.counts) and standing.round < 40:
        assert not standing.keepers
        played = rounds.play(conveyor, standing.round + 1, {})
        front, standing, _ = st.closed(plan, standing, front, conveyor.groups, played)
    assert 0 < len(standing.keepers) <= len(standing.named)
    told = len(standing.named)
    played = rounds.play(conveyor, standing.round + 1, {})
    assert len(st.closed(plan, standing, front, conveyor.groups, played)[1].named) == told
