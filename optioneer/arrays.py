"""The kinds of arrays that all sums share."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Indices = NDArray[np.intp]
Ints = NDArray[np.int32]
