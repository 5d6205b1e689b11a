"""What holds of every formula on arrays, whatever it computes."""

from collections.abc import Callable

import numpy as np
from hypothesis import strategies as st

from explorer.mechanics.types import Floats


def columns(*ranges: tuple[float, float], rows: int = 9) -> st.SearchStrategy[list[Floats]]:
    """One array of `rows` values per range, both ends included."""
    one = [
        st.lists(st.floats(low, high).map(_nought_or_real), min_size=rows, max_size=rows)
        for low, high in ranges
    ]
    return st.tuples(*one).map(lambda lists: [np.array(values) for values in lists])


def _nought_or_real(value: float) -> float:
    """Values whose square or inverse no double can hold are no sizes, forces or angles."""
    return value if abs(value) > 1e-60 else 0.0


def check_elementwise(formula: Callable[..., Floats], *inputs: Floats) -> None:
    """A batch gives the same bits as its members one by one, on a grid too, and inputs stay as is."""
    before = [x.copy() for x in inputs]
    batch = formula(*inputs)
    assert batch.shape == np.broadcast_shapes(*(x.shape for x in inputs))
    for i, value in enumerate(batch):
        alone = formula(*(x[i : i + 1] for x in inputs))
        assert alone.shape == (1,)
        assert alone[0] == value
    spaced = formula(*(np.repeat(x, 2)[::2] for x in inputs))
    assert np.array_equal(spaced, batch)
    grid = formula(*(x[:, None] for x in inputs[:1]), *(x[None, :] for x in inputs[1:]))
    assert np.array_equal(np.diagonal(np.broadcast_to(grid, (batch.size, batch.size))), batch)
    for x, old in zip(inputs, before, strict=True):
        assert np.array_equal(x, old)
