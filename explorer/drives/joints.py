"""What a drive's parts carry: one record a joint, eye, section, chain, shaft, tooth.

Families list these records; `explorer.drives.checks` turns them into margins.  Loads and moments are
(N,P) for the pulls they were made from and are proportional to those pulls; sizes are (N,1).
`part` names what lets go, in the words of the parts list; `leaves` says what is left in the hand then.
`metal` is the line of the shelf's endurance columns (`explorer.drives.endurance`), of a joint its pin's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from explorer.mechanics.types import Floats

Leaves = Literal["nothing", "two fingers", "the other fingers", "all but this finger"]


@dataclass(frozen=True)
class PinJoint:
    """A pin in double shear: two outer plates of t_fork, a middle of t_mid, a gap on each side.

    `d_mid` and `d_fork` are the bearing diameters (a bush's outside where bushed); `swing` (N,P) is how
    far the turning part turns from open, rad; it wears `wear_k` over `wear_t`.  planes 2, or 1 (then
    t_fork is the other plate and the bending is that of a single shear pin, loose).  `ringed`: held
    by rings in grooves, where the stock has them for its size.
    """

    key: str
    part: str
    leaves: Leaves
    load: Floats
    swing: Floats
    d: Floats
    t_fork: Floats
    gap: Floats
    t_mid: Floats
    sy_pin: Floats
    sy_fork: Floats
    sy_mid: Floats
    d_mid: Floats
    d_fork: Floats
    wear_k: Floats
    wear_t: Floats
    metal: Floats
    ringed: bool = True


@dataclass(frozen=True)
class Eye:
    """The end of a plate round a hole: width w, hole d, edge distance, total thickness t."""

    key: str
    part: str
    leaves: Leaves
    load: Floats
    w: Floats
    d: Floats
    edge: Floats
    t: Floats
    sy: Floats
    metal: Floats


@dataclass(frozen=True)
class Flexure:
    """A lever's section at a hole: moment (N,P), width w, hole d, total thickness t."""

    key: str
    part: str
    leaves: Leaves
    moment: Floats
    w: Floats
    d: Floats
    t: Floats
    sy: Floats
    metal: Floats


@dataclass(frozen=True)
class ChainRun:
    """A chain under load (along its lean); tensile is the least breaking load, offset link included.

    `swing` the articulation at the wheel over the move, rad; `pitch`, `pin`, `inner` for wear.
    """

    key: str
    part: str
    leaves: Leaves
    load: Floats
    tensile: Floats
    swing: Floats
    pitch: Floats
    bearing_t: Floats


@dataclass(frozen=True)
class PinCircle:
    """Drive pins on a circle: torque (N,P), n pins on radius r, single shear between t1 and t2."""

    key: str
    part: str
    leaves: Leaves
    torque: Floats
    n: Floats
    share: Floats
    r: Floats
    d: Floats
    t1: Floats
    t2: Floats
    clamped: Floats
    sy_pin: Floats
    sy_1: Floats
    sy_2: Floats
    metal: Floats
    metal_1: Floats
    metal_2: Floats


@dataclass(frozen=True)
class ShaftSection:
    """A shaft section: bending moment and torque (N,P)."""

    key: str
    part: str
    leaves: Leaves
    moment: Floats
    torque: Floats
    d: Floats
    sy: Floats
    metal: Floats


@dataclass(frozen=True)
class Tooth:
    """A gear tooth: tangential force (N,P), face, module, teeth."""

    key: str
    part: str
    leaves: Leaves
    force: Floats
    face: Floats
    module: Floats
    teeth: Floats
    sy: Floats
    metal: Floats


@dataclass(frozen=True)
class BodyBore:
    """A one-piece winder's body at the bore: torque (N,P) through a ring of outside D, bore d, length t."""

    key: str
    part: str
    leaves: Leaves
    torque: Floats
    outside: Floats
    bore: Floats
    sy: Floats
    metal: Floats


@dataclass(frozen=True)
class Strut:
    """A pushed rod: load (N,P), length, diameter, E and Sy (N,1)."""

    key: str
    part: str
    leaves: Leaves
    load: Floats
    length: Floats
    d: Floats
    modulus: Floats
    sy: Floats


@dataclass(frozen=True)
class Play:
    """A joint's clearance or slack as seen at the input drawbar, mm (N,1)."""

    key: str
    at_input: Floats


Joint = (
    PinJoint | Eye | Flexure | ChainRun | PinCircle | ShaftSection | Tooth | BodyBore | Strut
)  # any record of `Loads`


@dataclass(frozen=True)
class Loads:
    """Everything a drive's parts carry under one set of pulls."""

    pins: tuple[PinJoint, ...] = ()
    eyes: tuple[Eye, ...] = ()
    flexures: tuple[Flexure, ...] = ()
    chains: tuple[ChainRun, ...] = ()
    circles: tuple[PinCircle, ...] = ()
    shafts: tuple[ShaftSection, ...] = ()
    teeth: tuple[Tooth, ...] = ()
    bores: tuple[BodyBore, ...] = ()
    struts: tuple[Strut, ...] = ()

    def __add__(self, other: Loads) -> Loads:
        """Both lists, one after the other."""
        return Loads(
            self.pins + other.pins,
            self.eyes + other.eyes,
            self.flexures + other.flexures,
            self.chains + other.chains,
            self.circles + other.circles,
            self.shafts + other.shafts,
            self.teeth + other.teeth,
            self.bores + other.bores,
            self.struts + other.struts,
        )


@dataclass(frozen=True)
class Attachment:
    """The end of the wrist-side member at a carrier's centre pin: plate(s) of thickness t (N,1).

    One plate in the middle of a doubled or forked body, two outside a single plate.  `w` width of the
    member's eye, `name` its words.
    """

    name: str
    t: Floats
    sy: Floats
    w: Floats
    edge: Floats
    metal: Floats
