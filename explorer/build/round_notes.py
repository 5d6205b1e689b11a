"""What the drawing of a turned or toothed part says beside its views: its lengths, teeth and re-work."""

from __future__ import annotations

from math import degrees, pi, sin

import numpy as np

from explorer.build.cut import at_rest
from explorer.build.round import Length, Round, tooth_form
from explorer.build.sizes import mm
from explorer.drives.pieces import Piece
from explorer.mechanics import tooth
from explorer.scoring.score import Detail

_CLAMPED = {  # key of a part -> keys of the screws that hold it to its neighbour
    "chain wheel a": ("clamp screws", "clamp screws a"),
    "chain wheel b": ("clamp screws b",),
    "side gear a": ("clamp screws a",),
    "side gear b": ("clamp screws b",),
    "input wheel": ("clamp screws", "cage clamp screws"),
}


def round_notes(d: Detail, p: Piece, part: Round) -> tuple[str, ...]:
    """One line a length, then how it is made, and what goes with it."""
    lines = [_line(d, p, n, q) for n, q in enumerate(part.lengths, start=1)]
    for q in dict.fromkeys(_alike(q) for q in part.lengths if q.teeth):
        lines += _teeth(d, p, q)
    lines.append(_made(d, p))
    if len(part.bores) > 1:
        lines.append("Pin holes: drill and ream together with the part they join, marked as a pair")
    return (*lines, *_screws(d, p, part))


def _alike(q: Length) -> Length:
    """One tooth form, whatever its length."""
    return Length(q.what, 0.0, q.r, q.teeth, q.pitch)


def _line(d: Detail, p: Piece, n: int, q: Length) -> str:
    """A length of the side view."""
    if q.teeth:
        return f"{n}  {q.teeth} teeth, tips Ø {mm(2.0 * q.r)}, {mm(q.length)} wide"
    if p.what == "gear":
        module, teeth = float(d.space.shelf.gears.module[int(at_rest(p.number[0]))]), p.number[1]
        tips = f"tips Ø {mm(2.0 * (q.r + module))}, {mm(q.length)} wide"
        return f"{n}  {round(at_rest(teeth))} teeth, module {mm(module)}, pitch circle Ø {mm(2.0 * q.r)} drawn, {tips}"
    word = "drum" if q.what == "track" else q.what
    return f"{n}  {word} Ø {mm(2.0 * q.r)}, {mm(q.length)} long"


def _teeth(d: Detail, p: Piece, q: Length) -> list[str]:
    """The tooth form in the words of the standard."""
    f, roller = tooth_form(q.pitch, q.teeth), float(tooth.usual_roller(np.array(q.pitch)))
    known = any(abs(q.pitch - pitch) < 0.01 for pitch, _ in tooth.ROLLERS)
    source = "ISO 606, from memory" if known else "assumed"
    circles = zip(("pitch circle", "roots", "tips"), (f.R, f.root, f.tip), strict=True)
    radii = zip(("seat", "flank"), (f.seat, f.flank), strict=True)
    return [
        f"{q.teeth} teeth for {_chain(d, p, q)}, pitch {mm(q.pitch)}, rollers Ø {mm(roller)}",
        "   " + ", ".join(f"{word} Ø {2.0 * float(r):.3f}" for word, r in circles),
        "   " + ", ".join(f"{word} R {float(r):.3f}" for word, r in radii)
        + f", seating angle {degrees(2.0 * float(f.half)):.2f}°",
        f"   Roller size: {source}. Measure your chain before the teeth are cut",
    ]  # fmt: skip


def _chain(d: Detail, p: Piece, q: Length) -> str:
    """Name of the chain that these teeth are for."""
    chains = d.space.shelf.chains
    own = [int(at_rest(c)) for c in p.number[: 2 if p.what == "drum" else 1]]
    return next((chains.names[i] for i in own if float(chains.pitch[i]) == q.pitch), "the chain")


def _made(d: Detail, p: Piece) -> str:
    """Bought and re-worked, or made."""
    shelf = d.space.shelf
    if p.what == "gear":
        i = int(at_rest(p.number[0]))
        return (
            f"Bought: {shelf.gears.names[i]}. Teeth as bought; re-work: width, bore and pin holes"
        )
    if p.stock == "chains":
        return "Bought chain wheel. Teeth as bought, drawn to show them; re-work: bore, boss and pin holes"
    if any(at_rest(s.teeth) > 0.0 for s in p.sections):
        return "Cut the teeth, or re-work bought wheels of this form; hubs at or under size, chain plates pass them"
    return "Turned, faces square to the bore.  Not drawn: what holds the chain's standing end on the drum"


def _screws(d: Detail, p: Piece, part: Round) -> tuple[str, ...]:
    """Clamp screws share the pins' circle, midway between two pins where the web allows it."""
    asked = _CLAMPED.get(p.key, ())
    rows = [q for q in d.pieces if q.key in asked and at_rest(q.count) > 0.0]
    return tuple(_screw(d, q, part) for q in rows)


def _screw(d: Detail, q: Piece, part: Round) -> str:
    size, pins = at_rest(q.number[0]), part.bores[1:]
    apart = 2.0 * pins[0].at.length * sin(pi / (2.0 * len(pins)))
    web = apart - (size + pins[0].d) / 2.0
    least = d.space.shelf.brief.shop.min_web
    where = "midway between pins" if web >= least else "by hand: there is no room between the pins"
    return f"Not drawn: {round(at_rest(q.count))} clamp screws Ø {mm(size)}, {where}"
