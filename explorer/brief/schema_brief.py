"""The brief as it is written: key names, units, ranges and defaults of `brief.toml`."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from explorer.brief.schema_base import Name, Note, Table, length, place, quantity
from explorer.brief.schema_factors import (
    FatigueTable,
    FrictionTable,
    LimitsTable,
    ShopTable,
    StrengthTable,
    UseTable,
    WearTable,
)
from explorer.brief.schema_hand import Place, SelectorTable, WristJointTable

# About half of the first drives that fit the made-up hand last less: of 300 a kind, the median was 150 weeks.
ENOUGH_WEEKS = 156.0
ENOUGH_PIN_MARGIN = 1.0

AIM_NAMES = (
    "grip",
    "pieces",
    "room",
    "pin_margin",
    "weeks",
    "share_error",
    "box",
    "carried",
    "neighbour",
    "mass",
    "stroke",
    "part_numbers",
    "hours",
    "cost",
    "fatigue",
)
DEFAULT_ENOUGH: dict[str, float] = {"pin_margin": ENOUGH_PIN_MARGIN, "weeks": ENOUGH_WEEKS}

# What doubt can be said about, and how much there is unless the brief knows better (judgement).
SPREADS: dict[str, float] = {
    "wrist.torque": 0.15,
    "friction.bushed": 0.30,
    "friction.bare": 0.30,
    "friction.chain": 0.30,
    "friction.pad": 0.20,
    "metal.yield_MPa": 0.07,
    "pin.yield_MPa": 0.07,
    "strength.drive_pins_sharing": 0.20,
    "shop.pin_fit": 0.30,
}

Range = Annotated[
    list[Annotated[float, Field(ge=-300.0, le=300.0, json_schema_extra={"unit": "mm"})]],
    Field(min_length=2, max_length=2),
]
Names = Annotated[list[Name], Field(max_length=4)]
When = Literal["must", "report", "off"]


class InputDrawbarTable(Table):
    """[wrist.input_drawbar]: what carries the pull from the wrist to the drive."""

    length_mm: float = length("from the drive to its far pin", 10, 400, default=100.0)
    far_x_mm: float = place("x of the far pin", default=0.0)
    carried_as: Literal["strut", "led from the finger side", "none"] = Field(
        default="none",
        description="how a reversed pull gets there: pushed by a strut, or led round",
    )
    diameter_mm: float = length("rod of the strut", 0.5, 12, default=4.0)


class TorqueAtTable(Table):
    """[[wrist.torque_at]]: the share of the torque that is there at an angle of the wrist."""

    angle_deg: float = quantity("deg", 0, 180, "wrist angle from the start of the travel")
    share: float = quantity("-", 0.05, 1.0, "share of the stated torque")


class WristTable(Table):
    """[wrist]: three torques (or three pulls by spring scale), travel and arm."""

    torque_often_Nm: float | None = quantity(
        "N·m", 0.05, 40, "torque that can be repeated all day", default=None
    )
    torque_comfortable_Nm: float | None = quantity(
        "N·m", 0.05, 40, "torque without straining, which scores a drive", default=None
    )
    torque_peak_Nm: float | None = quantity(
        "N·m", 0.05, 40, "the most that the wrist can give, which loads the parts", default=None
    )
    pull_often_N: float | None = quantity(
        "N", 1, 2000, "as torque_often, by spring scale at the drawbar", default=None
    )
    pull_comfortable_N: float | None = quantity(
        "N", 1, 2000, "as torque_comfortable, by spring scale", default=None
    )
    pull_peak_N: float | None = quantity(
        "N", 1, 2000, "as torque_peak, by spring scale", default=None
    )
    travel_deg: float = quantity("deg", 5, 180, "usable swing of the wrist")
    arm_mm: float = length("wrist axis to the input drawbar, square to it", 5, 120)
    lost_motion_mm: float = quantity(
        "mm", 0, 20, "drawbar travel lost in straps and skin", default=1.0
    )
    first_stage_reverses: bool = Field(
        default=False, description="true: the first stage must turn the motion round"
    )
    input_drawbar: InputDrawbarTable = InputDrawbarTable()
    torque_at: Annotated[list[TorqueAtTable], Field(max_length=9)] = Field(default_factory=list)


class DriveTable(Table):
    """How the drawbar turns a finger: a sector of constant radius, or a crank pin."""

    kind: Literal["sector", "crank"]
    radius_mm: float = length("radius at the knuckle", 2, 30)
    psi_deg: float | None = quantity(
        "deg", -85, 85, "crank: angle at rest from the normal to the pull", default=None
    )


class SpringTable(Table):
    """Opening spring, felt at the drawbar."""

    T0_N: float = quantity("N", 0, 50, "pull at rest", default=1.5)
    k_N_per_mm: float = quantity("N/mm", 0, 20, "added pull per mm of draw", default=0.15)


class FingerTable(Table):
    """[[finger]], index side first."""

    name: Name
    same_as: Name | None = Field(
        None, description="take all values that are not written here from this finger"
    )
    knuckle_x_mm: float = place("x of the knuckle axis at the finger's middle")
    knuckle_y_mm: float = place("y of the knuckle axis", default=0.0)
    knuckle_z_mm: float = place("z of the knuckle axis", default=24.5)
    pin_dx_mm: float = quantity("mm", -30, 30, "drawbar pin's x from the knuckle", default=0.0)
    pin_y_mm: float = place("y of the drawbar pin with the finger open")
    pin_z_mm: float = place("z of the drawbar pin")
    L1_mm: float = length("knuckle to middle joint", 10, 90)
    L2_mm: float = length("middle joint to finger tip", 8, 90)
    pad_distance_mm: float = length("middle joint to the middle of the pad", 2, 90)
    pad_thickness_mm: float = quantity("mm", 0, 15, "finger axis to the pad's face", default=3.0)
    pad_from_mm: float = quantity("mm", 0, 90, "the pad begins, from the middle joint", default=4.0)
    pad_to_mm: float | None = quantity("mm", 1, 90, "the pad ends; unwritten: L2", default=None)
    coupling: float = quantity("-", 0, 3, "turn of the middle joint per turn of the knuckle")
    q1_rest_deg: float = quantity("deg", -45, 90, "knuckle angle, open hand", default=0.0)
    q2_rest_deg: float = quantity("deg", -20, 120, "middle joint angle, open hand")
    q1_max_deg: float = quantity("deg", 10, 130, "knuckle angle at the closed stop")
    drive: DriveTable
    spring: SpringTable = SpringTable()
    efficiency: float = quantity("-", 0, 1, "of the finger's own joints", default=0.95, above=True)


class PostTable(Table):
    """[post.NAME]: what an object is pressed against; in the finger's own plane, knuckle at 0, 0."""

    y_mm: float = place("y from the knuckle")
    z_mm: float = place("z from the knuckle (palm side is minus)")
    facing: Annotated[
        list[Annotated[float, Field(ge=-1.0, le=1.0)]], Field(min_length=2, max_length=2)
    ] = Field(description="direction (y, z) from the post to the object's centre, length 1")
    cradle_deg: float = quantity("deg", 0, 89, "half angle of the seat; 0 is a point", default=0.0)


class GripTable(Table):
    """[[grip]], in the order of the selector."""

    name: Name
    kind: Literal["powered", "carry"] = "powered"
    on: bool = True
    engaged: Names = Field(description="fingers that press or carry")
    parked_open: Names = Field(default_factory=list, description="locked open")
    parked_closed: Names = Field(default_factory=list, description="held at their closed stop")
    free: Names = Field(default_factory=list, description="close to their stop and hold nothing")
    shape: Literal["round", "flat"] | None = None
    width_mm: float | None = quantity("mm", 0.5, 150, "width of the object", default=None)
    post: Name | None = None
    need_N: float | None = quantity("N", 0, 1000, "force needed on the object", default=None)
    floor_N: (
        Annotated[float, Field(ge=0, le=500)]
        | Annotated[list[Annotated[float, Field(ge=0, le=500)]], Field(max_length=4)]
        | None
    ) = Field(None, description="least force of each engaged finger, N (one number, or a list)")
    wished: (
        Literal["default", "equal"]
        | Annotated[list[Annotated[float, Field(gt=0, le=1)]], Field(max_length=4)]
    ) = Field("default", description="shares wished for: default, equal, or one per engaged finger")
    share_of_day: float | None = quantity(
        "-", 0, 1, "share of the day's grips; unwritten: equal shares", default=None
    )
    long_hold: bool = False
    q1_deg: float | None = quantity("deg", -45, 130, "carry: knuckle angle", default=None)
    h_mm: float | None = quantity(
        "mm", 1, 90, "carry: knuckle to the handle along the first bone", default=None
    )
    carry_kg: float | None = quantity("kg", 0.05, 100, "carry: load", default=None)
    carry_N: float | None = quantity("N", 0.5, 1000, "carry: load", default=None)


class PositionsTable(Table):
    """[positions]: which of the standing positions count."""

    open: When = "must"
    empty_fist: When = "must"
    neighbours: When = "report"


class KeepoutTable(Table):
    """[[cavity.keepout]]: a box that the drive has to stay out of."""

    name: Name
    x_mm: Range
    y_mm: Range
    z_mm: Range


class CavityTable(Table):
    """[cavity]: the room for the drive."""

    x_mm: Range = Field(description="from, to; across the palm, index side is minus (mm)")
    y_mm: Range = Field(description="from, to; wrist side is minus (mm)")
    z_mm: Range = Field(description="from, to; palm face is 0, back of hand is plus (mm)")
    clearance_mm: float = quantity("mm", 0.05, 5, "between moving parts", default=0.5)
    keepout: Annotated[list[KeepoutTable], Field(max_length=40)] = Field(default_factory=list)


class MountsTable(Table):
    """[mounts]: where the reactions go; reported, never a limit."""

    pivot_z_mm: float = place("height of the plate that carries the fixed pivots", default=0.0)
    ring_radius_mm: float = length("socket ring round the metacarpals", 15, 80, default=42.0)
    strip_width_mm: float = length(
        "width of the strip that presses on the skin", 3, 80, default=25.0
    )
    strip_length_mm: float = length("its length", 5, 300, default=80.0)
    ring_centre_mm: Place | None = Field(
        default=None, description="x, y, z of the ring's middle (mm); unwritten: the cavity's"
    )


class AimTable(Table):
    """[[aim]]: what a drive should be good at."""

    name: str
    enough: float | None = quantity("-", -1e9, 1e9, "more than this earns nothing", default=None)


class SpreadTable(Table):
    """[[spread]]: how well a number is known."""

    key: Name = Field(description="key path, as in friction.bushed")
    relative: float = quantity("-", 0, 1, "one standard deviation as a share", above=True)


def _default_aims() -> list[AimTable]:
    return [AimTable(name=name, enough=DEFAULT_ENOUGH.get(name)) for name in AIM_NAMES[:5]]


def _default_spreads() -> list[SpreadTable]:
    return [SpreadTable(key=key, relative=relative) for key, relative in SPREADS.items()]


class BriefTable(Table):
    """brief.toml."""

    schema_: Literal[1] = Field(alias="schema", description="version of this format")
    name: Name
    side: Literal["left", "right"]
    invented: bool = False
    note: Note = ""
    single_finger: Literal["index side", "little side", "search"] = Field(
        "search", description="three fingers: which one has a carrier of its own"
    )
    default_source: Literal["measured", "handbook", "guess"] = "guess"
    wrist: WristTable
    cavity: CavityTable
    finger: Annotated[list[FingerTable], Field(min_length=2, max_length=4)]
    post: dict[Name, PostTable] = Field(default_factory=dict)
    grip: Annotated[list[GripTable], Field(min_length=1, max_length=24)]
    positions: PositionsTable = PositionsTable()
    mounts: MountsTable = MountsTable()
    selector: SelectorTable | None = None
    wrist_joint: WristJointTable | None = None
    limits: LimitsTable = LimitsTable()
    strength: StrengthTable = StrengthTable()
    friction: FrictionTable = FrictionTable()
    wear: WearTable = WearTable()
    use: UseTable
    fatigue: FatigueTable = FatigueTable()
    shop: ShopTable = ShopTable()
    aim: Annotated[list[AimTable], Field(min_length=1, max_length=15)] = Field(
        default_factory=_default_aims
    )
    spread: Annotated[list[SpreadTable], Field(max_length=40)] = Field(
        default_factory=_default_spreads
    )
    source: dict[str, Any] = Field(
        default_factory=dict,
        description="key path = where it comes from: measured, handbook or guess, with a note",
    )
