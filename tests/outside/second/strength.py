"""Second scorer, margins and wear: what loads parts in every position, the worst of it, and weeks.

Forces N, lengths mm.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from tests.outside.second.checks import Pin, Record, Run
from tests.outside.second.hand import Position
from tests.outside.second.levers import Pulls, bar_stage, lever_stage
from tests.outside.second.plan import Bar, Plan, Rocker, Spool
from tests.outside.second.score import Moment, carrying_pull, wrist_pull
from tests.outside.second.wheels import cage_stage, wheel_stage, winder_stage

Key = tuple[str, str]


def spread(p: Plan, m: Moment, F_in: float, F_out: float, locked: float, total: float) -> Pulls:
    """High sides of all shares; `locked` the load that a lock at the carriers holds, else 0."""
    f = m.shape.first
    c, skew = ((1.0,), 0.0) if f is None else ((f.share_a, 1.0 - f.share_a), f.skew)
    given = tuple(F_out * (part + skew) for part in c)
    carrier = tuple(total * (part + skew) for part in c)
    if locked > 0.0:
        most = p.m.brief.strength.carrier_share if len(c) > 1 else 1.0
        carrier = tuple(max(g, locked * max(most, part)) for g, part in zip(given, c, strict=True))
    finger = [0.0] * len(p.m.brief.fingers)
    for P, held, s in zip(carrier, p.carriers, m.shape.second, strict=True):
        if s is None:
            finger[held.fingers[0]] = P
            continue
        finger[held.fingers[0]] = P * (s.share_a + s.skew)
        finger[held.fingers[1]] = P * (1.0 - s.share_a + s.skew)
    return Pulls(F_in, F_out, given, carrier, tuple(finger))


def at_peak(p: Plan, m: Moment) -> Pulls:
    """Peak torque without friction, or the load, whichever is more; a lock at the carriers spares the rest."""
    peak = wrist_pull(p, m, "peak") / m.ratio.step
    load = carrying_pull(p, m, lifting=False)
    if p.m.brief.strength.lock == "carriers":
        return spread(p, m, peak * m.ratio.step, peak, load, peak)
    F = max(peak, load)
    return spread(p, m, F * m.ratio.step, F, 0.0, F)


def every_day(p: Plan, m: Moment) -> Pulls:
    """Comfortable torque with friction in powered grips; in carries the load, held against slipping back."""
    if m.at.kind == "grip":
        F_in = wrist_pull(p, m, "comfortable")
        ripple = p.ratio.ripple if isinstance(p.ratio, Spool) else 1.0
        F = F_in * ripple / m.ways.pull
        return spread(p, m, F_in, F, 0.0, F)
    load = carrying_pull(p, m, lifting=False)
    if p.m.brief.strength.lock == "carriers":
        return spread(p, m, 0.0, 0.0, 0.0, load)
    return spread(p, m, load * m.ways.hold, load, 0.0, load)


def records(p: Plan, m: Moment, q: Pulls) -> list[Record]:
    """Everything that carries something."""
    if isinstance(p.ratio, Rocker):
        out = lever_stage(p, m, q)
    elif p.ratio.along == "z":
        out = winder_stage(p, m, q)
    else:
        out = cage_stage(p, m, q)
    for k, c in enumerate(p.carriers):
        if isinstance(c.body, Bar):
            out += bar_stage(p, m, q, k)
        elif c.body is not None:
            out += wheel_stage(p, m, q, k)
    return out


def loads_parts(at: Position) -> bool:
    return at.must and at.kind not in {"open", "squeeze"}


def margins(p: Plan, ms: list[Moment]) -> dict[Key, float]:
    """Smallest margin of every joint and way of failing."""
    st = p.m.brief.strength
    out: dict[Key, float] = {}
    for m in ms:
        if not loads_parts(m.at):
            continue
        for r in records(p, m, at_peak(p, m)):
            for way in r.ways():
                factor = st.chain_factor if way.chain else st.overload * st.design_factor
                left = 1.0 / (factor * way.use) - 1.0 if way.use > 0.0 else inf
                key = (r.key, way.name)
                out[key] = min(out.get(key, inf), left)
    return out


def in_pins(p: Plan, ms: list[Moment]) -> set[Key]:
    """The ways that the pin-stress margin is about."""
    rs = records(p, ms[0], at_peak(p, ms[0]))
    return {(r.key, w.name) for r in rs for w in r.ways() if w.pin}


def weeks(p: Plan, ms: list[Moment]) -> dict[str, float]:
    """Weeks until each joint has its play, each chain its lengthening."""
    use = p.m.brief.use
    at_open = {r.key: r for r in records(p, ms[0], at_peak(p, ms[0]))}
    per_week: dict[str, float] = {}
    limit: dict[str, Callable[[float], float]] = {}
    for m in ms:
        if m.at.kind not in {"grip", "carry"}:
            continue
        assert m.at.grip is not None
        times = use.grips_per_day * use.days_per_week * m.at.grip.share_of_day
        for r in records(p, m, every_day(p, m)):
            if not isinstance(r, Pin | Run):
                continue
            rest = at_open[r.key]
            assert isinstance(rest, Pin | Run)
            swing = abs(r.angle - rest.angle)
            k, length = p.m.brief.wear.chain_joint, 0.0
            if isinstance(r, Run):
                swing, length = min(swing, r.most), r.pitch
            else:
                k = r.wear
            depth = k * r.load * (2.0 * swing * use.loaded_share) / r.wear_t
            per_week[r.key] = per_week.get(r.key, 0.0) + times * depth
            limit[r.key] = _until(use.chain_lengthening * length if length else use.play_limit)
    return {key: limit[key](depth) for key, depth in per_week.items()}


def _until(most: float) -> Callable[[float], float]:
    return lambda depth: most / depth if depth > 0.0 else inf
