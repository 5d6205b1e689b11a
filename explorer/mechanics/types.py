"""Array types shared by all rooms: double precision numbers, whole numbers and truth values."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Where a formula takes one constant for all candidates as readily as one value per candidate.
Real = Floats | float
