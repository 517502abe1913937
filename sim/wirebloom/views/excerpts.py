"""Stretches of a sound that are worth hearing."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wirebloom.views.filtering import RATE, Floats

BLOCK = 0.05  # s over which a level is taken
FINAL = 0.5  # s at the end whose level counts as final
REACHED = 0.9  # of the final amplitude
AFTER = 1.0  # s to hear it stand
LEAST = 3.0  # s, of a build-up


class Excerpt(NamedTuple):
    """A stretch of a sound, where it begins (s), and what it is in words."""

    sound: Floats
    start: float
    what: str


def whole(sound: Floats) -> Excerpt:
    """Return all of it."""
    return Excerpt(sound, 0.0, "all of it")


def build_up(sound: Floats) -> Excerpt:
    """Return a sound from its start until a second after its level stands; all of one that is loudest when it begins."""
    standing = stands(sound)
    if standing == 0.0:
        return whole(sound)
    count = round(max(standing + AFTER, LEAST) * RATE)
    return whole(sound) if count >= sound.size else Excerpt(sound[:count], 0.0, "from its start until a second after its level stands")


def stands(sound: Floats) -> float:
    """Return when a sound first has 90 % of the amplitude of its last half second, s; 0 if it has from the start."""
    length = round(BLOCK * RATE)
    blocks = sound[: sound.size // length * length].reshape(-1, length)
    power = (blocks**2).mean(axis=1)
    if power.size == 0:
        return 0.0
    goal = REACHED**2 * power[-max(1, round(FINAL / BLOCK)) :].mean()
    return float(np.argmax(power >= goal)) * BLOCK


def shortened(excerpt: Excerpt, longest: float) -> Excerpt:
    """Cut an excerpt to its loudest stretch of so many seconds, in steps of 50 ms; the first of several that hold as much power."""
    count = int(min(max(0.0, longest) * RATE, excerpt.sound.size))
    if count == excerpt.sound.size:
        return excerpt
    energy = np.concatenate([[0.0], np.cumsum(excerpt.sound**2)])
    held = (energy[count:] - energy[: energy.size - count])[:: round(BLOCK * RATE)]
    start = int(np.argmax(held >= held.max() * (1.0 - 1e-9))) * round(BLOCK * RATE)
    return Excerpt(excerpt.sound[start : start + count], excerpt.start + start / RATE, "its loudest stretch")
