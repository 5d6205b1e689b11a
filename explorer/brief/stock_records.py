"""The stock on the shelf as frozen records in inside units.  Each line is own, make or buy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeVar

Have = Literal["own", "make", "buy"]
_SAME = 1e-6  # mm; sizes nearer than this are one


@dataclass(frozen=True)
class Line:
    """What every stock line carries: `price` in the brief's currency, `minutes` to make one."""

    name: str
    have: Have
    price: float
    minutes: float
    source: str


@dataclass(frozen=True)
class Metal(Line):
    """A metal: yield MPa, ultimate MPa, density g/mm3, E MPa, cutting minutes.

    `endurance` MPa of a polished bar; None: by the kind of metal.
    """

    yield_: float
    ultimate: float
    density: float
    modulus: float
    minutes_per_mm_mm: float  # per mm of outline and mm of thickness
    minutes_per_hole: float
    price_per_mm3: float
    endurance: float | None = None


@dataclass(frozen=True)
class Plate(Line):
    """A sheet; `price` buys the smallest sheet of `sheet_x` by `sheet_y`."""

    metal: str
    thickness: float
    sheet_x: float
    sheet_y: float


@dataclass(frozen=True)
class Pin(Line):
    """Pin or shaft rod of diameter d, mm; `fit` its ISO tolerance as in `m6`; `hardened` marks hard pairs."""

    d: float
    yield_: float
    density: float
    fit: str
    hardened: bool
    ultimate: float | None = None  # MPa; None: as the yield strength
    endurance: float | None = None


@dataclass(frozen=True)
class Bush(Line):
    """Plain bush: bore, outside diameter, wall included."""

    bore: float
    outside: float


@dataclass(frozen=True)
class Washer(Line):
    """A washer, mm."""

    bore: float
    outside: float
    thickness: float


@dataclass(frozen=True)
class Ring(Line):
    """Retaining ring for a pin of diameter `shaft`: groove, thickness, outside when fitted, length past it."""

    shaft: float
    groove: float
    thickness: float
    outside: float
    past_groove: float


@dataclass(frozen=True)
class Chain(Line):
    """A chain: pitch p, plate height h, overall width, inner width, pin, minimum tensile, g/mm."""

    pitch: float
    height: float
    width: float
    inner_width: float
    pin: float
    tensile: float
    mass_per_mm: float
    price_per_pitch: float
    connector: float  # mm along the strand from the last pin to the drawbar pin
    offset_factor: float  # strength of an offset (cranked) link as a share; 0: none to be had
    wheel_price: float
    idler_price: float
    bend_radius: float  # mm, least radius on a plain groove


@dataclass(frozen=True)
class Gear(Line):
    """A spur gear module with its metal; teeth are the search's choice within what can be had."""

    module: float
    yield_: float
    density: float
    min_teeth: int
    max_teeth: int
    side_price: float
    planet_price: float
    ultimate: float | None = None  # MPa; None: as the yield strength
    endurance: float | None = None


@dataclass(frozen=True)
class Tool(Line):
    """A drill or reamer owned, mm."""

    d: float
    kind: Literal["drill", "reamer"]
    fit: str  # hole tolerance, as in `H7`


@dataclass(frozen=True)
class Cord(Line):
    """Cord or wire rope: diameter mm, tensile N, least bend radius mm."""

    d: float
    tensile: float
    bend_radius: float


@dataclass(frozen=True)
class Bearing(Line):
    """Rolling bearing of the wrist joint: kind, bore, outside, width mm, static and dynamic rating N."""

    kind: Literal["thrust", "deep groove"]
    bore: float
    outside: float
    width: float
    static: float
    dynamic: float


@dataclass(frozen=True)
class Spacer(Line):
    """A spacer tube, mm."""

    bore: float
    outside: float


@dataclass(frozen=True)
class Stock:
    """All stock lines, each list in the file's order."""

    schema: int
    metals: tuple[Metal, ...]
    plates: tuple[Plate, ...]
    pins: tuple[Pin, ...]
    shafts: tuple[Pin, ...]
    bushes: tuple[Bush, ...]
    washers: tuple[Washer, ...]
    rings: tuple[Ring, ...]
    spacers: tuple[Spacer, ...]
    chains: tuple[Chain, ...]
    gears: tuple[Gear, ...]
    tools: tuple[Tool, ...]
    cords: tuple[Cord, ...]
    bearings: tuple[Bearing, ...]


Sized = TypeVar("Sized", bound=Line)


def of_size(lines: Iterable[Sized], size: str, d: float) -> Sized | None:
    """The line whose `size` is d [mm], None where there is none; of several the cheapest, then by name.

    Not the first: the order of the file must not choose what is built.
    """
    there = [line for line in lines if abs(getattr(line, size) - d) < _SAME]
    return min(there, key=lambda line: (line.price, line.name), default=None)
