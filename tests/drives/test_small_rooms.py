"""What helpers promise beyond what today's families ask of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.drives import make, wheels
from explorer.drives.exact import _sound, rest_of
from explorer.drives.exact_model import model_of
from explorer.drives.ratios import Spool
from explorer.drives.swept import Outline, outline_of
from explorer.drives.upto import upto
from explorer.mechanics import linkage as lk
from explorer.mechanics.outline import Box, disc
from tests.drives.random_drives import make_sample
from tests.drives.spaces import space
from tests.factories import make_brief, make_stock


def test_one_outline_for_many_candidates_is_laid_out_for_each() -> None:
    """Four positions of which two count, three candidates."""
    x, one = np.arange(4.0)[None], np.ones((1, 1))
    must = np.array([True, False, False, True])
    laid = outline_of(disc(x, 0.0 * x, one), must, 3)
    assert np.broadcast_shapes(*(np.shape(v) for v in vars(laid.shape).values())) == (2, 3)
    assert laid.shape.px.tolist() == [[0.0] * 3, [3.0] * 3]


def test_outlines_are_told_apart_by_kind() -> None:
    o = np.zeros((1, 1))
    box = Box(o, o, o, o)
    assert Outline(box).kind == "Box"
    assert Outline(box, lone=True).kind == "lone Box"
    assert Outline(disc(o, o, o)).kind == "Disc"


def test_an_array_of_just_so_many_positions_is_left_as_it_is() -> None:
    m = make_sample(3, "linked_lever+bar", 4).moved()
    assert upto(m, m.Y.shape[1]).Y is m.Y
    assert upto(m, 2).Y.base is not None


def test_pins_between_plates_have_no_rings_and_end_with_their_stack() -> None:
    s = space(make_brief(4), make_stock(), "linked_lever+bar").shelf
    one = np.ones((1, 1))
    pieces = make.pin_set(
        s, "held", "held pin", "first", "cage", (), 0.0 * one, 0.0 * one, 2.0 * one, 9.0 * one,
        s.pins, 2.0 * one, bushes=0.0 * one, bush_length=one, washers=0.0, rings=0.0,
    )  # fmt: skip
    pin = pieces[0]
    assert [p.what for p in pieces] == ["pin", "bush"]
    assert (pin.z0.item(), pin.z1.item()) == (2.0, 9.0)
    assert pin.shape.r.item() == s.pins.d[2] / 2.0
    assert pin.number[1].item() == 7.0


def test_strands_leave_among_the_teeth_of_any_pitch() -> None:
    """Nine teeth of a millimetre: tips at 0.3 + cot(20)/2, mean arm 9/(2 pi); the strand is square to it."""
    one = np.ones((1, 1))
    tip, arm = 0.3 + 0.5 / np.tan(np.radians(20.0)), 4.5 / np.pi
    expected = np.sqrt(tip * tip - arm * arm)
    assert wheels.tangency(one, 9.0 * one).item() == pytest.approx(expected, rel=1e-12)


def test_sideways_pulls_on_a_shaft_add_up_and_turn_nothing() -> None:
    """Two output wheels that share 0.3 and 0.7 at 2 and 9 mm of 12, strands leaning 0.2 and -0.1."""
    one = np.ones((1, 1))
    r = make_sample(3, "chain_winder+bar", 4).drive.ratio
    assert isinstance(r, Spool)
    r = replace(r, span=12.0 * one, at_out=(2.0 * one, 9.0 * one), flat=True)
    s = r.supports(0.1 * one, (0.2 * one, -0.1 * one), (0.3 * one, 0.7 * one))
    sideways = (0.3 * 0.2, -0.7 * 0.1)
    assert (s.qx[0] + s.qx[1]).item() == pytest.approx(sum(sideways))
    assert 12.0 * s.qx[1].item() == pytest.approx(2.0 * sideways[0] + 9.0 * sideways[1])
    assert (s.qy[0] + s.qy[1]).item() == pytest.approx(1.0)
    assert 12.0 * s.qy[1].item() == pytest.approx(2.0 * 0.3 + 9.0 * 0.7)


def test_a_root_with_one_link_turned_back_is_no_solution() -> None:
    """Every piece has to point toward the fingers; here one finger's pin is put behind its bar."""
    s = make_sample(3, "linked_lever+bar", 4)
    model = model_of(s.drive, s.pin_x)
    Q = rest_of(s.drive, model, s.pin_x).Q[None]
    root = lk.Root(Q[:, model.free], np.zeros(1))
    assert _sound(model, Q, root).tolist() == [True]
    back = Q.copy()
    back[0, model.finger_y[0]] -= 200.0
    assert _sound(model, back, root).tolist() == [False]
