"""Where a rig stands without a signal: strings at rest, electronics at their direct voltages."""

from __future__ import annotations

from typing import NamedTuple

from wirebloom.circuit.standing import Sizes, draws, limits, sizes, standing
from wirebloom.kernels.layout import Floats, Ints, Model

__all__ = ["Point", "Sizes", "draws", "limits", "operating_point", "sizes"]


class Point(NamedTuple):
    """A working point.

    Attributes
    ----------
    q : (S, 2, N) ndarray
        Modal displacement, m.
    z : (Z,) ndarray
        Capacitor voltages and inductor currents, coil currents, stages' voltages, supply and draws.
    held : (W,) ndarray of int
        1 for a stage that its offset holds at its high rail, −1 at its low one, 0 for a free one.
    """

    q: Floats
    z: Floats
    held: Ints


def operating_point(model: Model, q: Floats) -> Point:
    """Working point of a model's electronics with the strings at rest.

    Parameters
    ----------
    model : Model
    q : (S, 2, N) ndarray
        Rest of the strings without currents, m.

    Returns
    -------
    Point
        With q as given: what a steady current adds to the pull is for the linear model to say.
    """
    return Point(q, *standing(model.network, model.stages))
