"""Numbers as a maker reads them: three figures, a prefix that fits, the unit."""

from __future__ import annotations

import math

PREFIXES = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}


def figures(value: float, digits: int = 3) -> str:
    """Return the number with so many significant figures, never in powers of ten within reason.

    Examples
    --------
    >>> figures(0.0123456), figures(98.04), figures(1234.5), figures(0.0)
    ('0.0123', '98', '1230', '0')
    """
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def amount(value: float, unit: str, digits: int = 3) -> str:
    """Return a value with the prefix that leaves one to three figures before the point.

    Examples
    --------
    >>> amount(0.00736, "V"), amount(0.0, "V"), amount(1.5e-6, "m"), amount(1.9e9, "Pa")
    ('7.36 mV', '0 V', '1.5 µm', '1.9 GPa')
    """
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g} {unit}"
    rounded = float(f"{value:.{digits - 1}e}")
    power = 3 * math.floor(math.log10(abs(rounded)) / 3)
    power = min(max(power, min(PREFIXES)), max(PREFIXES))
    return f"{figures(rounded / 10.0**power, digits)} {PREFIXES[power]}{unit}"
