"""What the maker wrote, as frozen records in inside units (mm, N, N*mm, MPa, g, rad).

The reader (`explorer.brief.read`) turns files into these records; nothing below the brief ever sees a
file again.  Every record is immutable; tuples keep the order of the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from explorer.brief.hand_records import (
    ASSUMED_JOINT,
    OWN_ORDER,
    Place,
    Selector,
    WristJoint,
)

# "asked": a wish or limit of the maker (an object's width, a limit), which is no fact to be doubted.
Source = Literal["measured", "handbook", "guess", "asked"]
Side = Literal["left", "right"]
GripKind = Literal["powered", "carry"]
FingerDoes = Literal["engaged", "parked_open", "parked_closed", "free"]
When = Literal["must", "report", "off"]
LockPlace = Literal["none", "input drawbar", "carriers"]


@dataclass(frozen=True)
class Provenance:
    """Where one value came from; `path` is its key path in the file, as in `wrist.travel_deg`."""

    path: str
    source: Source
    note: str = ""


@dataclass(frozen=True)
class TorqueAt:
    """Share of the stated wrist torque that is there at a wrist angle (rad from the start of travel)."""

    angle: float
    share: float


@dataclass(frozen=True)
class Wrist:
    """The pull.  Torques in N*mm; `reverses`: the first stage reverses the motion."""

    torque_often: float
    torque_comfortable: float
    torque_peak: float
    travel: float  # rad
    arm: float  # mm
    lost_motion: float  # mm at the drawbar
    reverses: bool
    input_length: float  # mm, length of the input drawbar from the ratio part to its far pin
    input_far_x: float  # mm, x of the far pin
    input_strut: Literal["strut", "led from finger side", "none"]  # how a reversed pull is carried
    input_strut_diameter: float  # mm, rod of the strut (checked in compression)
    torque_at: tuple[TorqueAt, ...] = ()  # empty: the same at every angle


@dataclass(frozen=True)
class Sector:
    """Finger drive by a sector of radius r: s = r (q1 - q1_rest)."""

    radius: float


@dataclass(frozen=True)
class Crank:
    """Finger drive by a crank; `psi` from the normal to the pull at rest (rad)."""

    radius: float
    psi: float


@dataclass(frozen=True)
class Finger:
    """One finger.  The drawbar pin at rest is (knuckle_x + pin_dx, pin_y, pin_z) in the hand frame."""

    name: str
    knuckle_x: float
    knuckle_y: float
    knuckle_z: float
    pin_dx: float
    pin_y: float
    pin_z: float
    L1: float
    L2: float
    pad_distance: float
    pad_thickness: float
    d_min: float
    d_max: float
    coupling: float
    q1_rest: float
    q2_rest: float
    q1_max: float
    drive: Sector | Crank
    spring_T0: float  # N at the drawbar
    spring_k: float  # N/mm at the drawbar
    efficiency: float

    @property
    def pin_x(self) -> float:
        """x of the drawbar pin at rest, mm."""
        return self.knuckle_x + self.pin_dx


@dataclass(frozen=True)
class Post:
    """What an object is pressed against; in the finger's own y-z plane, knuckle at the origin."""

    name: str
    y: float
    z: float
    facing_y: float  # unit vector from the post to the object's centre
    facing_z: float
    cradle: float  # rad, half angle of the seat; 0 for a point


@dataclass(frozen=True)
class Grip:
    """One grip of the ordered list; `does` and the per-finger tuples follow the fingers' order."""

    name: str
    kind: GripKind
    on: bool
    does: tuple[FingerDoes, ...]
    shape: Literal["round", "flat"] | None  # powered
    width: float  # mm, powered
    post: str | None  # powered
    need: float  # N on the object in all, powered (0: only floors)
    floor: tuple[float, ...]  # N per finger
    wished: tuple[float, ...] | Literal["equal"] | None  # wished shares of the engaged fingers
    share_of_day: float  # of the day's grips
    carry_q1: float = 0.0  # rad, carry
    carry_h: float = 0.0  # mm along the proximal phalanx, carry
    carry_load: float = 0.0  # N, carry
    long_hold: bool = False


@dataclass(frozen=True)
class Box:
    """An axis-aligned box in the hand frame, mm."""

    name: str
    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float


@dataclass(frozen=True)
class Cavity:
    """The room in the palm, and what takes room away from it."""

    box: Box
    keepouts: tuple[Box, ...]
    clearance: float  # mm between moving parts


@dataclass(frozen=True)
class Mounts:
    """Where reactions go: ring round the metacarpals and strip sizes (used by reports, never limits)."""

    pivot_mount_z: float
    ring_radius: float
    strip_width: float
    strip_length: float
    ring_centre: Place | None = None  # None: the middle of the cavity, assumed


@dataclass(frozen=True)
class Limits:
    """Hard limits of the brief; angles in rad, lengths mm, forces N."""

    lean: float
    tilt: float  # phi_max; must positions keep 2 deg off it
    transmission: float
    wrap: float
    share_error: float
    grip_ratio: float
    finger_floor: float
    input_drag: float
    carry_with_peak: bool
    service_weeks: float | None  # None: an aim only
    mass: float | None  # g
    hours: float | None
    cost: float | None
    min_wheel_teeth: int
    push_pull: bool


@dataclass(frozen=True)
class Strength:
    """Factors on strength."""

    overload: float
    design_factor: float
    chain_factor: float
    circle_share: float  # share of the pins of a drive-pin circle that carry (clearance fits)
    carrier_share: float  # either carrier may take this share of a load locked at the carriers
    lock: LockPlace


@dataclass(frozen=True)
class Friction:
    """Coefficients of friction (-), mesh efficiency (-)."""

    bushed: float
    bare: float
    chain: float
    mesh: float
    pad: float


@dataclass(frozen=True)
class Wear:
    """Specific wear k, mm2/N (depth = k Q dtheta / t), by pairing: metal name for bare pins."""

    bushed: float
    bare: Mapping[str, float]
    hard_pair: float
    chain_joint: float


@dataclass(frozen=True)
class Use:
    """How the hand is used."""

    grips_per_day: float
    days_per_week: float
    play_limit: float  # mm
    chain_lengthening: float  # -, change at this lengthening
    loaded_share: float  # share of the swing that runs under load
    squeeze: float  # mm each engaged drawbar can draw after contact
    years: float


@dataclass(frozen=True)
class Fatigue:
    """What fatigue strength is asked for, and the surface finish of what is made or bought."""

    reliability: float = 0.99
    factor: float = 1.5
    plate_finish: str = "machined"
    pin_finish: str = "ground"
    gear_finish: str = "machined"


@dataclass(frozen=True)
class Shop:
    """What the shop can make."""

    min_web: float  # mm of metal between holes or hole and edge
    edge_over_thickness: float  # distance of a hole's centre to the edge >= this x thickness
    hole_over_thickness: float  # hole diameter >= this x thickness
    smallest_drill: float
    largest_turned: float
    gap: float  # mm, running gap (washer) between plates at a joint
    chain_side_gap: float  # mm between chain and plates
    run_in: float  # share of a strand taken up by run-in
    minutes: Mapping[str, float]
    rate_per_hour: float


@dataclass(frozen=True)
class Aim:
    """One aim of the search; beyond `enough` more earns nothing."""

    name: str
    enough: float | None


@dataclass(frozen=True)
class Spread:
    """Relative one-sigma spread of an uncertain input (key path), for doubt."""

    path: str
    relative: float


@dataclass(frozen=True)
class Positions:
    """Which of the standing positions count."""

    open: When
    empty_fist: When
    neighbours: When


@dataclass(frozen=True)
class Brief:
    """Everything the maker asked for."""

    schema: int
    name: str
    hash6: str  # first six hex digits of the sha256 of the canonical brief and stock
    invented: bool
    side: Side
    wrist: Wrist
    fingers: tuple[Finger, ...]
    single: Literal["index side", "little side", "search"]  # three fingers: which one stands alone
    posts: Mapping[str, Post]
    grips: tuple[Grip, ...]
    positions: Positions
    cavity: Cavity
    mounts: Mounts
    limits: Limits
    strength: Strength
    friction: Friction
    wear: Wear
    use: Use
    shop: Shop
    aims: tuple[Aim, ...]
    spreads: tuple[Spread, ...]
    provenance: Mapping[str, Provenance]
    fatigue: Fatigue = Fatigue()
    selector: Selector = OWN_ORDER
    joint: WristJoint = ASSUMED_JOINT
