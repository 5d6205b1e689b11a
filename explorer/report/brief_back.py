"""The brief read back: each number in plain words with its unit and where it came from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from explorer.brief.records import Grip
from explorer.report.choose import SHORT_WORDS
from explorer.report.gather import Gathered
from explorer.report.scales import words
from explorer.scoring.grip import GRAVITY
from explorer.scoring.limits import AIM_BY_NAME
from explorer.show.layout import number, percent


@dataclass(frozen=True)
class Said:
    """One thing the brief says; `source` is measured, handbook, guess or asked."""

    words: str
    value: str
    source: str


@dataclass(frozen=True)
class Part:
    """One part of the brief."""

    title: str
    rows: tuple[Said, ...]


def brief_parts(g: Gathered) -> tuple[Part, ...]:
    """The whole brief in a few tables."""
    parts = (
        Part("Wrist", _wrist(g)),
        Part("Palm", _palm(g)),
        Part("Fingers", _fingers(g)),
        Part("Grips", _grips(g)),
        Part("Strength, wear and use", _strength(g)),
        Part("Limits and aims", _limits(g)),
    )
    return tuple(p for p in parts if p.rows)


def _source(g: Gathered, *paths: str) -> str:
    """The weakest source among the values behind a line."""
    known = g.study.brief.provenance
    found = [
        p.source
        for path, p in known.items()
        if any(path == q or path.startswith((f"{q}.", f"{q}[")) for q in paths)
    ]
    order = ("guess", "handbook", "measured", "asked")
    return next((s for s in order if s in found), "asked")


def _wrist(g: Gathered) -> tuple[Said, ...]:
    w, d = g.study.brief.wrist, g.shelf.demand
    pulls = (
        ("all day long (often)", w.torque_often, d.pull_often, "often"),
        ("comfortable (scores)", w.torque_comfortable, d.pull_comfortable, "comfortable"),
        ("peak (loads the parts)", w.torque_peak, d.pull_peak, "peak"),
    )
    out = [
        Said(
            f"Torque {told}",
            f"{torque / 1000:.1f} N·m, {words(pull, 'N')} at the drawbar",
            _source(g, f"wrist.torque_{key}_Nm"),
        )
        for told, torque, pull, key in pulls
    ]
    share = w.torque_often / w.torque_peak if w.torque_peak > 0.0 else 0.0
    told = f"{percent(share)} of peak; what is repeated all day is usually kept under 20 %"
    out.append(Said("Often against peak", told, "computed"))
    out.append(Said("Arm of the input drawbar", words(w.arm, "mm"), _source(g, "wrist.arm_mm")))
    travel = f"{number(math.degrees(w.travel), 0)}°, {words(d.stroke, 'mm')} at the drawbar after {words(w.lost_motion, 'mm')} lost"
    out.append(Said("Travel", travel, _source(g, "wrist.travel_deg", "wrist.lost_motion_mm")))
    way = "reversed by the first stage" if w.reverses else "the same way as the wrist's"
    out.append(Said("Motion", way, "asked"))
    return tuple(out)


def _palm(g: Gathered) -> tuple[Said, ...]:
    c = g.study.brief.cavity
    b = c.box
    size = f"{number(b.x1 - b.x0, 1)} across, {number(b.y1 - b.y0, 1)} long, {number(b.z1 - b.z0, 1)} mm high"
    out = [Said("Cavity", size, _source(g, "cavity.x_mm", "cavity.y_mm", "cavity.z_mm"))]
    for k in c.keepouts:
        size = f"{number(k.x1 - k.x0, 1)} × {number(k.y1 - k.y0, 1)} × {number(k.z1 - k.z0, 1)} mm kept free"
        out.append(Said(k.name, size, _source(g, f"cavity.keepout.{k.name}")))
    out.append(Said("Between moving parts", f"at least {words(c.clearance, 'mm')}", "asked"))
    return tuple(out)


def _fingers(g: Gathered) -> tuple[Said, ...]:
    d = g.shelf.demand
    out = []
    for i, f in enumerate(g.study.brief.fingers):
        told = (
            f"{number(f.L1, 0)} + {number(f.L2, 0)} mm long; drawbar {number(f.pin_x, 0)} mm across, full draw "
            f"{words(float(d.full_draw[i]), 'mm')}; spring {number(f.spring_T0, 1)} N + {number(f.spring_k, 2)} N/mm"
        )
        out.append(Said(f.name, told, _source(g, f"finger.{f.name}")))
    return tuple(out)


def _grips(g: Gathered) -> tuple[Said, ...]:
    brief, d = g.study.brief, g.shelf.demand
    out = []
    for p, position in enumerate(d.positions):
        if position.kind in {"grip", "carry"}:
            grip = brief.grips[position.grip]
            fingers = "; ".join(_finger(g, grip, p, f) for f in range(len(d.fingers)))
            out.append(
                Said(position.name, f"{_what(grip)}: {fingers}", _source(g, f"grip.{grip.name}"))
            )
    off = [grip.name for grip in brief.grips if not grip.on]
    if off:
        out.append(Said("Switched off", ", ".join(off), "asked"))
    return tuple(out)


def _what(grip: Grip) -> str:
    if grip.kind == "carry":
        return f"carries {words(grip.carry_load / GRAVITY, 'kg')}"
    return (
        f"{grip.shape} {words(grip.width, 'mm')} against {grip.post}, needs {words(grip.need, 'N')}"
    )


def _finger(g: Gathered, grip: Grip, p: int, f: int) -> str:
    d = g.shelf.demand
    if not d.engaged[p, f]:
        return f"{d.fingers[f]} {grip.does[f].replace('_', ' ')}"
    return f"{d.fingers[f]} draws {words(float(d.draw[p, f]), 'mm')}"


def _strength(g: Gathered) -> tuple[Said, ...]:
    b = g.study.brief
    s, f, u = b.strength, b.friction, b.use
    lock = "no lock holds a load" if s.lock == "none" else f"a lock on the {s.lock} holds a load"
    return (
        Said("Shock on the peak", f"{number(s.overload, 1)} ×", _source(g, "strength.overload")),
        Said(
            "Design factor on yield",
            number(s.design_factor, 1),
            _source(g, "strength.design_factor"),
        ),
        Said(
            "Chains, on least breaking load",
            f"{number(s.chain_factor, 1)} ×",
            _source(g, "strength.chain_factor"),
        ),
        Said("Carrying", lock, "asked"),
        Said(
            "Friction",
            f"bushed {number(f.bushed, 2)}, bare {number(f.bare, 2)}, chain {number(f.chain, 2)}",
            _source(g, "friction"),
        ),
        Said(
            "Use",
            f"{number(u.grips_per_day, 0)} grips a day, {number(u.days_per_week, 0)} days a week; a joint is worn at "
            f"{number(u.play_limit, 2)} mm of play",
            _source(g, "use"),
        ),
    )


def _limits(g: Gathered) -> tuple[Said, ...]:
    b, lim = g.study.brief, g.study.brief.limits
    out = [
        Said(
            "Tilt and lean",
            f"at most {number(math.degrees(lim.tilt), 0)}° and {number(math.degrees(lim.lean), 0)}°",
            "asked",
        ),
        Said("Share error of a finger", f"at most {percent(lim.share_error)}", "asked"),
        Said("Weakest grip", f"at least {number(lim.grip_ratio, 2)} × what it needs", "asked"),
    ]
    for rule in (AIM_BY_NAME[a.name] for a in b.aims):
        way = "more" if rule.more else "less"
        way = "fewer" if rule.name in {"pieces", "part_numbers"} else way
        level = g.enough.get(rule.name)
        told = f"{way} is better" + (
            "" if level is None else f"; {words(level, rule.unit, g.study.currency)} is enough"
        )
        out.append(Said(f"Aim: {SHORT_WORDS[rule.name]}", told, "asked"))
    return tuple(out)
