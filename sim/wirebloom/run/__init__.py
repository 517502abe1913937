"""Runs a compiled rig and returns its take."""

from wirebloom.run.banded import simulate_banded
from wirebloom.run.simulate import simulate

__all__ = ["simulate", "simulate_banded"]
