"""A size that others leave a window is moved into it, nothing else is, and a drive that fits stays as it is."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.brief.builds import builds_of
from explorer.brief.parse import parse_file
from explorer.drives import pinned, wheels
from explorer.drives.assemble import ARCHITECTURES, Space, counted, trimmed
from explorer.drives.variables import Batch, decode
from explorer.drives.winder import Track, winder
from explorer.drives.windows import (
    around,
    inside,
    least_around,
    least_width,
    whole_from,
    whole_upto,
)
from explorer.mechanics.types import Floats
from explorer.scoring.look import first_look
from explorer.scoring.open import open_drive
from explorer.scoring.score import score
from explorer.search.space import counts, lengths
from explorer.search.space import trimmed as trimmed_in_bounds
from explorer.study.problem import DriveProblem
from tests.drives.spaces import space as space_of
from tests.drives.untrimmed import (
    IDLE,
    LINKS,
    ROOT,
    WHEELS,
    WHOLE,
    WIDTHS,
    N,
    best_on_a_grid,
    column,
    drawn,
    minded,
    off_straps,
    shelf,
    space,
)
from tests.factories import make_brief, make_stock


def test_a_size_goes_to_the_nearer_end_of_its_window() -> None:
    x = np.array([[1.0], [2.0], [2.5], [4.0], [9.0], [5.0]])
    low = np.array([[2.0], [2.0], [2.0], [2.0], [2.0], [7.0]])
    high = np.array([[4.0], [4.0], [4.0], [4.0], [4.0], [6.0]])
    found = inside(x, (low, high))
    np.testing.assert_allclose(found[:, 0], [2.0, 2.0, 2.5, 4.0, 4.0, 7.0], atol=1e-8)
    assert found[0, 0] > 2.0
    assert found[4, 0] < 4.0
    assert found[1:4].tolist() == x[1:4].tolist()


def test_a_number_that_misses_a_whole_one_by_rounding_is_that_one() -> None:
    x = np.array([[14.0 + 1e-12], [14.0 - 1e-12], [14.3]])
    assert whole_from(x)[:, 0].tolist() == [14.0, 14.0, 15.0]
    assert whole_upto(x)[:, 0].tolist() == [14.0, 14.0, 14.0]


def test_a_plate_of_the_least_width_can_be_made() -> None:
    """Both rules of the shop, by the function that checks plates."""
    t, holes = np.array([[1.0], [3.0]]), (np.array([[3.0], [1.5]]), np.array([[2.0], [2.0]]))
    width = least_width(shelf(), t, *holes)
    made = pinned.drilled(shelf(), width, t, holes, ())
    np.testing.assert_allclose(np.minimum(made.web, made.edge), 0.0, atol=1e-12)


def test_holes_on_the_least_circle_leave_just_the_web() -> None:
    """Two of 2 mm with a web of 1: opposite each other, so 3 mm apart; and chord by chord for more."""
    n, d = np.array([[2.0], [3.0], [4.0]]), np.full((3, 1), 2.0)
    least = least_around(n, d, 1.0)
    assert least[0, 0] == pytest.approx(1.5, rel=1e-12)
    np.testing.assert_allclose(around(n, least, d, 1.0), 0.0, atol=1e-12)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_trimming_twice_is_trimming_once(architecture: str) -> None:
    s, X = space(architecture), drawn(architecture)
    before = X.copy()
    Y = trimmed(s, X)
    assert (X != Y).any(axis=1).mean() > 0.2
    np.testing.assert_array_equal(trimmed(s, Y), Y)
    np.testing.assert_array_equal(X, before)
    touched = {v.key for v, off in zip(s.variables, (X != Y).any(axis=0), strict=True) if off}
    assert all(v.kind == "real" for v in s.variables if v.key in touched - set(WHOLE))
    whole = [column(architecture, k) for k in WHOLE if k in touched]
    np.testing.assert_array_equal(Y[:, whole] % 1.0, 0.0)
    assert (Y >= X)[:, [column(architecture, k) for k in WHEELS if k in touched]].all()


@pytest.mark.parametrize(
    ("architecture", "key"),
    [(a, v.key) for a in ARCHITECTURES for v in space(a).variables if v.key in WIDTHS],
)
def test_no_width_does_better_than_the_trimmed(architecture: str, key: str) -> None:
    """Webs and edges of all plates, as the shop's limits tell them."""

    def spare(s: Space, X: Floats) -> Floats:
        slacks = first_look(s, X).slacks
        return np.minimum(np.minimum(slacks["web"], slacks["edge"]), 0.0)

    found, most = best_on_a_grid(architecture, key, spare)
    assert (found >= most - 1e-6).all()


@pytest.mark.parametrize("architecture", ["chain_winder+chain", "chain_winder+bar"])
def test_drive_pins_of_a_winder_lie_where_there_is_metal(architecture: str) -> None:
    def spare(s: Space, X: Floats) -> Floats:
        return np.minimum(first_look(s, X).slacks["web"], 0.0)

    found, most = best_on_a_grid(architecture, "drive_pin_radius_mm", spare)
    assert (found[most >= 0.0] >= 0.0).all()


def test_a_drive_that_fits_is_left_as_it_is() -> None:
    """Its sizes lie in their windows, or its webs would not hold; what plays no part in it may change."""
    stored = builds_of(parse_file(ROOT / "tests" / "build" / "drives.toml"))
    assert len(stored) >= len(ARCHITECTURES)
    for build in stored:
        drive = open_drive(shelf(), build)
        Y = trimmed(drive.space, drive.X)
        winder = drive.space.architecture.startswith("chain_winder")
        idle = [winder and v.key in IDLE for v in drive.space.variables]
        np.testing.assert_array_equal(
            Y[:, ~np.array(idle)], drive.X[:, ~np.array(idle)], build.name
        )
        one, other = score(drive.space, drive.X), score(drive.space, Y)
        assert one.aims == other.aims
        assert one.slacks == other.slacks


@pytest.mark.parametrize("architecture", ["chain_winder+chain", "chain_winder+bar"])
def test_the_other_kind_of_tracks_would_be_as_large(architecture: str) -> None:
    """Mean arms of drums and of wheels with the teeth that were kept beside them: within half a tooth and a twentieth of a pitch."""
    s, X = space(architecture), drawn(architecture)
    Y = trimmed_in_bounds(DriveProblem(s).space, X)
    at = {v.key: column(architecture, v.key) for v in s.variables}
    Z = Y.copy()
    Z[:, at["tracks"]] = 1.0 - Y[:, at["tracks"]]

    def arms(V: Floats) -> tuple[Track, Track]:
        cols = Batch({k: v[:, None] for k, v in decode(s.variables, V).items()})
        w = winder(s.shelf, cols)
        return w.into, w.out

    for which, one, other in zip(("input", "output"), arms(Y), arms(Z), strict=True):
        teeth = Y[:, at[f"{which}_teeth"]]
        core = Y[:, at[f"{which}_core_mm"]]
        low, high = (s.variables[at[f"{which}_teeth"]].low, s.variables[at[f"{which}_teeth"]].high)
        free = (teeth > low) & (teeth < high) & (core > 4.0) & (core < 16.0)
        assert free.sum() > N // 4
        off = np.abs(one.a - other.a)[free, 0] / one.p[free, 0]
        assert (off <= 0.5 / (2.0 * np.pi) + 0.05).all()


@pytest.mark.parametrize("architecture", [a for a in ARCHITECTURES if a.endswith("+chain")])
def test_no_pin_of_a_floating_wheel_s_chain_comes_among_its_teeth(architecture: str) -> None:
    """At the largest difference of two neighbours' draws; one link fewer would not do where links were added."""
    s, X, j = space(architecture), drawn(architecture), column(architecture, "wheel_strand_links")
    Y = trimmed(s, X)
    d = s.shelf.demand
    must = np.array([p.must for p in d.positions])
    furthest = np.abs(d.draw[must][:, [0, 2]] - d.draw[must][:, [1, 3]]).max()

    def spare(Z: Floats) -> Floats:
        cols = Batch({k: v[:, None] for k, v in decode(s.variables, Z).items()})
        f = wheels.floating(s.shelf, cols, wheels.CARRIER)
        return (f.free - f.tangency)[:, 0] - furthest / 2.0

    added = Y[:, j] > X[:, j]
    assert added.any()
    assert (Y[:, j] >= X[:, j]).all()
    assert (spare(Y) >= -1e-9).all()
    fewer = Y.copy()
    fewer[:, j] -= 1.0
    assert (spare(fewer)[added] < 0.0).all()


@pytest.mark.parametrize("architecture", [a for a in ARCHITECTURES if "lever" not in a])
def test_strands_have_the_links_that_the_largest_draw_asks_for(architecture: str) -> None:
    """The limit of strands holds in all drives that bounds let be; where links were added, one fewer fails."""
    s, X = space(architecture), drawn(architecture)
    Y = trimmed(s, X)
    own = [column(architecture, k) for k in LINKS if k in {v.key for v in s.variables}]
    free = (trimmed_in_bounds(DriveProblem(s).space, X) == Y).all(axis=1)

    def spare(Z: Floats) -> Floats:
        return first_look(s, Z).slacks["strand"]

    assert free.sum() > N // 10
    assert (spare(Y)[free] >= -1e-6).all()
    assert (spare(X) < 0.0).any()
    for j in own:
        added = free & (Y[:, j] > X[:, j])
        fewer = Y.copy()
        fewer[:, j] -= 1.0
        assert (spare(fewer)[added] < 0.0).all()


WINDERS = ["chain_winder+chain", "chain_winder+bar"]


@pytest.mark.parametrize("architecture", WINDERS)
def test_a_winder_lies_between_the_straps_where_it_has_room(architecture: str) -> None:
    """Wherever any place across the palm keeps cheeks and tracks off straps and sides, the trimmed one does."""

    def spare(s: Space, X: Floats) -> Floats:
        return off_straps(s, X, "cheek", "winder")

    found, most = best_on_a_grid(architecture, "shaft_x_mm", spare)
    place = most >= 0.0
    assert (place & (spare(space(architecture), drawn(architecture)) < 0.0)).any()
    assert (found[place] >= -1e-6).all()


@pytest.mark.parametrize("architecture", WINDERS)
@pytest.mark.parametrize("side", ["palm", "back", "wrist", "fingers"])
def test_a_winder_minds_a_strap_only_where_it_meets_it(architecture: str, side: str) -> None:
    """A strap a twentieth of a millimetre beyond what cheeks and tracks fill moves nothing; one as far inside does."""
    across = side in {"palm", "back"}  # where the shaft's ends stand out further
    parts = ("cheek",) if across else ("cheek", "winder")
    alone, off, on = minded(space(architecture), "shaft_x_mm", side, *parts)
    np.testing.assert_array_equal(off, alone)
    assert (on != alone).all()


@pytest.mark.parametrize("architecture", WINDERS)
def test_the_output_chain_leaves_where_it_did_when_its_side_or_teeth_change(
    architecture: str,
) -> None:
    """At a pitch radius p z / 2 pi to one side of the shaft or the other."""
    s, cols = space(architecture), DriveProblem(space(architecture)).space
    X = drawn(architecture)
    other = X[::-1]

    def leaves(Z: Floats) -> Floats:
        pitch = s.shelf.chains.pitch[Z[:, column(architecture, "output_chain")].astype(int)]
        r = pitch * Z[:, column(architecture, "output_teeth")] / (2.0 * np.pi)
        side = 2.0 * Z[:, column(architecture, "output_side")] - 1.0
        return Z[:, column(architecture, "shaft_x_mm")] + side * r

    for key in ("output_side", "output_teeth"):
        j = column(architecture, key)
        Z = lengths(cols, X)
        Z[:, j] = lengths(cols, other)[:, j]
        Y = counts(cols, Z)
        x = Y[:, column(architecture, "shaft_x_mm")]
        within = (x > -15.0) & (x < 15.0)
        assert (Y[:, j] != X[:, j])[within].any()
        np.testing.assert_allclose(leaves(Y)[within], leaves(X)[within], atol=1e-9)


def test_what_is_taken_off_for_parts_that_a_smaller_hand_lacks_is_left_out() -> None:
    """Two fingers need no cage: the input wheel goes round its output pins alone."""
    two = space_of(make_brief(2), make_stock(), "chain_differential+chain")
    keys = [v.key for v in two.variables]
    assert "cage_pin" not in keys
    off = counted(two)[keys.index("input_teeth")][1]
    assert [keys[by] for _, _, by, _ in off] == ["output_pin"]


def test_an_outer_strand_stays_as_far_out_when_floating_wheels_change() -> None:
    """The first wheel's pitch radius and a floating wheel's, within half a tooth of the first."""
    name = "chain_winder+chain"
    s, cols, X = space(name), DriveProblem(space(name)).space, drawn(name)
    pitch = s.shelf.chains.pitch

    def out(Z: Floats) -> Floats:
        p = [pitch[Z[:, column(name, k)].astype(int)] for k in ("output_chain", "wheel_chain")]
        z = [Z[:, column(name, k)] for k in ("first_wheel_teeth", "wheel_teeth")]
        return (p[0] * z[0] + p[1] * z[1]) / (2.0 * np.pi)

    j, first = column(name, "wheel_teeth"), column(name, "first_wheel_teeth")
    Z = lengths(cols, X)
    Z[:, j] = lengths(cols, X[::-1])[:, j]
    Y = counts(cols, Z)
    within = (Y[:, first] > 9.0) & (Y[:, first] < 30.0)
    changed = within & (Y[:, j] != X[:, j])
    assert changed.any()
    half = pitch[Y[:, column(name, "output_chain")].astype(int)] / (4.0 * np.pi)
    assert (np.abs(out(Y) - out(X))[within] <= half[within] + 1e-9).all()
