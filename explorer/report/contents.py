"""The page's content, section by section, as plain values for the template."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element

import explorer
from explorer.report import figures_drive as fd
from explorer.report import (
    figures_hand,
    figures_lines,
    figures_pairs,
    figures_strips,
    story,
    svg,
    tables,
)
from explorer.report.asked import told_whole
from explorer.report.brief_back import brief_parts
from explorer.report.choose import Choice
from explorer.report.drawbars import Bar
from explorer.report.effort import (
    agreement,
    cautions,
    covered,
    effort,
    leans,
    number_of,
    time_words,
)
from explorer.report.gather import MOST_SHOWN, Entry, Gathered, Whole
from explorer.report.motion_data import DriveMotion, motion_of
from explorer.report.scales import AimScale, scales, words
from explorer.report.story import aim_value
from explorer.search.measure import APART, STILL_GROWING
from explorer.show.facts import MODELS, words_of
from explorer.show.layout import margin, rows_of
from explorer.show.layout import words_of as list_of
from explorer.show.plain import Json
from explorer.study.words import not_settled

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
    moved = {name: motion_of(w) for name, w in g.whole.items()}
    motions = {name: m for name, m in moved.items() if told(g, g.whole[name])}
    held = tuple(c.name for c in held_first(g))
    return {
        "g": g,
        "head": _head(g),
        "sentences": story.next_build(g),
        "short": [_short(g, c, moved[c.name]) for c in g.choices],
        "misses": [_miss(g, e, moved[e.name]) for e in g.others if e.name in g.whole],
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
        "rows": list(tables.keeper_rows(g)),
        "old_rows": [tables.row_of(g, e) for e in g.builds],
        "too_many": len(g.keepers) > MOST_SHOWN,
        "held": held,
        "beside": _beside(g, found),
        "motions": motions,
        "stage": _stage(g, motions),
        "stills": {name: _stills(g, motions[name]) for name in _first(g, motions)},
        "ladders": [_ladder(g, g.whole[name]) for name in _first(g, motions)],
        "asked": told_whole(g, _first(g, motions)),
        "marks": _marks(g),
        "olds": [_old(g, g.whole[e.name], moved[e.name]) for e in g.builds],
        "progress": [figures_lines.progress(g.result.progress, w) for w in (WIDE, NARROW)],
        "effort": effort(g),
        "covered": covered(g),
        "not_settled": not_settled(g.result),
        "limits": tuple(f"{100.0 * x:g} %" for x in (STILL_GROWING, APART)),
        "agreement": agreement(g),
        "models": MODELS,
        "leans": leans(g),
        "cautions": cautions(g),
        "csv_name": csv_name,
        "version": explorer.__version__,
    }


def _first(g: Gathered, names: Iterable[str]) -> list[str]:
    """The drive to start with before the others."""
    return sorted(names, key=lambda name: name != g.start)


def told(g: Gathered, w: Whole) -> bool:
    """Whether a drive is shown in motion: a nearest miss only where nothing fits."""
    return w.entry.kind != "miss" or not g.keepers


def held_first(g: Gathered) -> list[Any]:
    """What is held before the reader chooses: the one to start with and two others of the short row."""
    rest = [c for c in g.choices if c.name != g.start]
    return [*(c for c in g.choices if c.name == g.start), *rest][:DEFAULT_HELD]


def _head(g: Gathered) -> list[tuple[str, str]]:
    r, b = g.result, g.study.brief
    seeds = ", ".join(str(s) for s in r.seeds)
    stock = f"; by {r.algorithm}, a stock algorithm" if r.algorithm else ""
    invented = ", invented" if b.invented else ""
    return [
        ("brief", f"{g.study.name}, {b.hash6}; {b.side} hand{invented}"),
        (
            "looked at",
            f"{story.many(r.looked_at)} drives in {time_words(r.seconds)}, {r.rounds} rounds",
        ),
        ("search", f"{story.headline(g)}; asked: {r.asked}; seed {seeds}{stock}"),
        ("guesses", f"{len(g.study.guesses)} values of the brief" if g.study.guesses else "none"),
        ("units", "mm, N, N·m, g, MPa; kg on the hook"),
        ("program", f"evener {explorer.__version__}"),
    ]


def drawn_at(m: DriveMotion, share: float, position: int) -> list[tuple[Bar, float]]:
    """Drawbars with line widths, mm: the thickest is the largest pull of the strength case."""
    pulls = {name: float(v[position]) for name, v in m.pulls}
    top = max(pulls.values(), default=1.0) or 1.0
    return [(b, fd.THICKEST * share * pulls.get(b.pull, 0.0) / top) for b in m.bars]


def _short(g: Gathered, choice: Choice, m: DriveMotion) -> dict[str, Any]:
    name, w = choice.name, g.whole[choice.name]
    told = ", ".join(story.with_word(g, w.entry, s.rule) for s in scales(g))
    figure = fd.two_views(
        g.study.brief, m.pieces, 0, drawn_at(m, 0.0, 0), f"{name}, hand open", SPLIT, names=False
    )
    return {
        "name": name,
        "why": choice.why,
        "kind": words_of(w.entry.architecture),
        "aims": told,
        "figure": figure,
    }


def _miss(g: Gathered, e: Entry, m: DriveMotion) -> dict[str, Any]:
    w = g.whole[e.name]
    figure = fd.two_views(
        g.study.brief,
        m.pieces,
        0,
        drawn_at(m, 0.0, 0),
        f"{e.name}, hand open",
        SPLIT,
        hatched=True,
        names=False,
    )
    limits = [r for r in rows_of(w.facts["limits"]) if not r["fits"]]
    rows = [
        {
            "limit": story.limit_name(str(r["id"])),
            "question": r["question"],
            "short": words(number_of(r["slack"]), str(r["slack_unit"])),
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
        rows.append(
            {
                "head": s.head,
                "cells": [(v, e.name == top) for v, e in zip(values, entries, strict=True)],
            }
        )
    return {"names": names, "rows": rows}


def _stage(g: Gathered, motions: Mapping[str, DriveMotion]) -> dict[str, Any] | None:
    """The drawing that the slider moves: the drive to start with, its first grip, at contact."""
    name = g.start if g.start in motions else next(iter(motions), None)
    if name is None or not motions[name].grips:
        return None
    w, m = g.whole[name], motions[name]
    grip = m.grips[0]
    last = grip.stops[-1]
    pulls = drawn_at(m, last.share, grip.position)
    label = "The picked drive to scale, plan and side view"
    frame = fd.frame_of(g.study.brief, [p for o in motions.values() for p in o.pieces])
    figure = fd.two_views(
        g.study.brief, m.pieces, last.shape, pulls, label, 3.1, group=True, frame=frame
    )
    demand = g.shelf.demand
    strands = [
        (
            demand.fingers[f],
            words(float(w.detail.strength.finger[f][0, grip.position]) * last.share, "N"),
        )
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
        weak = min(found, key=lambda c: number_of(c["margin_MS"], 1e9))
        load = next((a["load"] for a in rows_of(lead["at"]) if a["position"] == name), None)
        told = words(number_of(load), str(lead["load_unit"])) if load is not None else "–"
        out.append(
            (
                number_of(weak["margin_MS"], 1e9),
                key,
                str(lead["part"]),
                told,
                f"{weak['way']}: {margin(weak['margin_MS']).replace(' x ', ' × ')}",
            )
        )
    return [{"key": k, "part": p, "load": t, "margin": mg} for _, k, p, t, mg in sorted(out)]


def _stills(g: Gathered, m: DriveMotion) -> list[Still]:
    """Open, first touch, last touch, peak, of the first grip."""
    if not m.grips:
        return []
    grip = m.grips[0]
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
        fd.pieces_in(view, m.pieces, shape, drawn_at(m, share, grip.position), plan_view=True)
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
    marks = [
        ("often", d.pull_often),
        ("comfortable", d.pull_comfortable),
        ("peak", d.pull_peak),
        ("shock", shock),
    ]
    return {
        "name": w.entry.name,
        "old": w.entry.kind == "build",
        "sentence": found.sentence,
        "wrist": list(zip(found.wrist, figures_lines.rung_bars(found.wrist, marks), strict=True)),
        "hook": found.hook,
        "working": found.working,
        "carries": rows_of(w.facts["carries"]),
    }


def _old(g: Gathered, w: Whole, m: DriveMotion) -> dict[str, Any]:
    near = _miss(g, w.entry, m)
    broken = [str(r["limit"]) for r in near["limits"]]
    return {
        "name": w.entry.name,
        "short": w.entry.short,
        "kind": words_of(w.entry.architecture),
        "note": w.facts["note"],
        "years": w.facts["kept_years"],
        "fate": story.old_fate(g, w),
        "back": tables.back_figured(g, w),
        "aims": [(s.head, aim_value(g, w.entry, s.rule)) for s in scales(g)],
        "limits": near["limits"],
        "broken": broken,
        "figure": near["figure"],
        "guessed": list_of(w.facts["guessed"]["drive"])
        if isinstance(w.facts["guessed"], dict)
        else [],
    }
