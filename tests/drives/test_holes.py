"""Holes in links and ends, and the rounds that stand in them."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES
from tests.drives.test_joints_meet import HANDS, Laid

LEVERS = ("linked_lever+bar", "linked_lever+chain")


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_links_and_ends_are_drilled_on_their_axis(
    architecture: str, fingers: int, reverses: bool
) -> None:
    """From the first hole at the origin to the second straight ahead."""
    d = Laid(architecture, fingers, reverses)
    found = [
        p for p in d.pieces.values() if p.what in {"link", "end piece"} or p.key.endswith("fork")
    ]
    assert found
    for p in found:
        a, b = p.holes
        assert not any(np.any(v) for v in (a.x, a.y, b.y)), p.key
        assert (b.x > 0.0).all(), p.key


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", LEVERS)
def test_links_are_as_long_as_the_drive_has_them(
    architecture: str, fingers: int, reverses: bool
) -> None:
    """A fork at its end is part of the distance to the axle, and none of the link."""
    d = Laid(architecture, fingers, reverses)
    for k, c in enumerate(d.drive.carriers):
        n = "ab"[k]
        fork = d.far(f"carrier {n} fork") if f"carrier {n} fork" in d.pieces else 0.0
        key = f"carrier link {n} plate" if fingers > 2 else "exit link plate"
        whole = c.L_in if fingers > 2 else d.drive.L_exit
        np.testing.assert_allclose(d.far(key), whole - fork, rtol=1e-12)
        for i, L in zip(c.fingers, c.L_out, strict=False):
            if architecture.endswith("bar"):
                np.testing.assert_allclose(d.far(f"finger link {i} plate"), L, rtol=1e-12)
    if fingers > 2:
        np.testing.assert_allclose(d.far("exit link plate"), d.drive.L_exit, rtol=1e-12)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_pins_take_the_room_of_their_rings_and_bushes_that_of_their_outside(
    architecture: str,
) -> None:
    """Rings of this stock are 2 d across, bushes 1.1 d + 1; cheeks as wide as the rocker."""
    d = Laid(architecture, 4, True)
    for p in d.pieces.values():
        unit = p.stage == "first" and architecture.startswith("chain_differential")
        if unit or p.key == "winder drive pins":
            continue  # pins on a circle take up the circle
        if p.what in {"pin", "shaft", "washer", "ring"}:
            size = p.number[0] if p.what in {"washer", "ring"} else None
            lines = (
                d.space.shelf.shafts
                if p.what == "shaft" or "winder shaft" in p.key
                else d.space.shelf.pins
            )
            across = lines.d[p.stock_index.astype(int)] if size is None else size  # type: ignore[union-attr]
            np.testing.assert_allclose(p.shape.r, across, rtol=1e-12, err_msg=p.key)  # type: ignore[union-attr]
        if p.what == "bush":
            there = p.count > 0.0
            outside = 1.1 * p.number[0] + 1.0
            np.testing.assert_allclose((2.0 * p.shape.r)[there], outside[there], rtol=1e-12)  # type: ignore[union-attr]
