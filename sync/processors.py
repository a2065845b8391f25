"""What there is to calculate with."""

from __future__ import annotations

import os


def usable_processors() -> int:
    """Processors that this process may use; all of the machine's where the system does not tell."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
