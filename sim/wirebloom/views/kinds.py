"""The signals of a take that can be heard."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.views.body import through
from wirebloom.views.filtering import Floats, faded, filtered

if TYPE_CHECKING:
    from wirebloom.take.take import Take
    from wirebloom.views.body import Body

CONTACT_LOW = 30.0  # Hz: below it a contact microphone is deaf, to the static pull as well
COIL_LOW = 5.0  # Hz: takes away what is left of a bias, and no note


@dataclass(frozen=True)
class Kind:
    """A signal that can be heard.

    Attributes
    ----------
    file : str
    unit : str
    floor : float
        Peaks below it are not brought up to full level: what is silent stays silent.
    read : callable
        Take → (t,) at the take's audio rate.
    low : float
        High-pass, second order, Hz.
    looped : bool
        Only a take with loops has it.
    body : Body or None
        Through which it is heard.
    """

    file: str
    unit: str
    floor: float
    read: Callable[[Take], Floats]
    low: float
    looped: bool = True
    body: Body | None = None


def sense_signal(take: Take) -> Floats:
    """Voltage of the sensing coils at the amplifier's input (t,), all loops summed, V."""
    return np.asarray(take.signals.sense_voltage.sum(axis=1, dtype=np.float64))


def contact_signal(take: Take) -> Floats:
    """Bridge force on a contact microphone (t,), N.

    Its axis lies half-way between the two directions of motion, so it hears (towards + sideways)/√2 of every string.
    """
    return np.asarray(take.signals.bridge_force.sum(axis=(1, 2), dtype=np.float64) / np.sqrt(2.0))


def drive_signal(take: Take) -> Floats:
    """Voltage over the drive coils' circuit (t,), all loops summed, V: the output less what the series capacitor holds."""
    held = take.signals.capacitor_voltage.sum(axis=1, dtype=np.float64)
    count = min(held.size, take.signals.drive_voltage.shape[0])  # of a damaged file one of the two may be left
    return np.asarray(take.signals.drive_voltage[:count].sum(axis=1, dtype=np.float64) - held[:count])


KINDS = {
    "sense coil": Kind("sense_coil.wav", "V", 0.5e-3, sense_signal, COIL_LOW),
    "bridge": Kind("bridge.wav", "N", 10e-3, contact_signal, CONTACT_LOW, looped=False),
    "drive": Kind("drive.wav", "V", 0.1, drive_signal, COIL_LOW),
}


def kinds_with(body: Body | None) -> Mapping[str, Kind]:
    """Return the kinds of signals; with a body, the bridge force is also heard through it."""
    return KINDS if body is None else KINDS | {"body": replace(KINDS["bridge"], file="body.wav", body=body)}


def heard_of(take: Take, kind: Kind) -> Floats:
    """Return what a take sounds like at 48 kHz, without fades, in the signal's own unit; nothing where it has no such signal."""
    if kind.looped and not take.sheet.loops:
        return np.zeros(0)
    sound = filtered(kind.read(take), take.audio_rate, kind.low)
    return sound if kind.body is None else through(kind.body, sound)


def sound_of(take: Take, kind: Kind) -> Floats:
    """Return what a take sounds like, at 48 kHz, in the signal's own unit."""
    return faded(heard_of(take, kind))
