"""The rest of the brief as it is written: limits, factors, use and shop, all with defaults."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from explorer.brief.schema_base import Table, length, quantity


class LimitsTable(Table):
    """[limits]: what a drive must keep to."""

    largest_lean_deg: float = quantity("deg", 2, 60, "of a link", default=20.0)
    largest_tilt_deg: float = quantity("deg", 5, 75, "of a bar or lever, at its stop", default=35.0)
    transmission_deg: float = quantity(
        "deg", 10, 80, "of a rocker arm off the normal", default=50.0
    )
    wrap_deg: float = quantity("deg", 45, 350, "of chain round a drum or wheel", default=300.0)
    share_error: float = quantity("-", 0, 1, "largest fault of a finger's share", default=0.15)
    grip_ratio_at_least: float = quantity("-", 0, 20, "delivered over needed", default=0.5)
    finger_floor_N: float = quantity("N", 0, 200, "least force of any engaged finger", default=0.0)
    input_drag_N: float = quantity(
        "N", 0, 100, "springs must drag this at the wrist to reopen", default=2.0
    )
    carry_lifted_by_wrist: bool = Field(
        default=True, description="true: peak torque may lift a carried load"
    )
    service_weeks_at_least: float | None = quantity(
        "weeks", 0.1, 2000, "between services; unwritten: an aim only", default=None
    )
    mass_at_most_g: float | None = quantity("g", 1, 5000, "of the drive", default=None)
    hours_at_most: float | None = quantity("h", 0.1, 1000, "in the workshop", default=None)
    cost_at_most: float | None = quantity("price", 0.1, 1e6, "of all bought", default=None)
    # Below 8 or 9 teeth a chain wheel runs rough (from memory).
    min_wheel_teeth: int = quantity("teeth", 5, 40, "on a chain wheel", default=8)
    push_pull: bool = Field(default=False, description="true: links may push as well as pull")


class StrengthTable(Table):
    """[strength]: factors, and the lock."""

    overload: float = quantity("-", 1, 10, "shock over the static load", default=1.5)
    design_factor: float = quantity("-", 1, 10, "on yield", default=1.5)
    chain_factor: float = quantity("-", 1, 20, "on a chain's least strength", default=3.0)
    drive_pins_sharing: float = quantity(
        "-", 0, 1, "of a circle of drive pins that carries", default=0.5, above=True
    )
    carrier_share: float = quantity(
        "-", 0.5, 1, "of a load locked at the carriers that one may take", default=0.6
    )
    lock: Literal["none", "input drawbar", "carriers"] = Field(
        default="none", description="where a lock holds a carried load"
    )


class FrictionTable(Table):
    """[friction]: coefficients."""

    bushed: float = quantity("-", 0, 1, "pin in a bush", default=0.10)
    bare: float = quantity("-", 0, 1, "pin in a bare hole", default=0.18)
    chain: float = quantity("-", 0, 1, "chain joint", default=0.15)
    mesh_efficiency: float = quantity("-", 0, 1, "of one gear mesh", default=0.96, above=True)
    pad: float = quantity("-", 0, 2, "pad on the object", default=0.6)


class WearTable(Table):
    """[wear]: depth = k x load x sliding / width; k in mm² per N."""

    bushed_mm2_per_N: float = quantity("mm²/N", 0, 1e-4, "pin in a bush", default=1e-9)
    hard_pair_mm2_per_N: float = quantity("mm²/N", 0, 1e-4, "hard on hard", default=2e-9)
    chain_joint_mm2_per_N: float = quantity("mm²/N", 0, 1e-4, "chain joint", default=2e-9)
    bare_mm2_per_N: dict[str, Annotated[float, Field(ge=0, le=1e-4)]] = Field(
        default_factory=lambda: {"stainless": 4e-9, "7075": 1e-8, "Ti 6-4": 1.5e-8},
        description="bare pin in a plate, one line for each metal of the stock",
    )


class UseTable(Table):
    """[use]: how the hand is used."""

    grips_per_day: float = quantity("grips", 1, 20_000, "closings of the hand in a day")
    days_per_week: float = quantity("days", 0.5, 7, "that it is worn", default=7.0)
    play_limit_mm: float = length("play at a joint that sends it to service", 0.05, 3, default=0.15)
    chain_lengthening: float = quantity("-", 0.001, 0.1, "chain is changed at this", default=0.02)
    loaded_share: float = quantity(
        "-", 0, 1, "of a closing that runs under load", default=0.25, above=True
    )
    squeeze_mm: float = quantity("mm", 0, 15, "drawn after contact: soft pads", default=1.5)
    years: float = quantity("years", 0.1, 50, "that it should last", default=5.0)


Surface = Literal["ground", "machined", "hot-rolled", "as-forged"]


class FatigueTable(Table):
    """[fatigue]: grips a day x years at comfortable torque, each from zero."""

    reliability: float = quantity("-", 0.5, 0.999999, "share of parts that last", default=0.99)
    design_factor: float = quantity("-", 1, 10, "on fatigue strength", default=1.5)
    plate_finish: Surface = Field(default="machined", description="surface of plates and links")
    pin_finish: Surface = Field(default="ground", description="surface of pins and shafts")
    gear_finish: Surface = Field(
        default="machined", description="surface of gears and chain wheels"
    )


class MinutesTable(Table):
    """[shop.minutes]: minutes for each operation."""

    pin_cut_and_groove: float = quantity("min", 0, 1000, "each", default=4.0)
    bush: float = quantity("min", 0, 1000, "pressed in and reamed", default=3.0)
    chain_cut: float = quantity("min", 0, 1000, "each strand", default=5.0)
    chain_end: float = quantity("min", 0, 1000, "each end piece", default=6.0)
    wheel_bored: float = quantity("min", 0, 1000, "chain wheel bored", default=14.0)
    wheel_sector: float = quantity("min", 0, 1000, "chain wheel cut to a sector", default=22.0)
    one_piece_winder_plain: float = quantity("min", 0, 1000, "turned whole", default=55.0)
    one_piece_winder_snail: float = quantity("min", 0, 1000, "turned and shaped", default=95.0)
    pinned_track: float = quantity("min", 0, 1000, "each track of a pinned winder", default=14.0)
    drive_pin: float = quantity("min", 0, 1000, "drilled, reamed and fitted", default=6.0)
    gear_bored: float = quantity("min", 0, 1000, "each", default=10.0)
    assembly_per_piece: float = quantity("min", 0, 1000, "each piece", default=2.0)


class ShopTable(Table):
    """[shop]: what the shop can make."""

    min_web_mm: float = length("metal left between holes or to an edge", 0.1, 10, default=0.8)
    edge_over_thickness: float = quantity("-", 0, 5, "hole centre to edge", default=1.5)
    hole_over_thickness: float = quantity("-", 0, 5, "hole over plate thickness", default=0.7)
    smallest_drill_mm: float = length("", 0.1, 10, default=1.0)
    largest_turned_mm: float = length("diameter", 5, 1000, default=44.0)
    gap_mm: float = quantity("mm", 0.02, 3, "washer between plates at a joint", default=0.3)
    chain_side_gap_mm: float = quantity("mm", 0.02, 5, "chain to plates", default=0.3)
    run_in: float = quantity("-", 0, 0.1, "of a strand taken up by run-in", default=0.01)
    rate_per_hour: float = quantity("price", 0, 1e5, "price of an hour", default=0.0)
    minutes: MinutesTable = MinutesTable()
