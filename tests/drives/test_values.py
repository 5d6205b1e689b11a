"""Values of a described drive: how wide they may be, and what a wrong one is told."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.brief.builds import Build
from explorer.brief.errors import BadInput, Problem
from explorer.drives.assemble import ARCHITECTURES, counted
from explorer.drives.values import values_of, vector_of
from explorer.drives.variables import Variable
from tests.drives.spaces import space, vectors
from tests.factories import make_brief, make_stock

SPACE = space(make_brief(4), make_stock(), "chain_winder+chain")
X = vectors(SPACE, 1, np.random.default_rng(2), {})[0]


def build(**changes: str | float) -> Build:
    values = {**values_of(SPACE, X), **changes}
    return Build("one", SPACE.architecture, values, dict.fromkeys(values, 7))


def told(**changes: str | float) -> Problem:
    with pytest.raises(BadInput) as refused:
        vector_of(SPACE, build(**changes))
    (problem,) = refused.value.problems
    return problem


def test_names_and_numbers_come_back() -> None:
    np.testing.assert_array_equal(vector_of(SPACE, build()), X[None])
    kinds = {v.key: type(values_of(SPACE, X)[v.key]) for v in SPACE.variables}
    words = {"choice": str, "whole": int, "real": float}
    assert kinds == {v.key: words[v.kind] for v in SPACE.variables}


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [
        ("end_width_mm", 4.0 / 3.0, 36.0),  # both ends above 0: a third to three times
        ("shaft_x_mm", -15.0 - 90.0, 45.0),  # below 0: three spans more
        ("exit_links", 1, 42),  # whole: at least 1
        ("first_wheel_teeth", 3, 90),
    ],
)
def test_a_described_drive_may_lie_three_times_as_far(key: str, low: float, high: float) -> None:
    """So that a drive of another bench can be shown."""
    step = 1 if isinstance(high, int) else 1e-6
    for inside in (low, high):
        assert vector_of(SPACE, build(**{key: inside})).shape == X[None].shape
    for outside in (low - step, high + step):
        assert "check its unit" in told(**{key: outside}).mend


@pytest.mark.parametrize(("key", "value", "words"), [
    ("shaft_x_mm", True, "plain number"), ("shaft_x_mm", "3,5", "plain number"),
    ("shaft_x_mm", float("nan"), "finite"), ("exit_links", 2.5, "whole number"),
    ("shaft", "shaft 4.2", 'no such line in shafts; nearest is "shaft 4"'),
    ("doubled", "doubel", 'no such way of building; nearest is "doubled"'),
])  # fmt: skip
def test_a_wrong_value_is_told_how_to_mend_it(key: str, value: object, words: str) -> None:
    problem = told(**{key: value})
    assert words in problem.mend
    assert problem.path == f"values.{key}"


def test_a_wrong_key_is_told_its_nearest_or_all() -> None:
    assert told(exit_link="1").mend == 'did you mean "exit_links"?'
    assert told(zzzz="1").mend.startswith("keys are plate, ")


def test_missing_values_are_counted_and_named() -> None:
    short = build()
    gone = ("shaft_x_mm", "exit_links")
    values = {k: v for k, v in short.values.items() if k not in gone}
    with pytest.raises(BadInput) as refused:
        vector_of(SPACE, Build("one", SPACE.architecture, values, {}))
    (problem,) = refused.value.problems
    assert "2 of" in problem.message
    assert "shaft_x_mm (and exit_links)" in problem.message


def test_long_lists_of_options_are_cut() -> None:
    plates = next(v for v in SPACE.variables if v.key == "plate")
    assert isinstance(plates, Variable)
    allowed = told(plate="lead").allowed
    assert len(plates.options) == 12
    assert allowed.count('"') == 2 * 8
    assert allowed.endswith("and 4 more")
    assert "more" not in told(shaft="brass").allowed


def test_a_gap_of_less_than_a_millimetre_widens_by_its_factor_too() -> None:
    s = space(make_brief(4), make_stock(), "chain_differential+bar")
    x = vectors(s, 1, np.random.default_rng(2), {})[0]

    def of(gap: float) -> np.ndarray:
        values = {**values_of(s, x), "strand_gap_mm": gap}
        return vector_of(s, Build("one", s.architecture, values, {}))

    assert of(0.101).shape == of(14.9).shape == (1, len(x))
    for gap in (0.099, 15.1):
        with pytest.raises(BadInput):
            of(gap)


TOGETHER = {
    "face_mm", "output_pins", "cage_pins", "planet_pairs", "drive_pins", "output_pin_radius_mm",
    "cage_pin_radius_mm", "strand_drop_mm", "shaft_x_mm",
}  # fmt: skip


def test_counts_are_of_lines_that_have_a_size() -> None:
    """Teeth of a wheel count its chain's pitches, those of a gear its modules: mm a step.

    Half of a floating wheel's teeth are off its chain's links.
    """
    for architecture in ARCHITECTURES:
        s = space(make_brief(4), make_stock(), architecture)
        shelf, of_wheel = s.shelf, counted(s)
        keys = [v.key for v in s.variables]
        key = [*keys, ""].__getitem__  # the last where there is none, -1
        for j, v in enumerate(s.variables):
            if not v.key.endswith(("teeth", "links")):
                assert (j in of_wheel) == (v.key in TOGETHER)
                continue
            ((c, sizes),), taken = of_wheel[j]
            told = [(share, key(of), key(by)) for share, of, by, _ in taken]
            assert told == [(o.share, o.of, o.by) for o in v.off if {o.of, o.by} <= {"", *keys}]
            assert all(np.array_equal(d, shelf.pins.d) for _, _, by, d in taken if by >= 0)
            over = {"wheel_strand_links": "wheel_teeth"}
            if architecture.startswith("chain_winder"):
                over["carrier_strand_links"] = "first_wheel_teeth"
            if v.key in over:
                assert told == [(0.5, over[v.key], "")]
            line = s.variables[c]
            of = shelf.gears.module if line.key == "gear" else shelf.chains.pitch
            assert np.array_equal(sizes, of)
            assert len(line.options) == len(sizes)
            wheel = {"side_teeth": "gear", "planet_teeth": "gear", "input_teeth": "input_chain"}
            floating = v.key in {"wheel_teeth", "wheel_strand_links"}
            own = "wheel_chain" if floating else "output_chain"
            assert line.key == wheel.get(v.key, own)
