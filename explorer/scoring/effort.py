"""What a grip asks of the wrist: torque as a share of what is there, with and without a lock, and travel.

Pulls and torques have the arm of the input drawbar between them, so shares of pull are shares of torque.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.brief.demand import Demand
from explorer.drives.pulls import Shares, carried_pull, over_fingers, torque_share, worst_sum
from explorer.mechanics.types import Bools, Floats
from explorer.scoring import grip as gr
from explorer.scoring.score import Detail


@dataclass(frozen=True)
class Effort:
    """Every position (N,P); nan where nothing is asked (no grip, or a grip without a need).

    `pull`, `torque`: wrist pull N and torque N*mm that reach the needed grip or lift the load;
    `of_peak`, `of_often`: the torque over what the wrist can give there, at most and all day;
    `hold`, `hold_of_often`: the pull that keeps it, friction helping, and its torque over *often*;
    `hold_locked`: the same with the brief's lock on; `travel`, `travel_squeezed`: share of the wrist's
    travel used at contact and with the squeeze reserve drawn (nan: no squeeze); lost motion and play of
    the joints counted.
    """

    pull: Floats
    torque: Floats
    of_peak: Floats
    of_often: Floats
    hold: Floats
    hold_of_often: Floats
    hold_locked: Floats
    travel: Floats
    travel_squeezed: Floats

    @property
    def above_often(self) -> Bools:
        """True (N,P) where closing asks for more than the everyday limit of the brief."""
        return np.asarray(self.of_often > 1.0)

    @property
    def hold_above_often(self) -> Bools:
        """True (N,P) where holding without a lock asks for more than the everyday limit."""
        return np.asarray(self.hold_of_often > 1.0)


def needed_output(demand: Demand, s: Shares, finger_floor: float) -> Floats:
    """F_out (N,P) that reaches a powered grip's need and each finger's floor; nan without either.

    F_out = (need + sum w S)/min over signs of sum w c, w = m cos(gamma); a floor (f_i/w_i + S_i)/low_i.
    The delivered grip of `scoring.grip` solved for its pull; worst friction signs.
    """
    weight = np.where(demand.engaged, demand.m * demand.press, 0.0)
    powered = np.array([p.kind == "grip" for p in demand.positions])
    spring = over_fingers(s, weight * demand.spring)
    reach = worst_sum(s, tuple(weight[:, f] for f in range(weight.shape[1])))
    asked = powered & (demand.need > 0.0) & (reach > 0.0)
    F_out = np.where(asked, (demand.need + spring) / np.where(reach > 0.0, reach, 1.0), np.nan)
    for f in range(weight.shape[1]):
        floor, low = demand.floor[:, f] + finger_floor, s.low(f)
        held = demand.engaged[:, f] & powered & (floor > 0.0) & (weight[:, f] > 0.0) & (low > 0.0)
        w = np.where(weight[:, f] > 0.0, weight[:, f], 1.0)
        own = (floor / w + demand.spring[:, f]) / np.where(low > 0.0, low, 1.0)
        F_out = np.where(held, np.fmax(F_out, own), F_out)
    return F_out


def effort(d: Detail) -> Effort:
    """The effort of every grip of every drive."""
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    carries = demand.carried > 0.0
    out = needed_output(demand, d.shares, brief.limits.finger_floor)
    powered = out * d.ways.pull / d.drive.ratio.ripple_by
    pull = np.where(carries, gr.lifting(d.shares, d.ways, demand), powered)
    held_out = np.where(carries, carried_pull(demand, d.shares, demand.m_ideal), out)
    hold = np.maximum(held_out * d.ways.hold, 0.0)
    there = torque_share(demand, d.motion, brief)
    locked = np.where(np.isnan(hold), np.nan, 0.0) if brief.strength.lock != "none" else hold
    travel = travel_share(d)
    return Effort(
        pull=pull,
        torque=pull * brief.wrist.arm,
        of_peak=pull / (demand.pull_peak * there),
        of_often=pull / (demand.pull_often * there),
        hold=hold,
        hold_of_often=hold / (demand.pull_often * there),
        hold_locked=locked,
        travel=travel,
        travel_squeezed=_squeezed(demand, travel),
    )


def travel_share(d: Detail) -> Floats:
    """Share of the wrist's whole travel used up in each position (N,P): (X + lost motion + play)/(arm travel)."""
    wrist = d.space.shelf.brief.wrist
    X = d.motion.X + wrist.lost_motion + d.play[:, None]
    return np.asarray(X / (wrist.arm * wrist.travel))


def _squeezed(demand: Demand, travel: Floats) -> Floats:
    """The squeeze's share beside its grip's position (N,P); nan where there is none."""
    out = np.full_like(travel, np.nan)
    for p, position in enumerate(demand.positions):
        if position.kind == "squeeze" and position.of >= 0:
            out[:, position.of] = travel[:, p]
    return out
