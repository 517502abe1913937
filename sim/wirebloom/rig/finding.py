"""One thing that stands against a rig."""

from __future__ import annotations

from typing import NamedTuple


class Finding(NamedTuple):
    """What is wrong, in the pieces of the house sentence."""

    physical: bool
    key: str
    what: str
    received: str
    hint: str = ""
