"""Relations 1 and 2: a drive twice as large for a hand twice as large; twice the torque against twice the need.

Equal means equal to the bit: a factor of two is exact in binary.  Left out of the first, because they
follow tables of real sizes: running fits (ISO 286), and with them the clearances at the input and the
stroke that these leave.  Fatigue is left out as the table of relations says: its size factor is no
similarity.  Rollers of standard chains and the bound of 60 mm, below which an input drawbar's lean counts,
are lengths of the model itself, and are doubled with everything else.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.brief.records import Brief
from explorer.drives import chain_winder, linked_lever
from explorer.mechanics import tooth
from tests.relations.cases import Case
from tests.relations.compare import check_arrays, check_same, last_word
from tests.relations.doubling import doubled, twice

# the last word of an array's path -> power of a millimetre
SAME = """load swing count minutes price sy sy_pin sy_fork sy_mid sy_1 sy_2 metal metal_1 metal_2 wear_k
modulus direction half_angle stock_index teeth clamped share n tilt tilt_over sine_in sine_a sine_b cos_in
tan_a cos_a tan_b cos_b share_a share_b skew skew_first skew_second theta turn_over lean_worst alone_cos exit_sine pull hold eta eta_hold
force ratio finger F_out F_in carrier pieces numbers hours cost lift reopen share_error"""
DOUBLE = """moment torque d d_fork d_mid t t1 t2 t_fork t_mid wear_t gap edge w length pitch inner bearing_t
outside bore face module r depth x y px py qx qy cx cy r_hub r0 r1 x0 x1 y0 y1 z0 z1 thickness draw carrier_y
carrier_x s_a s_b xa xb ya yb a b Y X a1 a2 a1_0 a2_0 exit_x locks mass_y cavity cavity_sides keepout clear"""
POWER = {
    **dict.fromkeys(SAME.split(), 0), **dict.fromkeys(DOUBLE.split(), 1),
    "tensile": 2, "weeks": 2, "mass": 3, "room": 3,
}  # fmt: skip
# what grows with the forces; weeks are fewer
FORCES = {
    "load",
    "moment",
    "torque",
    "force",
    "finger",
    "F_out",
    "F_in",
    "carrier",
    "lift",
    "reopen",
}
AIMS = {"room": 3, "weeks": 2, "box": 3, "mass": 3, "stroke": 1}
ANGLES_AND_FORCES = {
    "reach", "tilt", "lean", "transmission", "wrap", "grip", "finger", "share", "reopen", "carry",
    "teeth", "parity",
}  # fmt: skip
MIXED = {"pin_size", "gears"}  # least of lengths and of counts
OWN_SCALE = {"strength", "chain", "fatigue", "weeks", "stroke", "cost", "hours", "mass"}


def twice_as_large(case: Case, monkeypatch: pytest.MonkeyPatch) -> Case:
    """Hand, shop, stock, drives and the model's own lengths doubled; worked out at once."""
    big = case.but(brief=twice(case.brief), stock=twice(case.stock), X=doubled(case.space, case.X))
    with monkeypatch.context() as model:
        for first in (linked_lever, chain_winder):
            model.setattr(first, "SHORT_INPUT", 2.0 * first.SHORT_INPUT)
        model.setattr(tooth, "ROLLERS", tuple((2.0 * p, 2.0 * d) for p, d in tooth.ROLLERS))
        assert big.scores
    return big


def check_margins(one: Case, two: Case, factor: float) -> None:
    """What margins are made of, allowable over stress, times a factor to the bit; MS + 1 as near as 1 allows."""
    was, now = (c.told.checks.utilisation() for c in (one, two))
    np.testing.assert_array_equal(now * factor, was)
    np.testing.assert_allclose(
        two.scores.margins + 1.0, factor * (one.scores.margins + 1.0), rtol=1e-12
    )
    was, now = (c.scores.aims["pin_margin"] + 1.0 for c in (one, two))
    np.testing.assert_allclose(now, factor * was, rtol=1e-12)


def test_twice_the_size(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """Relation 1, every array: motion, shares, friction, forces, loads, pieces, boxes, wear."""
    big = twice_as_large(case, monkeypatch)
    check_arrays(case, big, lambda path: POWER[last_word(path)], left_out={"play"})


def test_twice_the_size_scores(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """Relation 1, scores: margins four times, boxes and masses eight times, counts as they were."""
    big = twice_as_large(case, monkeypatch)
    for name, was in case.scores.aims.items():
        if name not in {"pin_margin", "fatigue"}:
            check_same(was, big.scores.aims[name], AIMS.get(name, 0), name)
    for name, was in case.scores.slacks.items():
        if name not in MIXED | OWN_SCALE:
            power = 0 if name in ANGLES_AND_FORCES else 1
            check_same(was, big.scores.slacks[name], power, name)
    check_margins(case, big, 4.0)


def twice_as_strong(b: Brief) -> Brief:
    """Torques, loads, needs, springs and drag twice what they were."""
    w = b.wrist
    torques = ("torque_often", "torque_comfortable", "torque_peak")
    return replace(
        b,
        wrist=replace(w, **{t: 2.0 * getattr(w, t) for t in torques}),
        fingers=tuple(
            replace(f, spring_T0=2.0 * f.spring_T0, spring_k=2.0 * f.spring_k) for f in b.fingers
        ),
        grips=tuple(
            replace(
                g, need=2.0 * g.need, carry_load=2.0 * g.carry_load,
                floor=tuple(2.0 * x for x in g.floor),
            )
            for g in b.grips
        ),
        limits=replace(
            b.limits, input_drag=2.0 * b.limits.input_drag, finger_floor=2.0 * b.limits.finger_floor
        ),
    )  # fmt: skip


def test_twice_the_torque(case: Case) -> None:
    """Relation 2: forces twice, margins half, weeks half; all that is geometry, and shares of the need, stay."""
    strong = case.but(brief=twice_as_strong(case.brief))

    def power(path: str) -> int:
        if path.startswith("shares"):
            return 0
        word = last_word(path)
        return -1 if word == "weeks" else int(word in FORCES)

    check_arrays(case, strong, power)
    for name, was in case.scores.aims.items():
        if name not in {"pin_margin", "fatigue"}:
            check_same(was, strong.scores.aims[name], -int(name == "weeks"), name)
    for name, was in case.scores.slacks.items():
        if name not in {"strength", "chain", "fatigue"}:
            power_of_two = int(name in {"finger", "reopen", "carry"})
            check_same(was, strong.scores.slacks[name], power_of_two, name)
    check_margins(case, strong, 0.5)
    was, now = (c.told.tired.utilisation() for c in (case, strong))
    check_same(was, now, 1, "fatigue")
