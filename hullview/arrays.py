"""The type of every array in signatures; docstrings give shapes and units."""

from __future__ import annotations

import numpy as np

Array = np.ndarray
