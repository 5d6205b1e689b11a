"""From vectors to whole drives: variables of an architecture, decoding, laying out, collecting.

An architecture is a first stage and a second stage, "linked_lever+bar"; a design space is an architecture
on one brief with one grouping of the fingers.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from types import ModuleType
from typing import cast

import numpy as np

from explorer.drives import bar, chain, chain_differential, chain_winder, linked_lever
from explorer.drives.family import FirstStage, Hung, SecondStage, place_of
from explorer.drives.joints import Attachment, Loads, Play
from explorer.drives.layout import Carrier, Drive, groups
from explorer.drives.motion import Motion, drawn, move
from explorer.drives.pieces import Limit, Pair, Piece
from explorer.drives.pulls import Pulls
from explorer.drives.shelf import Shelf
from explorer.drives.variables import Batch, Off, Variable, choice, decode
from explorer.mechanics.types import Floats

FIRST: dict[str, ModuleType] = {
    "linked_lever": linked_lever,
    "chain_winder": chain_winder,
    "chain_differential": chain_differential,
}
SECOND: dict[str, ModuleType] = {"chain": chain, "bar": bar}
TAGS = {
    "linked_lever": "L",
    "chain_winder": "W",
    "chain_differential": "D",
    "chain": "C",
    "bar": "B",
}
ARCHITECTURES = tuple(f"{a}+{b}" for a in FIRST for b in SECOND)


def tag(architecture: str) -> str:
    """Two letters of an architecture, as in "WC"."""
    a, b = architecture.split("+")
    return TAGS[a] + TAGS[b]


def _of(hold: Attachment, drive: Drive, k: int) -> Attachment:
    """What holds carrier k: of two carriers each has its own, and a part is told by its name."""
    return hold if len(drive.carriers) == 1 else replace(hold, name=f"{hold.name} {'ab'[k]}")


@dataclass(frozen=True)
class Space:
    """One architecture on one brief and stock; `single` is used by three-finger hands only."""

    shelf: Shelf
    architecture: str
    single: str = "index side"

    @property
    def first(self) -> FirstStage:
        """First-stage module."""
        return cast("FirstStage", FIRST[self.architecture.split("+")[0]])

    @property
    def second(self) -> SecondStage:
        """Second-stage module."""
        return cast("SecondStage", SECOND[self.architecture.split("+")[1]])

    @cached_property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Fingers of each carrier."""
        return groups(len(self.shelf.demand.fingers), self.single)

    @cached_property
    def pairs(self) -> tuple[int, ...]:
        """Carriers that are pairs."""
        return tuple(k for k, g in enumerate(self.groups) if len(g) > 1)

    @cached_property
    def variables(self) -> tuple[Variable, ...]:
        """All variables in the order of the vector."""
        common = (
            choice("plate", "sheet of levers, bars and forks", self.shelf.plates.names, "plates"),
            choice(
                "link_plate", "sheet of links and chain ends", self.shelf.plates.names, "plates"
            ),
            choice("doubled", "levers and bars", ("single", "doubled")),
            choice("bushed", "pin joints", ("bare", "bushed")),
        )
        return (
            common
            + self.first.variables(self.shelf, len(self.groups))
            + self.second.variables(self.shelf, len(self.pairs))
        )

    def build(self, X: Floats) -> Drive:
        """Drives of the vectors X (N,V)."""
        cols = Batch({k: v[:, None] for k, v in decode(self.variables, X).items()})
        demand = self.shelf.demand
        one = np.ones((np.asarray(X).shape[0], 1))
        hung: list[Hung | None] = []
        y: list[Floats] = []
        for k, g in enumerate(self.groups):
            if k in self.pairs:
                place = place_of(self.pairs.index(k), len(self.pairs))
                h = self.second.hang(self.shelf, cols, (g[0], g[1]), place)
                hung.append(h)
                y.append(h.y)
            else:
                hung.append(None)
                y.append(one * demand.pin_y[g[0]])
        built = self.first.build(self.shelf, cols, tuple(y))
        carriers = tuple(
            Carrier(g, None, L, (), yk) if h is None else Carrier(g, h.body, L, h.L_out, yk)
            for g, h, L, yk in zip(self.groups, hung, built.L_in, y, strict=True)
        )
        return Drive(
            self.architecture,
            one.shape[0],
            cols,
            built.ratio,
            built.first,
            carriers,
            built.L_exit,
            built.y_first,
            built.y_ratio,
            self.shelf.z,
        )

    def move(self, drive: Drive, *, skeleton: bool = False) -> Motion:
        """Motion in every position of the brief."""
        return move(drive, self.shelf.demand.draw, self.shelf.demand.pin_x, skeleton=skeleton)

    def _attachment(self, drive: Drive) -> Attachment:
        """What holds the carriers."""
        return self.first.attachment(self.shelf, drive.columns)

    def loads(self, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
        """What every part carries under these pulls."""
        out = self.first.loads(self.shelf, drive, motion, pulls)
        hold = self._attachment(drive)
        for k in self.pairs:
            out = out + self.second.loads(self.shelf, drive, motion, pulls, k, _of(hold, drive, k))
        return out

    def pieces(self, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
        """Every piece."""
        out = self.first.pieces(self.shelf, drive, motion)
        hold = self._attachment(drive)
        for k in self.pairs:
            out = out + self.second.pieces(self.shelf, drive, motion, k, hold)
        return out

    def limits(self, drive: Drive, motion: Motion) -> tuple[Limit, ...]:
        """Limits of the stages."""
        out = self.first.limits(self.shelf, drive, motion)
        for k in self.pairs:
            out = out + self.second.limits(self.shelf, drive, motion, k)
        return out


def trimmed(space: Space, X: Floats) -> Floats:
    """The vectors X (N,V) with every size that others leave a window moved into it."""
    Y = X.copy()
    cols = Batch({k: v[:, None] for k, v in decode(space.variables, X).items()})
    at = {v.key: j for j, v in enumerate(space.variables)}
    pairs = tuple((g[0], g[1]) for g in space.groups if len(g) > 1)
    own = space.first.trimmed(space.shelf, cols), space.second.trimmed(space.shelf, cols, pairs)
    for key, size in (own[0] | own[1]).items():
        Y[:, at[key]] = size[:, 0]
    drive, draw = space.build(Y), space.shelf.demand.draw
    draw = draw[[p.must for p in space.shelf.demand.positions]]
    most = tuple(
        drawn(c.body, draw[None, :, c.fingers[0]], draw[None, :, c.fingers[-1]])
        for c in drive.carriers
    )
    for key, size in space.first.strung(space.shelf, drive, most).items():
        Y[:, at[key]] = size[:, 0]
    return Y


def clear_pairs(space: Space, drive: Drive) -> tuple[Pair, ...]:
    """Pieces that must stay apart."""
    out = space.first.pairs(drive)
    for k in space.pairs:
        out += space.second.pairs(drive, k)
    return out


def plays(space: Space, drive: Drive, motion: Motion) -> tuple[Play, ...]:
    """Clearances of all joints at the input drawbar."""
    out = space.first.play(space.shelf, drive, motion)
    for k in space.pairs:
        out += space.second.play(space.shelf, drive, motion, k)
    return out


def neighbour_travel(space: Space, drive: Drive) -> Floats:
    """Neighbour travel: least over the pairs, as a share of the full draw (N,)."""
    out = np.ones(drive.n)
    full = space.shelf.demand.full_draw
    for k in space.pairs:
        a, b = space.groups[k]
        reach = space.second.neighbour_travel(space.shelf, drive, k)[:, 0]
        out = np.minimum(out, np.minimum(reach / max(float(full[a]), float(full[b])), 1.0))
    return out


Factors = tuple[tuple[int, Floats], ...]


Taken = tuple[float, int, int, Floats]


def counted(space: Space) -> dict[int, tuple[Factors, tuple[Taken, ...]]]:
    """Of each column that goes with others: those, and by their value what it is multiplied with; what is taken off.

    Teeth and links go with the size of their chain or gear, so that the product is a length.  Taken off is a share
    of another such column's product, -1 for none, times the size of a choice by its value, -1 for none.
    """
    at = {v.key: j for j, v in enumerate(space.variables)}

    def sizes(key: str) -> Floats:
        return _sizes(space, space.variables[at[key]]) if key else np.ones(1)

    def there(off: Off) -> bool:
        return all(not k or k in at for k in (off.of, off.by))

    return {
        j: (
            tuple((at[k], sizes(k) ** e) for k, e in v.goes_with),
            tuple(
                (o.share, at.get(o.of, -1), at.get(o.by, -1), sizes(o.by))
                for o in v.off
                if there(o)
            ),
        )
        for j, v in enumerate(space.variables)
        if v.goes_with or v.off
    }


def _sizes(space: Space, v: Variable) -> Floats:
    """Size by value of a whole column or a choice from stock: a whole number itself; pitch, module or diameter, mm; of two sides -1, 1."""
    if v.kind == "whole":  # 0 is never one of its values, and must not be divided by
        return np.asarray(np.maximum(np.arange(v.high + 1.0), 1.0))
    if not v.stock:
        return np.array([-1.0, 1.0])
    s = space.shelf
    return {"chains": s.chains.pitch, "gears": s.gears.module, "pins": s.pins.d}[v.stock]
