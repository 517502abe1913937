"""Runs a compiled rig and returns its take."""

from wirebloom.run.simulate import simulate

__all__ = ["simulate"]
