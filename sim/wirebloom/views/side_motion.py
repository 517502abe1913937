"""What a string sweeps along its length, and how much larger than life that is drawn beside the string."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wirebloom.views.style import Array

if TYPE_CHECKING:
    from wirebloom.take.sheet import PoleSheet, StringSheet
    from wirebloom.take.take import Take

SHARE = 0.1  # of the string's length, that the largest height may take
STEPS = (1.0, 2.0, 5.0)


class Motion(NamedTuple):
    """Where a string's lower surface goes along its length: places (X,), least and greatest displacement towards the heads, m."""

    x: Array
    least: Array
    most: Array
    seen: bool  # False: at rest, for want of a record


def motion_along(take: Take, string: int) -> Motion:
    """Return the envelope over the last period of a take, or the place of rest where no shape was recorded."""
    if take.shape.time.size:
        shapes = take.shape.displacement[:, string, 0]
        return Motion(take.shape.x[string], shapes.min(axis=0), shapes.max(axis=0), seen=True)
    sheet = take.sheet.strings[string]
    x = np.linspace(0.0, sheet.length_m, 101)
    number = np.arange(1, sheet.rest_m.shape[-1] + 1)
    rest = np.sin(np.outer(x / sheet.length_m, number) * np.pi) @ sheet.rest_m[0]
    return Motion(x, rest, rest, seen=False)


def exaggeration(length: float, height: float) -> float:
    """Return the factor of the series 1, 2, 5 by which a height (m) fills up to a tenth of a length (m); at least 1.

    Examples
    --------
    >>> exaggeration(0.64, 1e-3), exaggeration(0.64, 3e-3), exaggeration(0.05, 12e-3)
    (50.0, 20.0, 1.0)
    """
    most = SHARE * length / max(height, 1e-6 * length)
    decade = 10.0 ** np.floor(np.log10(most) + 1e-9)
    return float(max(1.0, *(step * decade for step in STEPS if step * decade <= most * (1.0 + 1e-9))))


def tallest(sheet: StringSheet, poles: Sequence[PoleSheet], motion: Motion) -> float:
    """Return the largest of all that is drawn larger, above or below the string's lower surface, m."""
    above = float(np.max(-motion.least, initial=0.0)) + sheet.diameter_m
    return max([above, float(np.max(motion.most, initial=0.0)), *(pole.gap_m for pole in poles)])
