"""Second scorer, scores: friction signs tried one by one, grips, loads carried, reopening, shares.

Forces N, lengths mm.  Everything is asked position by position; nothing here is fast.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import atan, cos, inf, radians, sin, sqrt

from tests.outside.second.equal import Shape, drawn, plain_share, shape
from tests.outside.second.hand import (
    Position,
    draw_at,
    positions,
    pull_at,
    spring,
    torque_share,
)
from tests.outside.second.plan import Bar, Plan, Rocker, Spool, Wheel
from tests.outside.second.ratio import Ratio, Ways, input_pin, ratio, ways
from tests.outside.second.sizes import carrier_wheel


@dataclass(frozen=True)
class Moment:
    """One position of one drive: what the hand does, where everything is, arms, friction."""

    at: Position
    shape: Shape
    ratio: Ratio
    ways: Ways


def moments(p: Plan, where: list[Position] | None = None) -> list[Moment]:
    """All positions; `where` if they are known."""
    out = []
    for at in positions(p.m.brief) if where is None else where:
        s = shape(p, at.draw)
        out.append(Moment(at, s, ratio(p, s), ways(p, s)))
    return out


def carrier_shares(m: Moment, sign: float) -> tuple[float, ...]:
    """Shares of the carriers; `sign` which way the first equaliser's friction leans."""
    if m.shape.first is None:
        return (1.0,)
    f = m.shape.first
    return f.share_a + sign * f.skew, 1.0 - f.share_a - sign * f.skew


def finger_shares(p: Plan, m: Moment, signs: tuple[float, ...]) -> tuple[float, ...]:
    """Share of the output that every finger gets; one sign an equaliser, the first one's first."""
    top = carrier_shares(m, signs[0])
    out = [0.0] * len(p.m.brief.fingers)
    for k, (c, s) in enumerate(zip(p.carriers, m.shape.second, strict=True)):
        if s is None:
            out[c.fingers[0]] = top[k]
            continue
        a = s.share_a + signs[1 + k] * s.skew
        out[c.fingers[0]], out[c.fingers[1]] = top[k] * a, top[k] * (1.0 - a)
    return tuple(out)


def all_shares(p: Plan, m: Moment) -> Iterator[tuple[float, ...]]:
    for signs in product((-1.0, 1.0), repeat=1 + len(p.carriers)):
        yield finger_shares(p, m, signs)


def plain_shares(p: Plan, m: Moment) -> tuple[float, ...]:
    return finger_shares(p, m, (0.0,) * (1 + len(p.carriers)))


def rest_shares(p: Plan) -> tuple[float, ...]:
    """What the drive would give with no tilt, lean or friction."""
    top: tuple[float, ...] = (1.0,)
    if p.first is not None:
        c = plain_share(p.first, drawn(p.first, 0.0, 0.0))
        top = (c, 1.0 - c)
    out = [0.0] * len(p.m.brief.fingers)
    for c, carrier in zip(top, p.carriers, strict=True):
        if carrier.body is None:
            out[carrier.fingers[0]] = c
            continue
        a = plain_share(carrier.body, drawn(carrier.body, 0.0, 0.0))
        out[carrier.fingers[0]], out[carrier.fingers[1]] = c * a, c * (1.0 - a)
    return tuple(out)


def wrist_pull(p: Plan, m: Moment, which: str) -> float:
    return pull_at(p.m.brief, which) * torque_share(p.m.brief, m.ratio.X)


def output(p: Plan, m: Moment) -> float:
    """Output at comfortable torque; the chains' ripple at its worst."""
    ripple = p.ratio.ripple if isinstance(p.ratio, Spool) else 1.0
    return wrist_pull(p, m, "comfortable") * ripple / m.ways.pull


def pressing(p: Plan, m: Moment, F: float, share: tuple[float, ...]) -> dict[int, float]:
    """What every engaged finger presses on the object."""
    fingers = p.m.brief.fingers
    return {
        i: (F * share[i] - spring(fingers[i], m.at.draw[i])) * g.m * cos(g.gamma)
        for i, g in m.at.grasps.items()
    }


def powered(ms: list[Moment]) -> list[Moment]:
    return [m for m in ms if m.at.kind == "grip"]


def grip_ratio(p: Plan, ms: list[Moment]) -> float:
    """Least delivered over needed: all friction signs together."""
    worst = inf
    for m in powered(ms):
        F = output(p, m)
        assert m.at.grip is not None
        if m.at.grip.need > 0.0:
            least = min(sum(pressing(p, m, F, c).values()) for c in all_shares(p, m))
            worst = min(worst, least / m.at.grip.need)
    return worst


def finger_slack(p: Plan, ms: list[Moment]) -> float:
    """Least that an engaged finger presses beyond its floor."""
    worst = inf
    for m in powered(ms):
        F = output(p, m)
        assert m.at.grip is not None
        for c in all_shares(p, m):
            for i, N in pressing(p, m, F, c).items():
                worst = min(worst, N - m.at.grip.floor[i] - p.m.brief.limits.finger_floor)
    return worst


def wished(p: Plan, m: Moment) -> tuple[float, ...]:
    assert m.at.grip is not None
    n, asked = len(p.m.brief.fingers), m.at.grip.wished
    if asked is None:
        return rest_shares(p)
    if asked == "equal":
        return (1.0 / n,) * n
    assert not isinstance(asked, str)
    if len(asked) == n:
        return asked
    by = dict(zip(sorted(m.at.grasps), asked, strict=True))
    return tuple(by.get(i, 1.0) for i in range(n))


def share_error(p: Plan, ms: list[Moment]) -> float:
    worst = 0.0
    for m in powered(ms):
        t = wished(p, m)
        for c in all_shares(p, m):
            worst = max([worst, *(abs(c[i] / t[i] - 1.0) for i in m.at.grasps)])
    return worst


def carrying_pull(p: Plan, m: Moment, *, lifting: bool) -> float:
    """Output that carries the load: with the fingers' losses when lifting, without when holding."""
    if m.at.grip is None or m.at.kind != "carry":
        return 0.0
    fingers = p.m.brief.fingers
    by = {i: g.m if lifting else g.m_ideal for i, g in m.at.grasps.items()}
    against = sum(by[i] * spring(fingers[i], m.at.draw[i]) for i in by)
    reach = min(sum(by[i] * c[i] for i in by) for c in all_shares(p, m))
    return (m.at.grip.carry_load + against) / reach


def lift_slack(p: Plan, ms: list[Moment]) -> float:
    """Peak pull left over when the wrist lifts the load, N."""
    return min(
        (
            wrist_pull(p, m, "peak") - carrying_pull(p, m, lifting=True) * m.ways.pull
            for m in ms
            if m.at.kind == "carry"
        ),
        default=inf,
    )


def reopening(p: Plan, m: Moment) -> float:
    """What the springs leave at the input of a relaxed wrist, beyond its drag."""
    share = plain_shares(p, m)
    pull = min(
        (
            spring(f, m.at.draw[i]) / share[i]
            for i, f in enumerate(p.m.brief.fingers)
            if m.at.does[i] != "parked_closed"
        ),
        default=inf,
    )
    if pull == inf:
        return 0.0
    return pull * m.ways.hold - p.m.brief.limits.input_drag


def stroke(ms: list[Moment]) -> float:
    """Longest draw of the input among what must be reached."""
    return max(m.ratio.X for m in ms if m.at.must)


def neighbour_travel(p: Plan) -> float:
    """Largest difference of neighbours' draws before a stop, of the full draw."""
    worst, brief = 1.0, p.m.brief
    f = carrier_wheel(p.m)
    for c in p.carriers:
        if c.body is None:
            continue
        full = max(draw_at(brief.fingers[i], brief.fingers[i].q1_max) for i in c.fingers)
        if isinstance(c.body, Bar):
            far = (c.body.l_a + c.body.l_b) * sin(brief.limits.tilt)
        else:
            assert f is not None
            assert isinstance(c.body, Wheel)
            t = f.track
            on_teeth = sqrt(max(t.tip * t.tip - t.mean * t.mean, 0.0))
            far = 2.0 * (f.strand - t.chain.connector - on_teeth - brief.shop.run_in * f.strand)
        worst = min(worst, max(far, 0.0) / full)
    return worst


def tilt_slack(p: Plan, ms: list[Moment]) -> float:
    """Least angle that a bar or lever stays off its stop, 2 degrees kept; inf without any, rad."""
    worst, stop = inf, p.m.brief.limits.tilt - radians(2.0)
    for m in ms:
        for body, s in zip(
            (p.first, *(c.body for c in p.carriers)), (m.shape.first, *m.shape.second), strict=True
        ):
            if m.at.must and isinstance(body, Bar) and s is not None:
                worst = min(worst, stop - abs(s.tilt))
    return worst


def lean_slack(p: Plan, ms: list[Moment]) -> float:
    """Least angle that links and strands stay under the largest lean, rad."""
    worst = inf
    for m in ms:
        if not m.at.must:
            continue
        links = [*m.shape.leaving, *m.shape.carrier_link]
        for s in (m.shape.first, *m.shape.second):
            if s is not None:
                links += [s.link_in, s.link_a, s.link_b]
        if isinstance(p.ratio, Rocker):
            links.append(input_pin(p, p.ratio, m.shape.theta).pull)
        worst = min([worst, *(p.m.brief.limits.lean - abs(atan(v[0])) for v in links)])
    return worst


def transmission_slack(p: Plan, ms: list[Moment]) -> float:
    """Least angle that both rocker arms stay within the transmission limit, rad."""
    r = p.ratio
    if not isinstance(r, Rocker):
        return inf
    return min(
        p.m.brief.limits.transmission - max(abs(m.shape.theta), abs(m.shape.theta + r.dogleg))
        for m in ms
        if m.at.must
    )
