"""What the strings and the coils' iron are to a circuit: partials as resonances, solid cores as shorted turns.

A partial's modal speed is a voltage (1 V: 1 m/s), a force a current (1 A: 1 N), its modal mass m a capacitor, 1/(2mσ) a resistor,
1/(mω²) an inductor, and so is the pull of a magnet, which takes from the stiffness: the mobility analogy, Firestone 1933,
J. Acoust. Soc. Am. 4:249 (from memory). It holds about one state of rest: constant force factors and inductances.
"""

from __future__ import annotations

from typing import NamedTuple

from wirebloom.kernels.layout import Floats


class Partial(NamedTuple):
    """One partial of a string, towards the heads.

    Attributes
    ----------
    mark : str
        Of its elements and its node, such as s1p3.
    name : str
        For people.
    mass : float
        Modal, kg.
    frequency, decay : float
        Undamped ω (rad/s) and σ (s⁻¹).
    place : float
        Modal displacement from which it is let go, m.
    coil : tuple of float
        (C,) force per current of every circuit, N/A; also its voltage per speed.
    turn : tuple of float
        The same for every shorted turn.
    """

    mark: str
    name: str
    mass: float
    frequency: float
    decay: float
    place: float
    coil: tuple[float, ...]
    turn: tuple[float, ...] = ()


class Turn(NamedTuple):
    """A shorted turn in the iron of a circuit's heads: inductance (H), all of it shared with the coil, and resistance (Ω)."""

    circuit: int
    henry: float
    ohm: float


class Pull(NamedTuple):
    """How the magnets' pull of a head on a string grows as it comes nearer (N/m), and the weight of every partial there."""

    name: str
    growth: float
    weight: tuple[float, ...]


class Windings(NamedTuple):
    """All that moves or is magnetic.

    Attributes
    ----------
    inductance : (C, C) ndarray
        Of all circuits, with the strings at rest and the shorted turns' share, H.
    turns : tuple of Turn
    partials : tuple of Partial
    pulls : tuple of Pull
        Weights in the order of the partials.
    """

    inductance: Floats
    turns: tuple[Turn, ...] = ()
    partials: tuple[Partial, ...] = ()
    pulls: tuple[Pull, ...] = ()
