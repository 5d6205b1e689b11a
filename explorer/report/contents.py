"""The page's content, section by section, as plain values for the template."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element

import explorer
from explorer.report import figures_drive as fd
from explorer.report import figures_hand, figures_lines, figures_pairs, figures_strips, story, svg, tables
from explorer.report.brief_back import brief_parts
from explorer.report.gather import MOST_SHOWN, Entry, Gathered, Whole
from explorer.report.motion_data import DriveMotion, drawbar_of, motion_of
from explorer.report.scales import AimScale, scales, words
from explorer.report.story import aim_value
from explorer.show.facts import MODELS, words_of
from explorer.show.layout import margin, number, rows_of, words_of as list_of
from explorer.show.plain import Json

WIDE, NARROW = figures_strips.WIDE, figures_strips.NARROW
DEFAULT_HELD = 3
SPLIT = 2.2  # px a millimetre in small drawings


@dataclass(frozen=True)
class Still:
    """One still of a drive, with its words."""

    words: str
    figure: Element


def contents(g: Gathered, csv_name: str) -> dict[str, Any]:
    """Everything that the template writes."""
    found = scales(g)
    motions = {name: motion_of(w) for name, w in g.whole.items() if w.entry.kind != "miss"}
    held = tuple(c.name for c in held_first(g))
    return {
        "g": g,
        "head": _head(g),
        "sentences": story.next_build(g),
        "short": [_short(g, c.name, c.why) for c in g.choices],
        "misses": [_miss(g, e) for e in g.others if e.name in g.whole],
        "brief_parts": brief_parts(g),
        "hand": figures_hand.hand(g.study.brief, g.shelf.demand),
        "hand_words": fd.scale_words(g.study.brief),
        "grip_views": figures_hand.grips(g.study.brief, g.shelf.demand),
        "draws": [figures_lines.draws(g.shelf.demand, w) for w in (WIDE, NARROW)],
        "pull_words": _pull_words(g),
        "kinds": story.kinds(g),
        "scales": found,
        "strips": figures_strips.strips(g, found),
        "pairs": figures_pairs.pairs(g, found),
        "parallel": figures_pairs.parallel(g, found, held) if len(found) > 1 else None,
        "rows": tables.keeper_rows(g),
        "old_rows": [tables.row_of(g, e) for e in g.builds],
        "too_many": len(g.keepers) > MOST_SHOWN,
        "held": held,
        "beside": _beside(g, found),
        "motions": motions,
        "stage": _stage(g, motions),
        "stills": {name: _stills(g, m) for name, m in motions.items()},
        "ladders": [_ladder(g, w) for w in g.whole.values() if w.entry.kind != "miss"],
        "marks": _marks(g),
        "olds": [_old(g, g.whole[e.name]) for e in g.builds],
        "progress": [figures_lines.progress(g.result.progress, w) for w in (WIDE, NARROW)],
        "effort": _effort(g),
        "agreement": _agreement(g),
        "models": MODELS,
        "leans": _leans(g),
        "cautions": _cautions(g),
        "csv_name": csv_name,
        "version": explorer.__version__,
    }


def held_first(g: Gathered) -> list[Any]:
    """What is held before the reader chooses: the one to start with and two others of the short row."""
    rest = [c for c in g.choices if c.name != g.start]
    return [*(c for c in g.choices if c.name == g.start), *rest][:DEFAULT_HELD]


def _head(g: Gathered) -> list[tuple[str, str]]:
    r, b = g.result, g.study.brief
    seeds = ", ".join(str(s) for s in r.seeds)
    invented = ", invented" if b.invented else ""
    return [
        ("brief", f"{g.study.name}, {b.hash6}; {b.side} hand{invented}"),
        ("looked at", f"{story.many(r.looked_at)} drives in {_time(r.seconds)}, {r.rounds} rounds"),
        ("search", f"{story.headline(g)}; asked: {r.asked}; seed {seeds}"),
        ("guesses", f"{len(g.study.guesses)} values of the brief" if g.study.guesses else "none"),
        ("units", "mm, N, N·m, g, MPa; kg on the hook"),
        ("program", f"evener {explorer.__version__}"),
    ]


def _time(seconds: float) -> str:
    whole = round(seconds)
    if whole < 120:
        return f"{whole} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60} min"


def drawn_at(w: Whole, m: DriveMotion, share: float, position: int) -> dict[int, float]:
    """Line widths of the drawbars, mm, by the piece's place: the thickest is the strength case's input."""
    groups = [c.fingers for c in w.detail.drive.carriers]
    pulls = {name: float(v[position]) for name, v in m.pulls}
    top = max(pulls.values(), default=1.0) or 1.0
    out = {}
    for i, p in enumerate(m.pieces):
        bar = drawbar_of(p.key, groups)
        if bar is not None and bar in pulls:
            out[i] = fd.THICKEST * share * pulls[bar] / top
    return out


def _short(g: Gathered, name: str, why: str) -> dict[str, Any]:
    w = g.whole[name]
    m = motion_of(w)
    told = [(s.rule.words, aim_value(g, w.entry, s.rule), s.short) for s in scales(g)]
    figure = fd.two_views(g.study.brief, m.pieces, 0, {}, f"{name}, hand open", SPLIT, names=False)
    return {"name": name, "why": why, "kind": words_of(w.entry.architecture), "aims": told, "figure": figure}


def _miss(g: Gathered, e: Entry) -> dict[str, Any]:
    w = g.whole[e.name]
    m = motion_of(w)
    figure = fd.two_views(g.study.brief, m.pieces, 0, {}, f"{e.name}, hand open", SPLIT, hatched=True, names=False)
    limits = [r for r in rows_of(w.facts["limits"]) if not r["fits"]]
    rows = [
        {
            "limit": story.limit_name(str(r["id"])),
            "question": r["question"],
            "short": words(_float(r["slack"]), str(r["slack_unit"])),
            "ease": r["ease"],
        }
        for r in limits
    ]
    over = fd.outside(g.study.brief, m.pieces, 0)
    there = ", ".join(dict.fromkeys(p.words for p in m.pieces if p.key in over))
    return {
        "name": e.name,
        "kind": words_of(e.architecture),
        "figure": figure,
        "limits": rows,
        "fits": e.fits,
        "over": there,
    }


def _pull_words(g: Gathered) -> str:
    d = g.shelf.demand
    return (
        f"Each bar is how far one finger's drawbar is drawn, from the first finger down; dark: it takes part, light: it "
        f"is parked or free. The wrist has {words(d.stroke, 'mm')} to give to all of them together, at "
        f"{words(d.pull_often, 'N')} often, {words(d.pull_comfortable, 'N')} comfortably, {words(d.pull_peak, 'N')} at peak."
    )


def _beside(g: Gathered, found: Sequence[AimScale]) -> dict[str, Any]:
    """The short row as columns, for a page without script and for print."""
    names = [c.name for c in held_first(g)] or [e.name for e in g.keepers[:DEFAULT_HELD]]
    entries = [g.find(n) for n in names]
    rows = []
    for s in found:
        values = [aim_value(g, e, s.rule) for e in entries]
        top = story.best(g, s.rule, entries).name if entries else ""
        rows.append({"head": s.head, "cells": [(v, e.name == top) for v, e in zip(values, entries, strict=True)]})
    return {"names": names, "rows": rows}


def _stage(g: Gathered, motions: Mapping[str, DriveMotion]) -> dict[str, Any] | None:
    """The drawing that the slider moves: the drive to start with, its first grip, at contact."""
    name = g.start if g.start in motions else next(iter(motions), None)
    if name is None or not motions[name].grips:
        return None
    w, m = g.whole[name], motions[name]
    grip = m.grips[0]
    last = grip.stops[-1]
    pulls = drawn_at(w, m, last.share, grip.position)
    label = f"{name} to scale, plan and side view"
    figure = fd.two_views(g.study.brief, m.pieces, last.shape, pulls, label, 3.1, group=True)
    demand = g.shelf.demand
    strands = [
        (demand.fingers[f], words(float(w.detail.strength.finger[f][0, grip.position]) * last.share, "N"))
        for f in range(len(demand.fingers))
    ]
    return {
        "name": name,
        "grip": grip,
        "figure": figure,
        "stop": last,
        "strands": strands,
        "parts": part_rows(w, m, 0),
        "F_in": words(last.F_in, "N"),
        "F_out": words(last.F_out, "N"),
    }


def part_rows(w: Whole, m: DriveMotion, grip: int) -> list[dict[str, str]]:
    """Loads of pins, chains and drive pins at a grip's strength case, weakest part first."""
    name = w.detail.space.shelf.demand.positions[m.grips[grip].position].name
    rows: dict[str, list[Mapping[str, Json]]] = {}
    for c in rows_of(w.facts["checks"]):
        rows.setdefault(str(c["key"]), []).append(c)
    out = []
    for key, found in rows.items():
        lead = next((c for c in found if c["load_unit"] == "N"), found[0])
        weak = min(found, key=lambda c: _float(c["margin_MS"], 1e9))
        load = next((a["load"] for a in rows_of(lead["at"]) if a["position"] == name), None)
        told = words(_float(load), str(lead["load_unit"])) if load is not None else "–"
        out.append((_float(weak["margin_MS"], 1e9), key, str(lead["part"]), told, f"{weak['way']}: {margin(weak['margin_MS']).replace(' x ', ' × ')}"))
    return [{"key": k, "part": p, "load": t, "margin": mg} for _, k, p, t, mg in sorted(out)]


def _stills(g: Gathered, m: DriveMotion) -> list[Still]:
    """Open, first touch, last touch, peak, of the first grip."""
    if not m.grips:
        return []
    w, grip = g.whole[m.name], m.grips[0]
    touch, contact = grip.stops[grip.first_touch], grip.stops[grip.contact]
    peak = grip.stops[-1]
    frames = [
        ("open", m.open_shape, 0.0),
        (f"{grip.name}: first touch", touch.shape, 0.0),
        (f"{grip.name}: last touch", contact.shape, 0.0),
        (f"{grip.name}: {words(peak.F_in, 'N')} at the wrist", peak.shape, 1.0),
    ]
    f = fd.frame_of(g.study.brief, m.pieces)
    out = []
    for told, shape, share in frames:
        sheet = svg.sheet(f.size[0] * SPLIT, f.size[1] * SPLIT, f"{m.name}, {told}", "still")
        view = fd.plan(sheet, f, 0.0, 0.0, SPLIT)
        fd.ground(view, g.study.brief, f, plan_view=True)
        fd.pieces_in(view, m.pieces, shape, drawn_at(w, m, share, grip.position) if share else {}, plan_view=True)
        out.append(Still(told, sheet))
    return out


def _marks(g: Gathered) -> list[tuple[str, str, str]]:
    d = g.shelf.demand
    shock = d.pull_peak * g.study.brief.strength.overload
    return [
        ("often", "dotted", words(d.pull_often, "N")),
        ("comfortable", "dashed", words(d.pull_comfortable, "N")),
        ("peak", "full", words(d.pull_peak, "N")),
        ("peak with shock", "thick", words(shock, "N")),
    ]


def _ladder(g: Gathered, w: Whole) -> dict[str, Any]:
    found = tables.ladder(g, w)
    d = g.shelf.demand
    shock = d.pull_peak * g.study.brief.strength.overload
    marks = [("often", d.pull_often), ("comfortable", d.pull_comfortable), ("peak", d.pull_peak), ("shock", shock)]
    return {
        "name": w.entry.name,
        "old": w.entry.kind == "build",
        "sentence": found.sentence,
        "wrist": list(zip(found.wrist, figures_lines.rung_bars(found.wrist, marks), strict=True)),
        "hook": found.hook,
        "carries": rows_of(w.facts["carries"]),
    }


def _old(g: Gathered, w: Whole) -> dict[str, Any]:
    m = motion_of(w)
    broken = [str(r["limit"]) for r in _miss(g, w.entry)["limits"]]
    figure = fd.two_views(g.study.brief, m.pieces, 0, {}, f"{w.entry.name}, hand open", SPLIT, hatched=True, names=False)
    return {
        "name": w.entry.name,
        "short": w.entry.short,
        "kind": words_of(w.entry.architecture),
        "note": w.facts["note"],
        "years": w.facts["kept_years"],
        "fate": story.old_fate(g, w),
        "back": tables.back_figured(g, w),
        "aims": [(s.head, aim_value(g, w.entry, s.rule)) for s in scales(g)],
        "limits": _miss(g, w.entry)["limits"],
        "broken": broken,
        "figure": figure,
        "guessed": list_of(w.facts["guessed"]["drive"]) if isinstance(w.facts["guessed"], dict) else [],
    }


def _effort(g: Gathered) -> list[tuple[str, str]]:
    r = g.result
    out = [
        ("drives looked at", story.many(r.looked_at)),
        ("rounds", str(r.rounds)),
        ("time on the clock", _time(r.seconds)),
        ("workers", str(r.workers)),
        ("fitted", story.many(sum(row.fits for row in r.ledger))),
        ("kept", str(len(g.keepers))),
        ("drives that could not be scored (faults of ours)", str(r.faults)),
    ]
    if r.progress:
        out.append(("last newcomer among the keepers", f"{_time(r.progress[-1].last_new)} before the end"))
    return out


def _agreement(g: Gathered) -> list[tuple[str, list[str]]]:
    unit = {s.rule.name: s.rule.unit for s in scales(g)}
    return [
        (str(a.seed), [words(a.best.get(name), u, g.study.currency) for name, u in unit.items()])
        for a in g.result.agreement
    ]


def _leans(g: Gathered) -> list[tuple[str, str]]:
    """How far the exact linkage pulls otherwise, a drive."""
    out = []
    for name, w in g.whole.items():
        exact = w.facts["exact"]
        if isinstance(exact, dict) and w.entry.kind != "miss":
            moved = exact["largest_grip_difference_share"]
            told = "cannot be solved" if not exact["solved"] else f"{number(100 * abs(_float(moved, 0.0)), 1)} %"
            out.append((name, told + (", check leans" if exact["check_leans"] else "")))
    return out


def _cautions(g: Gathered) -> list[str]:
    """Cautions of the drives that the page works out, each once."""
    told: dict[str, list[str]] = {}
    for name, w in g.whole.items():
        for c in list_of(w.facts["cautions"]):
            if w.entry.kind != "miss":
                told.setdefault(c, []).append(name)
    every = sum(w.entry.kind != "miss" for w in g.whole.values())
    return [c if len(who) == every else f"{', '.join(who)}: {c}" for c, who in told.items()]


def _float(value: Json, otherwise: float = float("nan")) -> float:
    return float(value) if isinstance(value, (int, float)) else otherwise
