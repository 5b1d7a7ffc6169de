"""The processor time of a call, for ratios within one process."""

from __future__ import annotations

import time
from collections.abc import Callable


def cpu_seconds(call: Callable[[], object]) -> float:
    """The least of three calls after one that is not counted [s]."""
    call()
    taken = []
    for _ in range(3):
        began = time.process_time()
        call()
        taken.append(time.process_time() - began)
    return min(taken)
