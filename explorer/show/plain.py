"""Numbers of arrays as plain JSON values: what is not finite becomes null."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from explorer.mechanics.types import Floats

Json = str | int | float | bool | None | Sequence["Json"] | Mapping[str, "Json"]
Table = dict[str, Json]

NULL_MEANS = "no limit, or it does not apply here"


def num(value: float | Floats) -> float | None:
    """A float, or null where it is not finite."""
    x = float(value)
    return x if math.isfinite(x) else None


def deg(value: float | Floats) -> float | None:
    """Radians to degrees."""
    x = num(value)
    return None if x is None else math.degrees(x)


def deg_of_sine(sine: float | Floats) -> float | None:
    """The angle of a sine in degrees; beyond 1 there is none."""
    x = num(sine)
    return None if x is None or abs(x) > 1.0 else math.degrees(math.asin(x))


def whole(value: float | Floats) -> int:
    """A count."""
    return round(float(value))
