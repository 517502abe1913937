"""Thermal classes of winding wire: what the enamel of a coil bears for good.

The class is the temperature (°C) at which the enamel keeps half of its strength for 20 000 h; ten degrees more halve that time.

Sources
-------
- Classes 105, 120, 130, 155, 180, 200, 220: IEC 60085, and IEC 60172 for the 20 000 h of a wire (from memory).
- The parts of IEC 60317 name each kind of wire with its class: polyvinyl acetal 105 and 120, polyurethane to be soldered 130 and 155,
  polyesterimide 180, polyester with polyamide-imide 200, polyimide 220 (from memory). What a small coil is wound with is mostly
  polyurethane of class 155 (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from wirebloom.rig.dimensions import TEMPERATURE

USUAL = "class 155"
CLASSES = (105, 120, 130, 155, 180, 200, 220)  # °C

ENAMELS: Mapping[str, float] = MappingProxyType({f"class {number}": number + TEMPERATURE.zero["degC"] for number in CLASSES})  # K
