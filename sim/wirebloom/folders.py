"""Where Wirebloom keeps what it can compute again: head tables and machine code."""

import os
from pathlib import Path


def cache_folder() -> Path:
    """Folder for caches: ``$WIREBLOOM_CACHE`` if set, else the user's cache folder of the operating system."""
    chosen = os.environ.get("WIREBLOOM_CACHE")
    if chosen:
        return Path(chosen)
    from platformdirs import user_cache_path  # noqa: PLC0415 - kept out of start-up

    return user_cache_path("wirebloom", appauthor=False)
