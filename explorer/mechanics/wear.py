"""Wear of pin joints and chain joints: how deep, and how soon the play limit is reached.

All arguments broadcast elementwise, any leading shape.
"""

import numpy as np

from explorer.mechanics.types import Floats, Real


def depth_per_grip(k: Floats, Q: Real, swing: Real, t: Real) -> Floats:
    """Growth of a joint's play [mm] in one grip: k Q swing / t.

    k specific wear rate [mm^3/(N*mm)] (one mm^3/(N*m) is 1e-3 of it), Q force on the joint [N],
    swing out and back under load [rad], t bearing length of pin in hole [mm].
    A surface loses k Q swing d/2 over the projected area d t, and pin and hole both wear, so the
    diameter cancels. Source: Archard's law with k = V/(force * sliding distance), derived.
    """
    return k * Q * swing / t


def weeks_until(limit: Real, depth_per_week: Floats) -> Floats:
    """Weeks until `limit` [mm] is worn away at `depth_per_week` [mm/week]; inf without wear.

    Source: wear grows in step with use (Archard).
    """
    with np.errstate(divide="ignore", over="ignore"):
        return np.divide(limit, depth_per_week)


def lengthening(depth: Floats, p: Real) -> Floats:
    """Growth of a chain over its length [-] when each joint has worn by depth: depth / p.

    depth play of one chain joint (`depth_per_grip` with the chain's own pin, bush length and
    articulation), p pitch [mm]. Source: derived.
    """
    return depth / p
