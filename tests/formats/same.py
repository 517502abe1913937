"""Equality of takes to the last bit."""

from dataclasses import fields, is_dataclass

import numpy as np


def differences(one, other, where="take"):
    """Where two takes differ in type, size or any bit: a list of names, empty if nowhere."""
    if type(one) is not type(other):
        return [f"{where}: {type(one).__name__} and {type(other).__name__}"]
    if is_dataclass(one):
        return [d for f in fields(one) for d in differences(getattr(one, f.name), getattr(other, f.name), f"{where}.{f.name}")]
    if isinstance(one, np.ndarray):
        alike = one.dtype == other.dtype and one.shape == other.shape and one.tobytes() == other.tobytes()
        return [] if alike else [where]
    if isinstance(one, tuple) and len(one) == len(other):
        return [d for place, pair in enumerate(zip(one, other, strict=True)) for d in differences(*pair, f"{where}[{place}]")]
    return [] if one == other else [where]
