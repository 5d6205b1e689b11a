"""First stage `chain_winder`: relations that hold whatever the numbers are."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.drives.values import random_vectors
from explorer.scoring.score import score
from tests.drives.wound import built, space, vector
from tests.factories import make_brief


def test_mirrored_hand_mirrors_the_loads() -> None:
    brief = make_brief()

    def swap(t: tuple) -> tuple:  # type: ignore[type-arg]
        return t[::-1]

    fingers = tuple(
        replace(f, knuckle_x=-f.knuckle_x, pin_dx=-f.pin_dx) for f in swap(brief.fingers)
    )
    grips = tuple(replace(g, does=swap(g.does), floor=swap(g.floor)) for g in brief.grips)
    other = replace(brief, fingers=fingers, grips=grips)
    s, t = space(brief=brief), space(brief=other)
    a, b = built(s, vector(s)), built(t, vector(t, shaft_x_mm=7.0, output_side=0))
    # neighbours' positions come in another order: compare the grips and the open hand
    same = [i for i, p in enumerate(s.shelf.demand.positions) if p.kind != "neighbours"]
    turned = str.maketrans("ab", "ba")
    for j in a.loads.pins:
        key = (
            j.key.replace("carrier a", "carrier b")
            if "carrier a" in j.key
            else (j.key.replace("carrier b", "carrier a"))
        )
        np.testing.assert_allclose(
            j.load[:, same], b.joint("pins", key).load[:, same], rtol=1e-12, atol=1e-9
        )
    for end in "ab":
        key = f"carrier strand end {end.translate(turned)}"
        np.testing.assert_allclose(
            a.joint("eyes", f"carrier strand end {end}").load[:, same],
            b.joint("eyes", key).load[:, same],
            rtol=1e-12,
            atol=1e-9,
        )
    np.testing.assert_allclose(
        a.motion.exit_sine[0][:, same], -b.motion.exit_sine[0][:, same], atol=1e-12
    )


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**31), st.sampled_from([2, 3, 4]), st.sampled_from(["chain", "bar"]))
def test_any_vector_is_finite_and_alike_in_any_batch(seed: int, fingers: int, second: str) -> None:
    s = space(fingers, second)
    X = random_vectors(s, 9, np.random.default_rng(seed))
    with np.errstate(all="raise", under="ignore"):
        every = score(s, X)
    one = score(s, X[4:5])
    for name, values in (*every.aims.items(), *every.slacks.items()):
        assert np.isfinite(values).all() or name == "weeks", name
        kept = one.aims[name] if name in one.aims else one.slacks[name]
        assert values[4] == kept[0] or name in one.aims, name
    np.testing.assert_array_equal(every.margins[4], one.margins[0])
