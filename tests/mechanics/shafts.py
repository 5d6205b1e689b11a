"""Loads of a shaft side by side on the last axis, for tests that draw them so."""

from __future__ import annotations

import numpy as np

from explorer.mechanics import shaft
from explorer.mechanics.shaft import BushReactions
from explorer.mechanics.types import Floats


def _apart(a: Floats) -> list[Floats]:
    return [a[..., k] for k in range(a.shape[-1])]


def bush_reactions(load: Floats, z: Floats, span: Floats) -> BushReactions:
    """`shaft.bush_reactions` of loads (..., K)."""
    return shaft.bush_reactions(_apart(load), _apart(z), span)


def shaft_moment(load: Floats, z: Floats, span: Floats) -> Floats:
    """`shaft.shaft_moments` of loads (..., K), stacked (..., K + 2)."""
    load, z, _ = np.broadcast_arrays(load, z, np.asarray(span)[..., None])
    return np.stack(shaft.shaft_moments(_apart(load), _apart(z), span), axis=-1)
