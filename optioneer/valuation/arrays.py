"""The kinds of arrays that all sums share."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]
Bools = NDArray[np.bool_]
Indices = NDArray[np.intp]
