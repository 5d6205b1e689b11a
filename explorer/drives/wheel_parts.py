"""Where a floating wheel's set is, the pieces it is made of, and its limits.

Shared by the first wheel of a chain winder and the carriers of a chain second stage.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import make, wheels
from explorer.drives.bodies import Bar
from explorer.drives.joints import Eye, Leaves
from explorer.drives.layout import Carrier
from explorer.drives.pieces import Hole, Limit, Piece, Stage
from explorer.drives.shelf import STEEL, Shelf, take
from explorer.drives.variables import Columns
from explorer.drives.wheel_loads import Name
from explorer.drives.wheels import Floating
from explorer.mechanics import outline
from explorer.mechanics.guard import clip_sine
from explorer.mechanics.outline import Sector, Stadium
from explorer.mechanics.settle import lean_cos
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Place:
    """Where a set is in every position (N,P): axle, sine of the pulling link's lean, turn, plane z."""

    x: Floats
    y: Floats
    sine: Floats  # + toward +x of the axle against the link's wrist end
    turn: Floats
    z: float

    def behind(self, distance: Floats) -> tuple[Floats, Floats]:
        """The point `distance` along the pulling link from the axle, wrist side (N,P)."""
        s = clip_sine(self.sine)
        return self.x - distance * s, self.y - distance * lean_cos(s)


@dataclass(frozen=True)
class Room:
    """An outline with its z interval."""

    shape: Sector | Stadium
    z0: Floats
    z1: Floats


def rooms(f: Floating, place: Place) -> tuple[Room, Room]:
    """A whole wheel with its chain, and its fork."""
    side, half = f.inside / 2.0, f.inside / 2.0 + f.t
    px, py = place.behind(f.length)
    return (
        Room(outline.disc(place.x, place.y, f.outer), place.z - side, place.z + side),
        Room(Stadium(place.x, place.y, px, py, f.fork_w / 2.0), place.z - half, place.z + half),
    )


def disc_mass(face: Sector, f: Floating) -> Floats:
    """Mass of a wheel, g (N,1)."""
    area = make.first_column(outline.area(face)) - np.pi / 4.0 * f.hole * f.hole
    return area * f.width * STEEL


def wheel_shape(f: Floating, place: Place, half: Floats, r: Floats, web: float) -> Sector:
    """Outline of a wheel or of its wrist-side sector; half angle pi for a whole wheel."""
    return Sector(place.x, place.y, f.hole / 2.0 + web, r, place.turn - np.pi / 2.0, half)


def bore_fit(bushed: Floats) -> str:
    """Fit of a wheel's bore in words; a batch of unlike drives has no single word and gets "running"."""
    return "bush" if np.all(bushed > 0.0) else "running"


def wheel_piece(shelf: Shelf, f: Floating, name: Name, place: Place, half: Floats) -> Piece:
    """The wheel with its chain on it; bought and bored, or cut to a sector."""
    minutes, one = shelf.brief.shop.minutes, np.ones_like(f.p)
    whole = half >= np.pi
    shape = wheel_shape(f, place, half, f.outer, shelf.brief.shop.min_web)
    face = wheel_shape(f, place, half, f.tip, shelf.brief.shop.min_web)
    side = take(shelf.chains.width, f.chain) / 2.0
    return Piece(
        f"{name.body} wheel",
        name.words,
        "wheel",
        "settling",
        name.stage,
        name.body,
        (name.body,),
        shape,
        place.z - side,
        place.z + side,
        one,
        disc_mass(face, f),
        np.where(whole, minutes["wheel_bored"], minutes["wheel_sector"]),
        take(shelf.chains.idler_price, f.chain),
        (f.chain, f.teeth, f.hole, np.minimum(half, np.pi) * one),
        thickness=f.width,
        holes=(Hole(0.0 * one, 0.0 * one, f.hole, bore_fit(f.axle_bushed)),),
        face=face,
        stock="chains",
        stock_index=f.chain,
    )


def fork_pieces(
    shelf: Shelf, f: Floating, name: Name, place: Place, joined: str
) -> tuple[Piece, ...]:
    """Two fork plates with axle, fork pin, and the spacers that keep the wheel in the middle."""
    px, py = place.behind(f.length)
    half = f.inside / 2.0
    z0, z1 = place.z - half - f.t, place.z + half + f.t
    zero = np.zeros_like(f.p)
    plates = make.plate_piece(
        shelf,
        f"{name.body} fork",
        f"fork plate of the {name.words}",
        "plate",
        "settling",
        name.stage,
        f"{name.body} fork",
        (name.body, joined),
        Stadium(place.x, place.y, px, py, f.fork_w / 2.0),
        z0,
        z1,
        2.0 + zero,
        f.plate,
        (Hole(zero, zero, f.d_axle, "press"), Hole(f.length, zero, f.d_pin, "press")),
    )
    axle = make.pin_set(
        shelf,
        f"{name.body} axle",
        f"axle of the {name.words}",
        name.stage,
        f"{name.body} fork",
        (name.body,),
        place.x,
        place.y,
        z0,
        z1,
        shelf.pins,
        f.axle,
        bushes=f.axle_bushed,
        bush_length=f.width,
        washers=0.0,
    )
    pin = make.pin_set(
        shelf,
        f"{name.body} fork pin",
        f"fork pin of the {name.words}",
        name.stage,
        f"{name.body} fork",
        (joined,),
        px,
        py,
        z0,
        z1,
        shelf.pins,
        f.pin,
        bushes=f.pin_bushed * f.n_end,
        bush_length=f.t_end,
        washers=0.0,
    )
    return (plates, *axle, *pin, _spacers(shelf, f, name, place))


def _spacers(shelf: Shelf, f: Floating, name: Name, place: Place) -> Piece:
    """Two tubes on the axle between wheel and fork plates, their wall the least that the shop leaves."""
    length = (f.inside - f.width) / 2.0
    outside = f.d_axle + 2.0 * shelf.brief.shop.min_web
    tube = np.pi / 4.0 * (outside * outside - f.d_axle * f.d_axle)
    half, zero = f.inside / 2.0, np.zeros_like(f.p)
    return Piece(
        f"{name.body} spacers",
        f"spacer beside the {name.words}",
        "spacer",
        "settling",
        name.stage,
        f"{name.body} fork",
        (name.body,),
        outline.disc(place.x, place.y, outside / 2.0),
        place.z - half,
        place.z + half,
        2.0 + zero,
        tube * length * STEEL,
        zero,
        zero,
        (f.d_axle, length),
        stock="spacers",
    )


def end_eye(
    shelf: Shelf,
    key: str,
    part: str,
    leaves: Leaves,
    T: Floats,
    w: Floats,
    chain: Floats,
    plate: Floats,
    n: Floats,
) -> Eye:
    """An end piece at the chain's own pin; T (N,P) strand force."""
    d = take(shelf.chains.pin, chain)
    w = np.maximum(w, wheels.EYE_GUARD * d)
    return Eye(
        key=key,
        part=part,
        leaves=leaves,
        load=T,
        w=w,
        d=d,
        edge=w / 2.0,
        t=n * take(shelf.plates.t, plate),
        sy=take(shelf.plates.yield_, plate),
        metal=plate,
    )


def end_fit(carrier: Carrier, n: Floats) -> str:
    """Fit of an end piece at its carrier: two plates outside a single bar hold the pin, else it turns."""
    return "press" if isinstance(carrier.body, Bar) and np.all(n > 1.0) else "running"


def inside_end(shelf: Shelf, cols: Columns, carrier: Carrier) -> Floats | None:
    """Thickness of a carrier's own plate between the end pieces that hold it: of a bar's (N,1), mm."""
    return take(shelf.plates.t, cols["plate"]) if isinstance(carrier.body, Bar) else None


def end_piece(
    shelf: Shelf,
    key: str,
    words: str,
    stage: Stage,
    body: str,
    joined: tuple[str, ...],
    ends: tuple[Floats, Floats, Floats, Floats],
    w: Floats,
    z: float,
    plate: Floats,
    n: Floats,
    holes: tuple[Floats, Floats],
    fit: str = "running",
    between: Floats | None = None,
) -> Piece:
    """End plate(s) of a chain from the drawbar pin (x, y) toward (x2, y2); one in the middle or two.

    `ends`: pin x, y and the chain's last pin x2, y2 (N,P); `holes` at both, mm (N,1); `fit` at the pin;
    `between`: the single plate outside which two lie, mm (N,1).  Two in a fork lie side by side and are
    given the room of one more between them.
    """
    x, y, x2, y2 = ends
    t = take(shelf.plates.t, plate)
    apart = (t if between is None else between) / 2.0 + shelf.brief.shop.gap
    half = np.where(n > 1.0, apart + t, t / 2.0)
    dx, dy = (make.first_column(b) - make.first_column(a) for a, b in ((x, x2), (y, y2)))
    span = np.sqrt(dx * dx + dy * dy)
    zero = np.zeros_like(t)
    return make.plate_piece(
        shelf,
        key,
        words,
        "end piece",
        "sliding",
        stage,
        body,
        joined,
        Stadium(x, y, x2, y2, w / 2.0),
        z - half,
        z + half,
        n,
        plate,
        (Hole(zero, zero, holes[0], fit), Hole(span, zero, holes[1], "running")),
    )


def other_strand(chain: Piece, shape: Stadium) -> Piece:
    """The little-side strand of a chain over a wheel; the chain itself stands for the index side's."""
    return make.other_outline(chain, f"{chain.key} other strand", "other strand", shape)


def toward(x: Floats, y: Floats, x2: Floats, y2: Floats, length: Floats) -> tuple[Floats, Floats]:
    """The point `length` from (x, y) on the way to (x2, y2); (N,P) each."""
    dx, dy = x2 - x, y2 - y
    share = length / np.maximum(np.sqrt(dx * dx + dy * dy), 1e-9)
    return x + dx * share, y + dy * share


def strand_spare(f: Floating, apart: Floats) -> Floats:
    """Free chain at rest beyond what keeps its last pins off the teeth where the draws are `apart`, mm (N,P)."""
    return np.asarray(f.free - f.tangency - apart / 2.0)


def limits(shelf: Shelf, f: Floating, apart: Floats) -> tuple[Limit, ...]:
    """Limits of one set; `apart` (N,) the largest |s_a - s_b| over the must positions, mm.

    The chain's last pin stays clear of the teeth: free chain at rest >= apart/2 + tangency.  The stock's
    `connector` (last chain pin to drawbar pin) is the half of a connector that faces the wheel.
    """
    shop, lim = shelf.brief.shop, shelf.brief.limits
    hot, pin = shop.hole_over_thickness, take(shelf.chains.pin, f.chain)
    holes = (
        np.minimum(f.d_axle, f.d_pin) - np.maximum(hot * f.t, shop.smallest_drill),
        np.minimum(f.pin_hole, pin) - np.maximum(hot * f.t_end, shop.smallest_drill),
    )
    webs = (f.root - f.hole / 2.0 - shop.min_web, (f.end_w - f.pin_hole) / 2.0 - shop.min_web)
    stack = f.inside - f.n_end * f.t_end - 2.0 * shop.gap
    in_link = np.where(f.n_end > 1.0, stack, take(shelf.chains.inner, f.chain) - f.t_end)
    return (
        Limit("teeth", (f.teeth - lim.min_wheel_teeth)[:, 0], 1.0),
        Limit("strand", strand_spare(f, apart[:, None])[:, 0], 2.0),
        Limit("parity", wheels.parity_slack(shelf, f.chain, f.links), 1.0),
        Limit("web", np.minimum(*webs)[:, 0], 0.5),
        Limit("edge", (f.end_w / 2.0 - shop.edge_over_thickness * f.t_end)[:, 0], 0.5),
        Limit("hole", np.minimum(*holes)[:, 0], 0.3),
        Limit("turned", (shop.largest_turned - 2.0 * f.tip)[:, 0], 5.0),
        Limit("pin_size", np.minimum(stack, in_link)[:, 0], 0.5),
    )
