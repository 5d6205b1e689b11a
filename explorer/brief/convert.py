"""From the checked tables of brief.toml to the records of the brief: degrees to rad, N·m to N·mm."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, radians
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from explorer.brief.hand_records import Place, to_joint, to_selector
from explorer.brief.records import (
    Aim,
    Box,
    Brief,
    Cavity,
    Crank,
    Fatigue,
    Finger,
    FingerDoes,
    Friction,
    Grip,
    Limits,
    Mounts,
    Positions,
    Post,
    Provenance,
    Sector,
    Shop,
    Spread,
    Strength,
    TorqueAt,
    Use,
    Wear,
    Wrist,
)
from explorer.brief.schema_brief import DEFAULT_ENOUGH

if TYPE_CHECKING:
    from explorer.brief import schema_brief as t
    from explorer.brief import schema_factors as f

G = 9.80665  # m/s²: N on the hook per kg (standard gravity, exact by definition)
N_MM = 1000.0  # N·mm per N·m


def to_brief(b: t.BriefTable, hash6: str, provenance: Mapping[str, Provenance]) -> Brief:
    """The whole brief; the table has passed every check."""
    fingers = tuple(_finger(f) for f in b.finger)
    return Brief(
        schema=b.schema_,
        name=b.name,
        hash6=hash6,
        invented=b.invented,
        side=b.side,
        wrist=_wrist(b.wrist),
        fingers=fingers,
        single=b.single_finger,
        posts=MappingProxyType({name: _post(name, p) for name, p in b.post.items()}),
        grips=_grips(b.grip, [f.name for f in fingers]),
        positions=Positions(b.positions.open, b.positions.empty_fist, b.positions.neighbours),
        cavity=_cavity(b.cavity),
        mounts=_mounts(b.mounts),
        limits=_limits(b.limits),
        strength=_strength(b.strength),
        friction=_friction(b.friction),
        wear=_wear(b.wear),
        use=_use(b.use),
        shop=_shop(b.shop),
        aims=tuple(_aim(a) for a in b.aim),
        spreads=tuple(Spread(s.key, s.relative) for s in b.spread),
        provenance=MappingProxyType(dict(provenance)),
        fatigue=_fatigue(b.fatigue),
        selector=to_selector(b.selector),
        joint=to_joint(b.wrist_joint),
    )


def _wrist(w: t.WristTable) -> Wrist:
    drawbar = w.input_drawbar
    strut: Mapping[str, Literal["strut", "led from finger side", "none"]] = {
        "strut": "strut",
        "led from the finger side": "led from finger side",
        "none": "none",
    }
    return Wrist(
        torque_often=_torque(w.torque_often_Nm, w.pull_often_N, w.arm_mm),
        torque_comfortable=_torque(w.torque_comfortable_Nm, w.pull_comfortable_N, w.arm_mm),
        torque_peak=_torque(w.torque_peak_Nm, w.pull_peak_N, w.arm_mm),
        travel=radians(w.travel_deg),
        arm=w.arm_mm,
        lost_motion=w.lost_motion_mm,
        reverses=w.first_stage_reverses,
        input_length=drawbar.length_mm,
        input_far_x=drawbar.far_x_mm,
        input_strut=strut[drawbar.carried_as],
        input_strut_diameter=drawbar.diameter_mm,
        torque_at=tuple(TorqueAt(radians(a.angle_deg), a.share) for a in w.torque_at),
    )


def _torque(torque: float | None, pull: float | None, arm: float) -> float:
    """N·mm from N·m, or from a pull by spring scale times the arm."""
    return torque * N_MM if torque is not None else (pull or 0.0) * arm


def _finger(f: t.FingerTable) -> Finger:
    crank = f.drive.kind == "crank"
    return Finger(
        name=f.name,
        knuckle_x=f.knuckle_x_mm,
        knuckle_y=f.knuckle_y_mm,
        knuckle_z=f.knuckle_z_mm,
        pin_dx=f.pin_dx_mm,
        pin_y=f.pin_y_mm,
        pin_z=f.pin_z_mm,
        L1=f.L1_mm,
        L2=f.L2_mm,
        pad_distance=f.pad_distance_mm,
        pad_thickness=f.pad_thickness_mm,
        d_min=f.pad_from_mm,
        d_max=f.L2_mm if f.pad_to_mm is None else f.pad_to_mm,
        coupling=f.coupling,
        q1_rest=radians(f.q1_rest_deg),
        q2_rest=radians(f.q2_rest_deg),
        q1_max=radians(f.q1_max_deg),
        drive=Crank(f.drive.radius_mm, radians(f.drive.psi_deg or 0.0))
        if crank
        else Sector(f.drive.radius_mm),
        spring_T0=f.spring.T0_N,
        spring_k=f.spring.k_N_per_mm,
        efficiency=f.efficiency,
    )


def _post(name: str, p: t.PostTable) -> Post:
    y, z = p.facing
    size = hypot(y, z)
    return Post(name, p.y_mm, p.z_mm, y / size, z / size, radians(p.cradle_deg))


def _grips(grips: list[t.GripTable], fingers: list[str]) -> tuple[Grip, ...]:
    shares = _day_shares(grips)
    return tuple(_grip(g, fingers, share) for g, share in zip(grips, shares, strict=True))


def _day_shares(grips: list[t.GripTable]) -> list[float]:
    """Shares of the day that sum to 1 over the grips that are on; unwritten ones share the rest."""
    on = [g for g in grips if g.on]
    stated = sum(g.share_of_day for g in on if g.share_of_day is not None)
    unwritten = sum(g.share_of_day is None for g in on)
    rest = max(0.0, 1.0 - stated) / unwritten if unwritten else 0.0
    weights = [(rest if g.share_of_day is None else g.share_of_day) if g.on else 0.0 for g in grips]
    total = sum(weights)
    return [w / total if total > 0.0 else 1.0 / len(grips) for w in weights]


def _grip(g: t.GripTable, fingers: list[str], share: float) -> Grip:
    return Grip(
        name=g.name,
        kind=g.kind,
        on=g.on,
        does=tuple(_does(g, name) for name in fingers),
        shape=g.shape,
        width=g.width_mm or 0.0,
        post=g.post,
        need=g.need_N or 0.0,
        floor=_floors(g, fingers),
        wished=_wished(g),
        share_of_day=share,
        carry_q1=radians(g.q1_deg or 0.0),
        carry_h=g.h_mm or 0.0,
        carry_load=g.carry_N if g.carry_N is not None else (g.carry_kg or 0.0) * G,
        long_hold=g.long_hold,
    )


def _does(g: t.GripTable, name: str) -> FingerDoes:
    if name in g.engaged:
        return "engaged"
    if name in g.parked_open:
        return "parked_open"
    return "parked_closed" if name in g.parked_closed else "free"


def _floors(g: t.GripTable, fingers: list[str]) -> tuple[float, ...]:
    floor = 0.0 if g.floor_N is None else g.floor_N
    each = floor if isinstance(floor, list) else [floor] * len(g.engaged)
    by_name = dict(zip(g.engaged, each, strict=True))
    return tuple(by_name.get(name, 0.0) for name in fingers)


def _wished(g: t.GripTable) -> tuple[float, ...] | Literal["equal"] | None:
    if isinstance(g.wished, list):
        return tuple(w / sum(g.wished) for w in g.wished)
    return "equal" if g.wished == "equal" else None


def _cavity(c: t.CavityTable) -> Cavity:
    keepouts = tuple(_box(k.name, k.x_mm, k.y_mm, k.z_mm) for k in c.keepout)
    return Cavity(_box("cavity", c.x_mm, c.y_mm, c.z_mm), keepouts, c.clearance_mm)


def _box(name: str, x: list[float], y: list[float], z: list[float]) -> Box:
    return Box(name, x[0], x[1], y[0], y[1], z[0], z[1])


def _mounts(m: t.MountsTable) -> Mounts:
    ring = None if m.ring_centre_mm is None else Place(*m.ring_centre_mm)
    return Mounts(m.pivot_z_mm, m.ring_radius_mm, m.strip_width_mm, m.strip_length_mm, ring)


def _limits(x: f.LimitsTable) -> Limits:
    return Limits(
        lean=radians(x.largest_lean_deg),
        tilt=radians(x.largest_tilt_deg),
        transmission=radians(x.transmission_deg),
        wrap=radians(x.wrap_deg),
        share_error=x.share_error,
        grip_ratio=x.grip_ratio_at_least,
        finger_floor=x.finger_floor_N,
        input_drag=x.input_drag_N,
        carry_with_peak=x.carry_lifted_by_wrist,
        service_weeks=x.service_weeks_at_least,
        mass=x.mass_at_most_g,
        hours=x.hours_at_most,
        cost=x.cost_at_most,
        min_wheel_teeth=x.min_wheel_teeth,
        push_pull=x.push_pull,
    )


def _strength(s: f.StrengthTable) -> Strength:
    return Strength(
        overload=s.overload,
        design_factor=s.design_factor,
        chain_factor=s.chain_factor,
        circle_share=s.drive_pins_sharing,
        carrier_share=s.carrier_share,
        lock=s.lock,
    )


def _friction(x: f.FrictionTable) -> Friction:
    return Friction(x.bushed, x.bare, x.chain, x.mesh_efficiency, x.pad)


def _wear(w: f.WearTable) -> Wear:
    bare = MappingProxyType(dict(w.bare_mm2_per_N))
    return Wear(w.bushed_mm2_per_N, bare, w.hard_pair_mm2_per_N, w.chain_joint_mm2_per_N)


def _use(u: f.UseTable) -> Use:
    return Use(
        grips_per_day=u.grips_per_day,
        days_per_week=u.days_per_week,
        play_limit=u.play_limit_mm,
        chain_lengthening=u.chain_lengthening,
        loaded_share=u.loaded_share,
        squeeze=u.squeeze_mm,
        years=u.years,
    )


def _fatigue(x: f.FatigueTable) -> Fatigue:
    return Fatigue(x.reliability, x.design_factor, x.plate_finish, x.pin_finish, x.gear_finish)


def _shop(s: f.ShopTable) -> Shop:
    return Shop(
        min_web=s.min_web_mm,
        edge_over_thickness=s.edge_over_thickness,
        hole_over_thickness=s.hole_over_thickness,
        smallest_drill=s.smallest_drill_mm,
        largest_turned=s.largest_turned_mm,
        gap=s.gap_mm,
        chain_side_gap=s.chain_side_gap_mm,
        run_in=s.run_in,
        minutes=MappingProxyType(s.minutes.model_dump()),
        rate_per_hour=s.rate_per_hour,
    )


def _aim(a: t.AimTable) -> Aim:
    return Aim(a.name, DEFAULT_ENOUGH.get(a.name) if a.enough is None else a.enough)
