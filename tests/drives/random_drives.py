"""Random whole drives of all six architectures, one candidate each, with fair offsets and arms.

Sizes are those of a palm: arms 8 to 26 mm, links as asked for, pins 18 to 24 mm apart.
"""

from dataclasses import dataclass, replace

import numpy as np
from hypothesis import strategies as st

from explorer.drives.bodies import Bar, Body, GearSplit, Wheel
from explorer.drives.layout import Carrier, Drive, groups
from explorer.drives.motion import Motion, move
from explorer.drives.ratios import Input, Rocker, Spool

FIRSTS = ("linked_lever", "chain_winder", "chain_differential")
SECONDS = ("bar", "chain")
ARCHITECTURES = tuple(f"{first}+{second}" for first in FIRSTS for second in SECONDS)


@dataclass(frozen=True)
class Sample:
    """A drive with its finger pins and the draws of some positions, (F,) and (P,F)."""

    drive: Drive
    pin_x: np.ndarray
    draw: np.ndarray

    def moved(self, *, skeleton: bool = False) -> Motion:
        return move(self.drive, self.draw, self.pin_x, skeleton=skeleton)


class Draw:
    """Columns (1,1) out of one generator."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)

    def __call__(self, low: float, high: float) -> np.ndarray:
        return self.rng.uniform(low, high, (1, 1))

    def choose(self, a: float, b: float) -> np.ndarray:
        return np.array([[a if self.rng.uniform() < 0.5 else b]])


def _const(value: float) -> np.ndarray:
    return np.array([[value]])


def make_source(c: Draw, *, reverses: bool) -> Input:
    leans = bool(c.rng.uniform() < 0.3)
    strut = reverses and bool(c.rng.uniform() < 0.5)
    return Input(reverses, strut, float(c(-5, 5)[0, 0]), 90.0 if not leans else 55.0, leans)


def make_rocker(c: Draw, *, reverses: bool) -> Rocker:
    source = make_source(c, reverses=reverses)
    side = c.choose(-1.0, 1.0)
    r2 = c(13, 18)
    r1 = c(20, 26)
    if source.leans:
        source = Input(
            reverses, source.strut, float((r1 * (-side if reverses else side))[0, 0]), 55.0, True
        )
    return Rocker(
        r1=r1,
        r2=r2,
        theta_s=np.radians(c(-35, -15)),
        beta=np.radians(c(-8, 8)),
        x_p=-side * r2 * 0.95 + c(-8, 8),
        side=side,
        d_in=_const(3.0),
        d_out=_const(3.0),
        d_pivot=_const(4.0),
        mu=c(0.1, 0.2),
        source=source,
    )


def make_winder(c: Draw, *, reverses: bool) -> Spool:
    a2, side = c(8, 12), c.choose(-1.0, 1.0)
    x = c(-8, 8)
    return Spool(
        a1=c(10, 16),
        a2=a2,
        x_p=x - side * a2,
        side=side,
        ripple_by=_const(1.0),
        d_chain_in=_const(2.3),
        d_chain_out=_const(2.3),
        mu_chain=_const(0.12),
        d_shaft=_const(4.0),
        mu_shaft=c(0.1, 0.2),
        span=_const(12.0),
        at_in=_const(3.0),
        at_out=(_const(9.0),),
        exits=(x,),
        flat=True,
        source=make_source(c, reverses=reverses),
    )


def make_cage(
    c: Draw, gears: GearSplit | None, exits: tuple[np.ndarray, ...], *, reverses: bool
) -> Spool:
    a2 = c(8, 12) if gears is None else 2 * gears.r_a * gears.r_b / (gears.r_a + gears.r_b)
    return Spool(
        a1=c(10, 16),
        a2=a2,
        x_p=_const(0.0),
        side=_const(1.0),
        ripple_by=_const(1.0),
        d_chain_in=_const(2.3),
        d_chain_out=_const(2.3),
        mu_chain=_const(0.12),
        d_shaft=_const(4.0),
        mu_shaft=c(0.1, 0.2),
        span=_const(40.0),
        at_in=_const(20.0),
        at_out=tuple(x + 20.0 for x in exits),
        exits=exits,
        flat=False,
        source=make_source(c, reverses=reverses),
    )


def make_lever(c: Draw, span: float) -> Bar:
    """A first lever over carriers `span` apart, arms within 40:60."""
    total, part = span * c(0.75, 1.1), c(0.4, 0.6)
    return _bar(c, total * part, total * (1.0 - part))


def _bar(c: Draw, l_a: np.ndarray, l_b: np.ndarray) -> Bar:
    """Centre pin up to 2 mm off the end-pin line: more, and 33 degrees of tilt alone shift a share by 15 %."""
    return Bar(l_a, l_b, c(-2, 2), _const(3.0), _const(2.0), c(0.1, 0.2))


def make_wheel(c: Draw, span: float) -> Wheel:
    return Wheel(span * c(0.75, 1.1), _const(3.0), c(0.1, 0.2), _const(2.3), c(0.1, 0.2))


def make_second(c: Draw, kind: str, span: float) -> Bar | Wheel:
    return _bar(c, c(8, 14), c(8, 14)) if kind == "bar" else make_wheel(c, span)


def _carrier(
    c: Draw,
    kind: str,
    fingers: tuple[int, ...],
    pin_x: np.ndarray,
    low: float,
    high: float,
) -> Carrier:
    L_in = c(low, high)
    if len(fingers) == 1:
        return Carrier(fingers, None, L_in, (), _const(0.0))
    body = make_second(c, kind, float(pin_x[fingers[1]] - pin_x[fingers[0]]))
    return Carrier(fingers, body, L_in, (c(low, high), c(low, high)), _const(0.0))


def make_sample(
    seed: int,
    architecture: str,
    fingers: int,
    *,
    reverses: bool = True,
    links: tuple[float, float] = (25, 40),
    travel: float = 12.0,
    positions: int = 6,
) -> Sample:
    """A whole drive; `links` the range of all links and free strands at rest, mm.

    Strands that are drawn in (wound up, or shortened by a wheel's turn) get their travel on top, so
    that what stays free in any position is within the range or longer.
    """
    c = Draw(seed)
    first_kind, second_kind = architecture.split("+")
    step = float(c(18, 24)[0, 0])
    pin_x = (np.arange(fingers) - (fingers - 1) / 2) * step + c.rng.uniform(-1.5, 1.5, fingers)
    single = "index side" if c.rng.uniform() < 0.5 else "little side"
    low, high = links
    wheel_low = low + travel / 2 if second_kind == "chain" else low
    parts = groups(fingers, single)
    carriers = tuple(_carrier(c, second_kind, g, pin_x, low, high) for g in parts)
    carriers = tuple(
        k
        if not isinstance(k.body, Wheel)
        else Carrier(k.fingers, k.body, k.L_in, tuple(L + wheel_low - low for L in k.L_out), k.y)
        for k in carriers
    )
    middle = [float(np.mean([pin_x[i] for i in g])) for g in parts]
    span = middle[-1] - middle[0]
    L_exit = c(low, high)
    first: Bar | Wheel | GearSplit | None = None
    if first_kind == "linked_lever":
        ratio: Rocker | Spool = make_rocker(c, reverses=reverses)
        first = make_lever(c, span) if fingers > 2 else None
    elif first_kind == "chain_winder":
        ratio = make_winder(c, reverses=reverses)
        first = make_wheel(c, span) if fingers > 2 else None
        L_exit = L_exit + travel
        carriers = _longer(carriers, travel / 2) if fingers > 2 else carriers
    else:
        first = GearSplit(c(8, 12), c(8, 12), _const(0.96), 3) if fingers > 2 else None
        exits = tuple(m + c(-6, 6) for m in middle)
        ratio = make_cage(c, first, exits, reverses=reverses)
        L_exit = L_exit + travel
        carriers = _longer(carriers, travel) if fingers > 2 else carriers
    drive = Drive(
        architecture, 1, {}, ratio, first, carriers, L_exit, _const(-50.0), _const(-80.0), 14.0
    )
    draw = c.rng.uniform(0.0, travel, (positions, fingers))
    return Sample(drive, pin_x, draw)


def _longer(carriers: tuple[Carrier, ...], by: float) -> tuple[Carrier, ...]:
    return tuple(Carrier(k.fingers, k.body, k.L_in + by, k.L_out, k.y) for k in carriers)


@st.composite
def samples(draw: st.DrawFn, links: tuple[float, float] = (25, 40)) -> Sample:
    """Any architecture, number of fingers and direction."""
    return make_sample(
        draw(st.integers(0, 2**32 - 1)),
        draw(st.sampled_from(ARCHITECTURES)),
        draw(st.sampled_from((2, 3, 4))),
        reverses=draw(st.booleans()),
        links=links,
    )


def stretched(s: Sample, factor: float) -> Sample:
    """The same drive with all links and strands `factor` longer."""
    carriers = tuple(
        replace(k, L_in=k.L_in * factor, L_out=tuple(L * factor for L in k.L_out))
        for k in s.drive.carriers
    )
    drive = replace(s.drive, carriers=carriers, L_exit=s.drive.L_exit * factor)
    return Sample(drive, s.pin_x, s.draw)


def mirrored(s: Sample) -> Sample:
    """The drive seen from the other side: x turns its sign, index and little side change places."""
    last = len(s.pin_x) - 1
    carriers = tuple(
        Carrier(
            tuple(last - f for f in reversed(k.fingers)),
            mirrored_body(k.body),
            k.L_in,
            tuple(reversed(k.L_out)),
            k.y,
        )
        for k in reversed(s.drive.carriers)
    )
    drive = replace(
        s.drive,
        ratio=_mirrored_ratio(s.drive.ratio),
        first=mirrored_body(s.drive.first),
        carriers=carriers,
    )
    return Sample(drive, -s.pin_x[::-1], np.ascontiguousarray(s.draw[:, ::-1]))


def mirrored_body(body: Body | None) -> Body | None:
    if isinstance(body, Bar):
        return replace(body, l_a=body.l_b, l_b=body.l_a)
    if isinstance(body, GearSplit):
        return replace(body, r_a=body.r_b, r_b=body.r_a)
    return body


def _mirrored_ratio(r: Rocker | Spool) -> Rocker | Spool:
    source = replace(r.source, far_x=-r.source.far_x)
    if isinstance(r, Rocker):
        return replace(r, x_p=-r.x_p, side=-r.side, source=source)
    exits = tuple(-x for x in reversed(r.exits))
    if r.flat:  # a shaft along z: places along it stay
        return replace(r, x_p=-r.x_p, side=-r.side, exits=exits, source=source)
    at_in, at_out = r.span - r.at_in, tuple(r.span - at for at in reversed(r.at_out))
    return replace(r, x_p=-r.x_p, exits=exits, at_in=at_in, at_out=at_out, source=source)
