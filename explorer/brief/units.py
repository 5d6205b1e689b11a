"""Slips of unit: what was probably meant by a number that cannot be right."""

from __future__ import annotations

# Factor from the wrong unit to the right one, and the name of the wrong one.
SLIPS: dict[str, tuple[tuple[float, str], ...]] = {
    "mm": ((10.0, "centimetres"), (1000.0, "metres"), (25.4, "inches"), (0.001, "micrometres")),
    "N·m": ((0.001, "N·mm"), (0.01, "N·cm"), (9.80665, "kgf·m"), (1000.0, "kN·m")),
    "deg": ((57.29577951308232, "radians"), (360.0, "turns")),
    "N": ((9.80665, "kilograms"), (1000.0, "kilonewtons"), (4.4482216, "pounds"), (0.001, "mN")),
    "kg": ((0.001, "grams"), (0.10197162, "newtons")),
    "MPa": ((1e-6, "Pa"), (1000.0, "GPa"), (0.001, "kPa")),
    "g/mm³": ((0.001, "g/cm³"), (1e-6, "kg/m³")),
    "g": ((1000.0, "kilograms"),),
    "g/mm": ((0.001, "g/m"), (0.01, "g/cm")),
    "-": ((0.01, "per cent"),),
    "N/mm": ((0.001, "N/m"),),
    "h": ((1 / 60, "minutes"),),
}


def plain(value: float) -> str:
    """A number as one would write it: at most 6 figures."""
    return f"{value:.6g}"


def slip(unit: str, value: float, low: float, high: float) -> str:
    """`Centimetres? (38)` where a change of unit brings the value into the range, else nothing.

    >>> slip("mm", 3.8, 10.0, 80.0)
    'Centimetres? (38)'
    """
    if low <= value <= high or value <= 0.0:
        return ""
    meant = [
        f"{name[0].upper()}{name[1:]}? ({value * factor:.4g})"
        for factor, name in SLIPS.get(unit, ())
        if low <= value * factor <= high and value * factor > 0.0
    ]
    return " ".join(meant[:2])
