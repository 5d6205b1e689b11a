"""How to put a drive together: one numbered step a kind of joint, fingers first, the frame last."""

from __future__ import annotations

from collections.abc import Sequence

from explorer.build.chains import Chain
from explorer.build.fits import Joint
from explorer.build.parts import Part
from explorer.mechanics.outline import Box
from explorer.scoring.score import Detail

_ORDER = ("second a", "second b", "first")
_LAST = ("frame", "shaft")


def steps_of(
    d: Detail, parts: Sequence[Part], joints: Sequence[Joint], chains: Sequence[Chain]
) -> tuple[str, ...]:
    """The steps; each pin with the side that it enters from."""
    side = entry_side(d)
    out = [
        "Cut, drill under size, ream fixed holes H7, running holes F8; break every edge; press bushes in."
    ]
    marked = [p.number for p in parts if p.handed]
    if marked:
        out.append(
            f"Mark {_row(marked)} with the hand's letter on the face that looks to the back of the hand."
        )
    on = _sets(parts)
    out += [_step(d, j, on, side) for j in sorted(joints, key=lambda j: _rank(d, j))]
    if chains:
        ends = _row(list(dict.fromkeys(e for c in chains for e in c.ends)))
        out.append(
            f"Hang the chains over their wheels and pin their ends{f' {ends}' if ends else ''}."
        )
    slack = "the chains and connectors" if chains else "the connectors"
    out.append(
        f"Hang the drawbars on the fingers, then the input drawbar; set {slack} without slack."
    )
    return tuple(out)


def entry_side(d: Detail) -> str:
    """The side of the cavity with more room above the drawbar plane: there pins go in and come out."""
    box = d.space.shelf.brief.cavity.box
    return "back" if box.z1 - d.drive.z >= d.drive.z - box.z0 else "palm side"


def _step(d: Detail, j: Joint, on: dict[str, list[str]], side: str) -> str:
    """One line of the fits table as a step."""
    across = any(isinstance(p.shape, Box) for p in d.pieces if p.key in j.keys)
    sides = [s for s in (j.fixed, j.running) if s is not None]
    held = list(dict.fromkeys(p for s in sides for p in s.parts))
    through = f" through {_row(held)}" if held else ""
    extra = f", then {_row(on[j.pin])}" if j.pin in on else ""
    where = "along the shaft" if across else f"from the {side}"
    return f"{j.pin}, {j.count}x: {where}{through}{extra}."


def _rank(d: Detail, joint: Joint) -> tuple[int, int]:
    piece = next(p for p in d.pieces if p.key in joint.keys)
    return _ORDER.index(piece.stage), int(piece.body in _LAST)


def _sets(parts: Sequence[Part]) -> dict[str, list[str]]:
    """Rings, washers and bushes of each pin number, by their keys."""
    pins = {key: p.number for p in parts if p.what in ("pin", "shaft") for key in p.keys}
    out: dict[str, list[str]] = {}
    for p in parts:
        if p.what not in ("ring", "washer"):
            continue
        for key in p.keys:
            pin = pins.get(key.removesuffix(f" {p.what}s"))
            if pin is not None and p.number not in out.setdefault(pin, []):
                out[pin].append(p.number)
    return out


def _row(items: Sequence[str]) -> str:
    """a, b and c."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def warnings_of(parts: Sequence[Part], chains: Sequence[Chain], side: str) -> tuple[str, ...]:
    """What is easily made wrong."""
    letter = {"left": "L", "right": "R"}[side]
    handed = [p.number for p in parts if p.handed]
    out: list[str] = []
    if handed:
        out.append(f"Handed, turned over they fit the other hand: {_row(handed)}. Mark {letter}.")
    odd = [c.number for c in chains if c.odd]
    if odd:
        out.append(f"Odd count, needs an offset link: {_row(list(dict.fromkeys(odd)))}.")
    if chains:
        out.append("Closed end of a chain's clip leads in the direction of pull.")
    out.append("Mounting holes of cheeks and brackets are not drawn: place them by your own frame.")
    return tuple(out)
