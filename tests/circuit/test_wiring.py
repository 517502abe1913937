"""Circuits that have no answer are refused in a sentence that names the part."""

import pytest

from circuit.networks import netlist, split, stage
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Capacitor, Coil, Resistor, Source
from wirebloom.errors import RigError

SOURCE = Source("s", "a", "0", 9.0, 1)


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (
            (SOURCE, Coil("pier coil", "b", "c", 1)),
            r"^pier coil must have a way for current from its node b to ground; .* hangs in the air\.$",
        ),
        ((SOURCE, *split(), stage(plus="nowhere"), Resistor("r", "out", "0", 8.0, 1)), r"^amp must have a way .* node nowhere to ground"),
        ((SOURCE, Capacitor("big one", "a", "0", 1e-3, 1)), r"^big one must have some resistance in line with it; instead received a ring"),
        ((SOURCE, Resistor("short", "a", "0", 0.0, 1)), r"^short must have some resistance in line with it"),
        ((SOURCE, Resistor("backwards", "a", "0", -5.0, 1)), r"^backwards must be a resistance of 0 or more; instead received -5 ohm\.$"),
        (
            (SOURCE, Resistor("r", "a", "b", 5.0, 1), Capacitor("empty", "b", "0", 0.0, 1)),
            r"^empty must be more than 0; instead received 0\.$",
        ),
        ((SOURCE, Resistor("r", "a", "0", 5.0, 1), Resistor("r", "a", "0", 6.0, 1)), r"must differ; instead received r twice\.$"),
    ],
)
def test_refused(parts, words):
    with pytest.raises(RigError, match=words):
        network_of(netlist(*parts))
