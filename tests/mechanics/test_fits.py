import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.fits import clearance, limits, mean_play

HOLES = st.sampled_from([f"{letter}{grade}" for letter in "EFGH" for grade in (6, 7, 8, 9)])
SHAFTS = st.sampled_from(
    [f"{letter}{grade}" for letter in "efghmnp" for grade in (6, 7, 8, 9)] + ["k6", "k7"]
)
SIZES = st.lists(st.floats(0.5, 30.0), min_size=1, max_size=6).map(np.array)


@given(SIZES, HOLES, SHAFTS)
def test_clearance_is_hole_minus_shaft(sizes: np.ndarray, hole: str, shaft: str) -> None:
    outer, inner, fit = limits(sizes, hole), limits(sizes, shaft), clearance(sizes, hole, shaft)
    assert (fit.most_um == outer.upper_um - inner.lower_um).all()
    assert (fit.least_um == outer.lower_um - inner.upper_um).all()
    widths = outer.upper_um - outer.lower_um + inner.upper_um - inner.lower_um
    assert (fit.most_um - fit.least_um == widths).all()
    assert (widths > 0).all()


@given(SIZES, HOLES, SHAFTS)
def test_each_size_is_looked_up_alone(sizes: np.ndarray, hole: str, shaft: str) -> None:
    before = sizes.copy()
    batch, grid = mean_play(sizes, hole, shaft), mean_play(sizes[:, None], hole, shaft)
    assert batch.shape == sizes.shape
    assert grid.shape == (sizes.size, 1)
    for i, size in enumerate(sizes):
        assert mean_play(np.array(size), hole, shaft) == batch[i] == grid[i, 0]
    assert np.array_equal(sizes, before)


@given(SIZES, st.sampled_from("efgh"), st.sampled_from([6, 7, 8, 9]))
def test_holes_mirror_shafts_of_their_letter(sizes: np.ndarray, letter: str, grade: int) -> None:
    """ISO 286-1, general rule for A to H: EI = -es."""
    shaft, hole = limits(sizes, f"{letter}{grade}"), limits(sizes, f"{letter.upper()}{grade}")
    assert (hole.lower_um == -shaft.upper_um).all()
    assert (hole.upper_um == -shaft.lower_um).all()


@given(SIZES, HOLES)
def test_tighter_letters_leave_less_play(sizes: np.ndarray, hole: str) -> None:
    plays = np.array([mean_play(sizes, hole, f"{letter}6") for letter in "efghkmnp"])
    assert (np.diff(plays, axis=0) <= 0).all()
    assert (plays >= 0).all()


@given(SIZES, SHAFTS, st.sampled_from("EFGH"))
def test_coarser_holes_never_leave_less_play(sizes: np.ndarray, shaft: str, letter: str) -> None:
    plays = np.array([mean_play(sizes, f"{letter}{grade}", shaft) for grade in (6, 7, 8, 9)])
    assert (np.diff(plays, axis=0) >= 0).all()


def test_play_of_a_running_pin() -> None:
    """3 H7/g6 leaves 2 to 18 um: 0.010 mm at the middle."""
    assert mean_play(np.array(3.0), "H7", "g6") == pytest.approx(0.010)


def test_pressed_pin_has_no_play() -> None:
    """6 H7/p6 presses at the middle of both tolerances."""
    assert mean_play(np.array(6.0), "H7", "p6") == 0.0


def test_band_ends_belong_to_the_smaller_band() -> None:
    """ISO 286: over, up to and including."""
    sizes = np.array([3.0, np.nextafter(3.0, 4.0), 6.0, np.nextafter(6.0, 7.0)])
    assert limits(sizes, "H7").upper_um.tolist() == [10, 12, 12, 15]


@pytest.mark.parametrize("zone", ["H5", "H12", "J7", "x6", "k8", "K7", "H", "7", "", "H7x", "ef6"])
def test_unknown_zones_are_refused_by_name(zone: str) -> None:
    with pytest.raises(ValueError, match="not tabulated") as refused:
        limits(np.array(3.0), zone)
    assert repr(zone) in str(refused.value)


@pytest.mark.parametrize(("hole", "shaft"), [("g6", "H7"), ("H7", "G6"), ("h7", "g6")])
def test_fit_of_two_shafts_or_two_holes_is_refused(hole: str, shaft: str) -> None:
    with pytest.raises(ValueError, match="a hole and a shaft"):
        clearance(np.array(3.0), hole, shaft)


@pytest.mark.parametrize("size", [0.0, -1.0, 30.1, np.nan])
def test_sizes_outside_the_tables_are_refused(size: float) -> None:
    with pytest.raises(ValueError, match="up to 30 mm"):
        limits(np.array([3.0, size]), "H7")
