"""Hands of two and three fingers, straight and reversing: every architecture is listed and drawn."""

import io

import ezdxf
import numpy as np
import pytest

from explorer.brief.demand_build import build_demand
from explorer.build.chains import chains_of
from explorer.build.drawing import drawing_of
from explorer.build.dxf import dxf_text
from explorer.build.fits import joints_of
from explorer.build.parts import parts_of
from explorer.build.steps import steps_of
from explorer.build.svg import svg_text
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf
from explorer.scoring.score import Detail, detail, score
from tests.drives.random_drives import ARCHITECTURES
from tests.factories import make_brief, make_wrist
from tests.shelf import make_stock


def made(architecture: str, fingers: int, fixed: dict[str, float], *, reverses: bool) -> Detail:
    """The random drive that breaks its limits least, with some variables set."""
    brief = make_brief(fingers, wrist=make_wrist(reverses=reverses))
    space = Space(Shelf(brief, make_stock(), build_demand(brief)), architecture)
    low, high = (np.array([getattr(v, end) for v in space.variables]) for end in ("low", "high"))
    whole = np.array([v.kind != "real" for v in space.variables])
    X = np.random.default_rng(fingers).uniform(low, high, (40, len(low)))
    X = np.where(whole, np.floor(X), X)
    for j, v in enumerate(space.variables):
        X[:, j] = fixed.get(v.key, X[:, j])
    best = int(np.argmin(score(space, X).violation))
    return detail(space, X[best : best + 1].copy())


@pytest.mark.parametrize("architecture", ARCHITECTURES)
@pytest.mark.parametrize(("fingers", "reverses"), [(2, False), (3, True)])
def test_every_hand_is_listed_and_drawn(architecture: str, fingers: int, reverses: bool) -> None:
    kinds: list[dict[str, float]] = [{"doubled": 0.0}, {"doubled": 1.0}]
    if architecture.startswith("chain_winder"):
        kinds = [{"one_piece": n & 1, "tracks": n >> 1, "doubled": n & 1} for n in range(4)]
    for fixed in kinds:
        d = made(architecture, fingers, fixed, reverses=reverses)
        parts = parts_of(d, left=False)
        assert sum(p.count for p in parts) == d.tally.pieces[0]
        assert len(parts) == d.tally.numbers[0]
        mass = sum(p.count * p.mass for p in parts)
        assert mass == pytest.approx(float(d.tally.mass[0]), rel=1e-9)
        for part in parts:
            if part.file:
                drawing = drawing_of(part, "XX", "abcdef", "right")
                if part.round is not None:  # flat ones are read in test_drawings
                    assert not ezdxf.read(io.StringIO(dxf_text(drawing))).audit().errors
                assert svg_text(drawing).count('class="hole"') == len(drawing.blank.bores)
        joints, numbers = joints_of(d, parts), {p.number for p in parts}
        assert {j.pin for j in joints} <= numbers
        text = steps_of(d, parts, joints, chains_of(d, parts))
        assert all(any(f"{j.pin}, {j.count}x" in line for line in text) for j in joints)


@pytest.mark.parametrize("doubled", [0.0, 1.0])
@pytest.mark.parametrize("architecture", [a for a in ARCHITECTURES if a.endswith("+bar")])
def test_one_side_of_a_bars_centre_pin_is_fixed(architecture: str, doubled: float) -> None:
    """The plates outside hold it, whether they are the bar's or the strand's ends."""
    for fingers in (2, 4):
        d = made(architecture, fingers, {"doubled": doubled}, reverses=False)
        joints = joints_of(d, parts_of(d, left=False))
        centres = [j for j in joints if any(k.endswith("centre pin") for k in j.keys)]
        assert centres
        for j in centres:
            assert j.fixed is not None
            assert j.running is not None
