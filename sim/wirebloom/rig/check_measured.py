"""What can stand against the measured values of a head: a string that it does not stand under, a pull without magnets."""

from __future__ import annotations

from collections.abc import Iterator

from wirebloom.rig.finding import Finding
from wirebloom.rig.heads import RoundHead
from wirebloom.rig.models import Rig
from wirebloom.rig.sentences import listed


def measured_findings(rig: Rig) -> Iterator[Finding]:
    """Yield what stands against measured values of any of the heads."""
    for index, head in enumerate(rig.heads):
        if isinstance(head, RoundHead) and head.measured is not None:
            yield from _measured(head, f"heads[{index}].measured")


def _measured(head: RoundHead, key: str) -> Iterator[Finding]:
    known, strings = head.measured, [place.string for place in head.places]
    if known is None:
        return
    if known.string is not None and known.string not in strings:
        yield Finding(False, f"{key}.string", f"a string that the head stands under ({listed(strings)})", f"'{known.string}'")
    if not head.magnets:
        for name in ("pull", "force_factor", "face_field"):
            if getattr(known, name) is not None:
                yield Finding(True, f"{key}.{name}", "left out of a head without magnets", f"{getattr(known, name):g}")
