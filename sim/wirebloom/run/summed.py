"""From the poles that the time loop takes to those of the rig: the parts of a head's force belong together."""

from __future__ import annotations

import numpy as np

from wirebloom.kernels.layout import Floats, Ints, Model, Record


def summed(record: Record, lead: Ints) -> Record:
    """Record with forces summed over the parts of each pole, and the string's motion where the current acts on it.

    Parameters
    ----------
    record : Record
    lead : (J,) ndarray
        First part of every pole (see :class:`wirebloom.compile.loads.Parts`).
    """
    if lead.size == record.force.shape[1]:
        return record
    return record._replace(displacement=record.displacement[:, lead], force=sum_parts(record.force, lead, axis=1))


def sum_parts(values: Floats, lead: Ints, axis: int = 0) -> Floats:
    """Sum over the parts of each pole."""
    return values if lead.size == values.shape[axis] else np.add.reduceat(values, lead, axis=axis)


def touching(model: Model, lead: Ints) -> Ints:
    """Pole of the rig that each contact point belongs to, (K,)."""
    return np.searchsorted(lead, model.contacts.pole, side="right") - 1


def owner(model: Model, lead: Ints, part: int) -> int:
    """Pole of the rig that one of the time loop's poles is a part of; beyond the last, as many as there are."""
    return int(np.searchsorted(lead, part, side="right")) - 1 if part < model.poles.gap.size else lead.size
