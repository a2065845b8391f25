"""Where heard transcripts and models are kept between runs."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

ENVIRONMENT = "PLYCUE_CACHE"


def cache_folder() -> Path:
    """The folder that PLYCUE_CACHE names, else the user's cache folder of this system. It may not exist yet."""
    named = os.environ.get(ENVIRONMENT)
    return Path(named) if named else Path(platformdirs.user_cache_dir("plycue", appauthor=False))
