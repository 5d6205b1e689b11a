"""Relations 14, 19 and 20: one grip more, a finger that rests on its stop, and friction either way."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from explorer.brief.records import Brief, FingerDoes
from explorer.drives.pulls import shares, ways
from explorer.mechanics.types import Floats
from explorer.scoring import grip as gr
from explorer.scoring.score import Detail
from tests.relations.cases import Case
from tests.relations.compare import check_close


def switched(b: Brief, name: str, *, on: bool) -> Brief:
    return replace(b, grips=tuple(replace(g, on=on) if g.name == name else g for g in b.grips))


def test_a_grip_more_never_helps(case: Case) -> None:
    """Relation 14: of each powered grip; the worst grip and the pins' margin fall, the box grows, or stay."""
    every = case.scores.aims
    for grip in case.brief.grips:
        if grip.kind != "powered":
            continue
        fewer = case.but(brief=switched(case.brief, grip.name, on=False)).scores.aims
        assert (every["grip"] <= fewer["grip"]).all(), grip.name
        assert (every["pin_margin"] <= fewer["pin_margin"]).all(), grip.name
        assert (every["box"] >= fewer["box"]).all(), grip.name
        assert (every["room"] >= fewer["room"]).all(), grip.name
        assert (every["stroke"] >= fewer["stroke"]).all(), grip.name


def alone(b: Brief, i: int, does: FingerDoes) -> Brief:
    """The first grip and no other; finger i does something else in it, the others press."""
    grip = b.grips[0]
    does_now = tuple(does if f == i else d for f, d in enumerate(grip.does))
    return replace(b, grips=(replace(grip, does=does_now),))


def larger(b: Brief, i: int) -> Brief:
    """Finger i a third longer, its pad with it; its drawbar's drive as it was."""
    f = b.fingers[i]
    names = ("L1", "L2", "pad_distance", "d_min", "d_max")
    f = replace(f, **{n: 4.0 / 3.0 * getattr(f, n) for n in names})
    return replace(b, fingers=(*b.fingers[:i], f, *b.fingers[i + 1 :]))


def pressed(case: Case) -> gr.Delivered:
    """What the grips get, and nothing else of the drives."""
    space = case.space
    drive = space.build(case.X)
    motion = space.move(drive)
    s = shares(drive, motion)
    return gr.delivered(drive, motion, s, ways(drive, motion, s), space.shelf.demand, case.brief)


def test_the_size_of_a_resting_finger_does_not_matter(case: Case) -> None:
    """Relation 19: parked open, parked closed or free, any finger; the grip's forces stay to the bit."""
    for i, does in product((0, case.fingers - 1), ("parked_open", "parked_closed", "free")):
        brief = alone(case.brief, i, does)
        one, two = (pressed(case.but(brief=b)) for b in (brief, larger(brief, i)))
        assert one.force.shape == (len(case.X), 1)
        np.testing.assert_array_equal(one.force, two.force)
        np.testing.assert_array_equal(one.finger, two.finger)


def test_the_reported_grip_is_the_worst_of_all_friction_signs(case: Case) -> None:
    """Relation 20: min over all signs of sum (T - T0 - k s) m cos gamma, written out; never above any.

    That a mirrored hand has the same worst is part of relation 3.
    """
    d = case.told
    at = list(d.delivered.at)
    totals = np.array([total(d, signs)[:, at] for signs in all_signs(d)])
    given = d.delivered.force
    scale = np.abs(given).max()
    assert (given <= totals + 1e-12 * scale).all()
    check_close(totals.min(axis=0), given, "worst")


def all_signs(d: Detail) -> list[tuple[float, ...]]:
    """One sign for the first equaliser and one for each carrier's."""
    return list(product((1.0, -1.0), repeat=1 + len(d.shares.carrier)))


def total(d: Detail, signs: tuple[float, ...]) -> Floats:
    """What presses in every position (N,P) with these signs of friction."""
    s, demand, F_out = d.shares, d.space.shelf.demand.forced, d.delivered.F_out
    out = np.zeros_like(F_out)
    for f in range(len(demand.fingers)):
        k = s.carrier_of[f]
        side = signs[0] * (1.0, -1.0)[k] if len(s.carrier) > 1 else 0.0
        carrier = s.carrier[k] + side * s.skew_first
        finger = s.finger[f] + signs[1 + k] * s.sign_of[f] * s.skew_second[f]
        few = F_out.shape[1]
        pull = F_out * (carrier * finger)[:, :few]
        press = (pull - demand.spring[:, f]) * demand.m[:, f] * demand.press[:, f]
        out = out + np.where(demand.engaged[:, f], press, 0.0)
    return out
