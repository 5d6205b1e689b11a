"""Clearances at the input by virtual work: a joint's clearance times what its load is of the input's.

What a joint carries per newton at the input is, without friction, the slope of the input draw over the
draws of the fingers that hang on it; here by central differences of the motion itself.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.brief.stock_records import Stock
from explorer.drives.assemble import ARCHITECTURES, Space, plays
from explorer.drives.motion import move
from explorer.mechanics import fits
from tests.drives.spaces import space, vectors
from tests.factories import make_brief, make_stock, make_wrist
from tests.outside.second.cases import USEFUL

END = 0.02  # mm at a chain's end; assumed
STEP = 1e-4  # mm
HANDS = [(2, True), (3, False), (4, True), (4, False)]


def loose_stock() -> Stock:
    """Every other pin is ground to h6: in a reamed hole a dowel's m6 leaves nothing on the mean."""
    stock = make_stock()
    pins = tuple(replace(p, fit="h6") if i % 2 else p for i, p in enumerate(stock.pins))
    return replace(stock, pins=pins)


def slopes(s: Space, x: np.ndarray) -> np.ndarray:
    """dX/ds of each finger at the first position (F,), parallel links."""
    F = len(s.shelf.demand.pin_x)
    draw = s.shelf.demand.draw[:1] + STEP * np.concatenate([np.eye(F), -np.eye(F)])
    X = move(s.build(x), draw, s.shelf.demand.pin_x, skeleton=True).X[0]
    return np.asarray((X[:F] - X[F:]) / (2.0 * STEP))


def clearance(s: Space, values: dict[str, float], key: str, hole: str = "F8") -> float:
    """Mean clearance of the pin or shaft in a column (ISO 286); assumed where that has no row."""
    line = (s.shelf.stock.shafts if key == "shaft" else s.shelf.stock.pins)[int(values[key])]
    try:
        return float(fits.mean_play(np.array(line.d), hole, line.fit))
    except ValueError:
        return END


def expected(s: Space, x: np.ndarray) -> dict[str, float]:
    """Every joint's play at the input, told joint by joint."""
    v = dict(zip((q.key for q in s.variables), x[0], strict=True))
    per = slopes(s, x)
    out = float(per.sum())  # output force per newton at the input
    carried = [float(per[list(g)].sum()) for g in s.groups]
    found = _second(s, v, per, carried)
    kind = s.architecture.split("+")[0]
    if kind == "linked_lever":
        sign = 1.0 if s.shelf.brief.wrist.reverses else -1.0
        found |= {
            "rocker pivot pin": clearance(s, v, "pivot_pin") * abs(1.0 + sign * out),
            "rocker in pin": clearance(s, v, "drawbar_pin"),
            "rocker out pin": clearance(s, v, "drawbar_pin") * out,
        }
        if len(s.groups) > 1:
            found["first lever centre pin"] = clearance(s, v, "lever_centre_pin") * out
            for n, T in zip("ab", carried, strict=True):
                found[f"first lever end {n} pin"] = clearance(s, v, "lever_end_pin") * T
        return found
    found["shaft"] = clearance(s, v, "shaft") * (1.0 + out)
    return found | (_winder(s, v, out) if kind == "chain_winder" else _differential(s, v, out))


def _second(
    s: Space, v: dict[str, float], per: np.ndarray, carried: list[float]
) -> dict[str, float]:
    found: dict[str, float] = {}
    for k in s.pairs:
        name = f"carrier {'ab'[k]}"
        if s.architecture.endswith("bar"):
            i, j = s.groups[k]
            found[f"{name} centre pin"] = clearance(s, v, "bar_centre_pin") * carried[k]
            found[f"{name} end a pin"] = clearance(s, v, "bar_end_pin") * per[i]
            found[f"{name} end b pin"] = clearance(s, v, "bar_end_pin") * per[j]
        else:
            found[f"{name} axle"] = clearance(s, v, "axle_pin") * carried[k]
            found[f"{name} fork pin"] = clearance(s, v, "carrier_fork_pin") * carried[k]
            found[f"{name} chain ends"] = END * carried[k]  # two, each under half the pull
    return found


def arm_in(s: Space, v: dict[str, float]) -> float:
    """Mean arm of the input track: a turn takes in as many pitches as it has teeth or links."""
    c = s.shelf.stock.chains[int(v["input_chain"])]
    if v.get("tracks", 0.0) > 0.0:
        least = v["input_core_mm"] + c.height / 2.0
        return float(c.pitch / 2.0 / np.arctan(c.pitch / 2.0 / least))
    return float(c.pitch * v["input_teeth"] / (2.0 * np.pi))


def _winder(s: Space, v: dict[str, float], out: float) -> dict[str, float]:
    joined = 0.0 if v["one_piece"] > 0.0 else 1.0
    turn = clearance(s, v, "drive_pin", "H7") / v["drive_pin_radius_mm"]
    found = {"drive pins": joined * turn * arm_in(s, v), "output chain end": END * out}
    if len(s.groups) > 1:
        found |= {
            "first stage axle": clearance(s, v, "first_axle") * out,
            "first stage fork pin": clearance(s, v, "fork_pin") * out,
            "first stage chain ends": END * out,
        }
    return found


def _differential(s: Space, v: dict[str, float], out: float) -> dict[str, float]:
    found = {"strand ends": END * out}
    for stem in ("output",) if len(s.groups) == 1 else ("output", "cage"):
        turn = clearance(s, v, f"{stem}_pin", "H7") / v[f"{stem}_pin_radius_mm"]
        found[f"{stem} pins"] = turn * arm_in(s, v) * (1.0 - v[f"{stem}_seat"])  # clamped: none
    return found


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_play_is_clearance_by_virtual_work(architecture: str, fingers: int, reverses: bool) -> None:
    brief = make_brief(fingers, wrist=make_wrist(reverses=reverses))
    s = space(brief, loose_stock(), architecture, "little side" if reverses else "index side")
    for x in vectors(s, 4, np.random.default_rng(fingers), USEFUL):
        drive = s.build(x[None])
        found = {p.key: p.at_input.item() for p in plays(s, drive, s.move(drive, skeleton=True))}
        assert found == pytest.approx(expected(s, x[None]), rel=1e-6, abs=1e-12)
