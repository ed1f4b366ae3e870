"""Names the arrays that a plan is drawn from."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Spots = NDArray[np.float64]
"""Points on a plane in metres, one a row: east, north; or one figure a row."""
