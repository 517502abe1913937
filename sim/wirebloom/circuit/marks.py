"""Short marks for the parts of a circuit, as a maker writes them on a drawing: R1, C2, L1, U1; and node names that any simulator takes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence

from wirebloom.circuit.parts import GROUND, Capacitor, Coil, Follower, Inductor, Part, Resistor, Source, Stage

LETTERS = {Resistor: "R", Capacitor: "C", Inductor: "L", Coil: "L", Source: "V", Follower: "E", Stage: "U"}
UNITS = {"R": "ohm", "C": "F", "L": "H", "V": "V"}
PREFIXES = ((1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "u"), (1e-9, "n"), (1e-12, "p"))


def marks(parts: Iterable[Part]) -> dict[str, str]:
    """Mark of every part by its name, numbered in order.

    Examples
    --------
    >>> marks([Resistor("feedback resistor", "a", "0", 1e4, 0), Capacitor("input capacitor", "a", "0", 1e-6, 0)])
    {'feedback resistor': 'R1', 'input capacitor': 'C1'}
    """
    count: Counter[str] = Counter()
    found = {}
    for part in parts:
        letter = LETTERS[type(part)]
        count[letter] += 1
        found[part.name] = f"{letter}{count[letter]}"
    return found


def written(value: float, unit: str, digits: int = 4) -> str:
    """A value as it stands on a drawing.

    Examples
    --------
    >>> written(4.7e-7, "F"), written(1350.0, "ohm"), written(0.0, "V")
    ('470 nF', '1.35 kohm', '0 V')
    """
    size = next((pair for pair in PREFIXES if abs(value) >= 0.9999995 * pair[0]), PREFIXES[-1])
    factor, prefix = (1.0, "") if value == 0.0 else size
    return f"{value / factor:.{digits}g} {prefix}{unit}"


class Nodes:
    """Node names as every simulator takes them: small letters, digits and underscores, no two alike."""

    def __init__(self, taken: Sequence[str] = ()) -> None:
        self._named = {GROUND: "0"}
        self._taken = {"0", "gnd", *taken}

    def __call__(self, name: str) -> str:
        """The node's name in the deck.

        Examples
        --------
        >>> node = Nodes()
        >>> node("pier wall.in"), node("pier-wall.in"), node("0")
        ('pier_wall_in', 'pier_wall_in_2', '0')
        """
        if name not in self._named:
            self._named[name] = self._free(re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_") or "node")
        return self._named[name]

    def _free(self, wanted: str) -> str:
        wanted = f"n_{wanted}" if wanted[0].isdigit() else wanted
        name, count = wanted, 1
        while name in self._taken:
            count += 1
            name = f"{wanted}_{count}"
        self._taken.add(name)
        return name
