"""Impulse responses of bodies that nobody measured."""

import numpy as np


def resonance(rate, frequency=400.0, decay=30.0, seconds=0.3):
    """The response of one mode of a body."""
    time = np.arange(round(seconds * rate)) / rate
    return np.exp(-decay * time) * np.sin(2.0 * np.pi * frequency * time)
