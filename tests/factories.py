"""Briefs built as records, without files: an invented orchard worker's hand (stock: `make_stock`).

Every number is invented or assumed; tests take it as a plausible starting point and replace parts of it.
"""

from __future__ import annotations

from dataclasses import replace
from math import radians
from typing import Any

from explorer.brief.records import (
    Aim,
    Box,
    Brief,
    Cavity,
    Crank,
    Finger,
    FingerDoes,
    Friction,
    Grip,
    Limits,
    Mounts,
    Positions,
    Post,
    Sector,
    Shop,
    Strength,
    Use,
    Wear,
    Wrist,
)
from tests.shelf import make_stock

__all__ = [
    "make_brief",
    "make_cavity",
    "make_finger",
    "make_grip",
    "make_grips",
    "make_limits",
    "make_posts",
    "make_shop",
    "make_stock",
    "make_wrist",
]

G = 9.80665
NAMES = ("index", "middle", "ring", "little")
_E: FingerDoes = "engaged"
_O: FingerDoes = "parked_open"
_C: FingerDoes = "parked_closed"


def make_finger(name: str = "index", x: float = -30.0, **overrides: Any) -> Finger:  # noqa: ANN401
    """One of the four fingers of the demo hand by name, at knuckle x."""
    L1, L2, d = {
        "index": (43.0, 40.0, 26.0),
        "middle": (47.0, 44.0, 29.0),
        "ring": (44.0, 41.0, 27.0),
        "little": (36.0, 34.0, 22.0),
    }[name]
    crank = Crank(radius=10.5, psi=radians(-40.0))
    sector = Sector(radius=11.0 if name == "middle" else 10.5)
    finger = Finger(
        name=name,
        knuckle_x=x,
        knuckle_y=0.0,
        knuckle_z=25.5,
        pin_dx=0.0,
        pin_y=-4.0,
        pin_z=15.0,
        L1=L1,
        L2=L2,
        pad_distance=d,
        pad_thickness=2.0,
        d_min=5.0,
        d_max=L2 - 4.0,
        coupling=0.9,
        q1_rest=0.0,
        q2_rest=radians(15.0),
        q1_max=radians(85.0),
        drive=crank if name == "little" else sector,
        spring_T0=1.5,
        spring_k=0.15,
        efficiency=0.95,
    )
    return replace(finger, **overrides)


def make_posts() -> dict[str, Post]:
    """Palm, heel and thumb."""
    return {
        "palm": Post("palm", 12.0, -24.0, 0.0, -1.0, radians(45.0)),
        "heel": Post("heel", 10.0, -60.0, *_unit(0.94, 0.342), 0.0),
        "thumb": Post("thumb", 38.0, -50.0, *_unit(0.819, 0.574), 0.0),
    }


def _unit(y: float, z: float) -> tuple[float, float]:
    length = (y * y + z * z) ** 0.5
    return y / length, z / length


def make_grip(name: str, does: tuple[FingerDoes, ...], **overrides: Any) -> Grip:  # noqa: ANN401
    """A powered grip round a 28 mm handle in the palm, unless told otherwise."""
    grip = Grip(
        name=name,
        kind="powered",
        on=True,
        does=does,
        shape="round",
        width=28.0,
        post="palm",
        need=36.0,
        floor=(0.0,) * len(does),
        wished=None,
        share_of_day=0.2,
    )
    return replace(grip, **overrides)


def make_grips(n: int = 4) -> tuple[Grip, ...]:
    """The six grips of the demo, cut to the first n fingers; needs in proportion to n."""
    carry: dict[str, Any] = {
        "kind": "carry",
        "shape": None,
        "width": 0.0,
        "post": None,
        "need": 0.0,
        "share_of_day": 0.1,
        "carry_q1": radians(70.0),
        "carry_h": 24.0,
    }
    f = n / 4.0
    apple: dict[str, Any] = {"width": 72.0, "post": "heel", "need": 12.0 * f}
    twine: dict[str, Any] = {"shape": "flat", "width": 12.0, "post": "thumb", "need": 6.0 * f}
    knife: dict[str, Any] = {"shape": "flat", "width": 30.0, "post": "thumb", "need": 9.0 * f}
    return (
        make_grip("lopper handle", (_E,) * n, need=36.0 * f),
        make_grip("apple", (_E,) * n, **apple),
        make_grip("twine", (_E, _E, _C, _C)[:n], **twine),
        make_grip("pruning knife", (_E, _E, _E, _O)[:n], **knife),
        make_grip("fruit crate", (_E,) * n, **carry, carry_load=14.0 * G * f),
        make_grip("pail", (_E, _E, _O, _O)[:n], **carry, carry_load=9.0 * G * f),
    )


def make_cavity() -> Cavity:
    """84 x 88 x 30 mm; two straps leave only +-20 mm of the bottom 20 mm."""
    return Cavity(
        box=Box("cavity", -42.0, 42.0, -88.0, 0.0, 0.0, 30.0),
        keepouts=(
            Box("strap, index side", -42.0, -20.0, -88.0, -68.0, 0.0, 30.0),
            Box("strap, little side", 20.0, 42.0, -88.0, -68.0, 0.0, 30.0),
        ),
        clearance=0.5,
    )


def make_wrist(**overrides: Any) -> Wrist:  # noqa: ANN401
    """52 / 104 / 280 N at 25 mm; 25.85 mm of stroke."""
    wrist = Wrist(
        torque_often=1300.0,
        torque_comfortable=2600.0,
        torque_peak=7000.0,
        travel=radians(62.0),
        arm=25.0,
        lost_motion=1.2,
        reverses=True,
        input_length=80.0,
        input_far_x=0.0,
        input_strut="strut",
        input_strut_diameter=4.0,
    )
    return replace(wrist, **overrides)


def make_limits(**overrides: Any) -> Limits:  # noqa: ANN401
    """Limits of the demo; nothing is limited that it leaves open."""
    limits = Limits(
        lean=radians(20.0),
        tilt=radians(35.0),
        transmission=radians(50.0),
        wrap=radians(300.0),
        share_error=0.15,
        grip_ratio=0.5,
        finger_floor=0.0,
        input_drag=2.0,
        carry_with_peak=False,
        service_weeks=None,
        mass=None,
        hours=None,
        cost=None,
        min_wheel_teeth=9,
        push_pull=False,
    )
    return replace(limits, **overrides)


def make_shop(**overrides: Any) -> Shop:  # noqa: ANN401
    """A small workshop."""
    minutes = {
        "pin_cut_and_groove": 4.0,
        "bush": 3.0,
        "chain_cut": 5.0,
        "chain_end": 6.0,
        "wheel_bored": 14.0,
        "wheel_sector": 22.0,
        "one_piece_winder_plain": 55.0,
        "one_piece_winder_snail": 95.0,
        "pinned_track": 14.0,
        "drive_pin": 6.0,
        "gear_bored": 10.0,
        "assembly_per_piece": 2.0,
    }
    shop = Shop(
        min_web=1.0,
        edge_over_thickness=1.5,
        hole_over_thickness=0.7,
        smallest_drill=1.0,
        largest_turned=44.0,
        gap=0.3,
        chain_side_gap=0.3,
        run_in=0.01,
        minutes=minutes,
        rate_per_hour=30.0,
    )
    return replace(shop, **overrides)


def make_brief(n_fingers: int = 4, **overrides: Any) -> Brief:  # noqa: ANN401
    """The demo hand with its first n fingers; any field of `Brief` may be replaced."""
    xs = {2: (-10.0, 10.0), 3: (-20.0, 0.0, 20.0), 4: (-30.0, -10.0, 10.0, 30.0)}[n_fingers]
    bare = {"stainless": 4e-9, "7075": 1e-8, "Ti 6-4": 1.5e-8}
    brief = Brief(
        schema=1,
        name="orchard worker, left hand",
        hash6="000000",
        invented=True,
        side="left",
        wrist=make_wrist(),
        fingers=tuple(make_finger(n, x) for n, x in zip(NAMES, xs, strict=False)),
        single="search",
        posts=make_posts(),
        grips=make_grips(n_fingers),
        positions=Positions(open="must", empty_fist="must", neighbours="report"),
        cavity=make_cavity(),
        mounts=Mounts(pivot_mount_z=2.0, ring_radius=42.0, strip_width=15.0, strip_length=70.0),
        limits=make_limits(),
        strength=Strength(1.5, 1.5, 3.0, 0.5, 0.6, "input drawbar"),
        friction=Friction(bushed=0.10, bare=0.18, chain=0.15, mesh=0.96, pad=0.6),
        wear=Wear(bushed=1e-9, bare=bare, hard_pair=2e-9, chain_joint=2e-9),
        use=Use(
            grips_per_day=400.0,
            days_per_week=6.0,
            play_limit=0.15,
            chain_lengthening=0.02,
            loaded_share=0.25,
            squeeze=1.5,
            years=5.0,
        ),
        shop=make_shop(),
        aims=(
            Aim("grip", None),
            Aim("pieces", None),
            Aim("room", None),
            Aim("pin_margin", 1.0),
            Aim("service_weeks", 26.0),
        ),
        spreads=(),
        provenance={},
    )
    return replace(brief, **overrides)
