"""The house rules hold in the tree, and each rule catches what it is there to catch."""

from collections.abc import Callable, Sequence

import pytest

from tests.house import rules
from tests.house.tree import Source, package_sources, parsed, sources_of_tests

PACKAGE_RULES = [
    rules.too_long,
    rules.too_many_methods,
    rules.unsafe,
    rules.prints,
    rules.sets_modes,
    rules.undocumented,
]
TEST_RULES = [rules.too_long, rules.cannot_fail]
BIT_EXACT_ROOMS = ("explorer.mechanics", "explorer.drives", "explorer.scoring")

Rule = Callable[[Source], list[str]]


def offences(rule: Rule, sources: Sequence[Source]) -> list[str]:
    return [offence for source in sources for offence in rule(source)]


def id_of(rule: Rule) -> str:
    return rule.__name__


@pytest.mark.parametrize("rule", PACKAGE_RULES, ids=id_of)
def test_the_package_keeps_the_rule(rule: Rule) -> None:
    sources = package_sources()
    assert sources, "no source found: the rule would hold for nothing"
    assert offences(rule, sources) == []


@pytest.mark.parametrize("rule", TEST_RULES, ids=id_of)
def test_the_tests_keep_the_rule(rule: Rule) -> None:
    sources = sources_of_tests()
    assert sources, "no source found: the rule would hold for nothing"
    assert offences(rule, sources) == []


@pytest.mark.parametrize("room", BIT_EXACT_ROOMS)
def test_scores_come_from_no_blas_product(room: str) -> None:
    sources = [s for s in package_sources() if f"{s.module}.".startswith(f"{room}.")]
    assert sources, f"{room} not found"
    assert offences(rules.uses_blas, sources) == []


def test_the_declared_tables_exist() -> None:
    known = {s.name for s in [*package_sources(), *sources_of_tests()]}
    assert set(rules.TABLES) <= known


METHODS = "\n".join(f"    def m{i}(self): ..." for i in range(11))

# rule, a file that breaks it, a near miss that keeps it
CASES: list[tuple[Rule, str, str]] = [
    (rules.too_long, "x = 1\n" * 401, "x = 1\n" * 400),
    (
        rules.too_many_methods,
        f"class A:\n{METHODS}\n",
        f"class A:\n{METHODS.replace('m10', '_m10')}\n",
    ),
    (rules.unsafe, "import pickle", "import pickletools"),
    (rules.unsafe, "def f():\n    from joblib import load", "from jobs import load"),
    (rules.unsafe, "eval('1')", "import re\nre.compile('1')"),
    (rules.unsafe, "import yaml\nyaml.load(x)", "import yaml\nyaml.safe_load(x)"),
    (rules.unsafe, "pd.read_pickle(p)", "pd.read_csv(p)"),
    (rules.unsafe, "np.load(p, allow_pickle=True)", "np.load(p, allow_pickle=False)"),
    (rules.prints, "print(1)", "fingerprint(1)"),
    (rules.sets_modes, "np.seterr(all='raise')", "with np.errstate(all='raise'):\n    pass"),
    (rules.undocumented, '"""M."""\ndef f(): ...', '"""M."""\ndef _f(): ...'),
    (
        rules.undocumented,
        '"""M."""\nclass A:\n    def f(self): ...',
        '"""M."""\nclass A:\n    def f(self):\n        """F."""',
    ),
    (rules.undocumented, "x = 1", '"""M."""\nx = 1'),
    (rules.uses_blas, "c = a @ b", "@property\ndef f(self): ..."),
    (rules.uses_blas, "(a + b).dot(c)", "a * b"),
    (rules.uses_blas, "np.matmul(a, b)", "np.multiply(a, b)"),
    (rules.cannot_fail, "def test_a():\n    f()", "def test_a():\n    assert f()"),
    (
        rules.cannot_fail,
        "def test_a():\n    assert True",
        "def test_a():\n    with pytest.raises(ValueError):\n        f()",
    ),
]


@pytest.mark.parametrize(("rule", "broken", "kept"), CASES)
def test_a_rule_catches_the_offence_and_spares_the_near_miss(
    rule: Rule, broken: str, kept: str
) -> None:
    assert len(rule(parsed(broken))) == 1
    assert rule(parsed(kept)) == []
