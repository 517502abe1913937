"""Loops of stages for the tests: built in SI, and their response to a string by nodal analysis that knows nothing of the package's."""

import numpy as np

from circuit.admittances import voltages
from wirebloom.circuit.blocks import stage_parts
from wirebloom.circuit.parts import Netlist
from wirebloom.circuit.rails import loop_rails
from wirebloom.circuit.supplies import supply_parts
from wirebloom.rig import Buffer, Link, Loop, OpAmp, PowerChip
from wirebloom.rig.supplies import Ideal

WINDINGS = (24.0, 1e9)  # ohm: no drive coil to speak of, so that what is read is the block's own
FAST = {"gain_bandwidth": 1e10, "slew": 1e9, "open_gain": 1e8, "input_capacitance": 0.0, "input_resistance": 1e12}


def op_amp(topology, **keys):
    return OpAmp(kind="op-amp", topology=topology, **({"feedback": 99e3} | FAST | keys))


def inverting(**keys):
    return op_amp("inverting", **keys)


def straight(**keys):
    return op_amp("non-inverting", **({"to_ground": 1e3} | keys))


def chip(**keys):
    return PowerChip(kind="power chip", **(FAST | keys))


def buffer(**keys):
    return Buffer(kind="buffer", **({key: value for key, value in FAST.items() if key != "open_gain"} | keys))


def coupling(**keys):
    return Link(kind="coupling", **keys)


def loop_of(*stages, **keys):
    return Loop(name="main", sense=("sense",), drive=("drive",), supply="bench", stages=stages, **keys)


def built(*stages, supply=None, windings=WINDINGS, **keys):
    """Netlist of one loop on a split supply of 9 V, or on the one that is given."""
    loop, own = loop_of(*stages, **keys), supply or Ideal(name="bench", voltage=9.0, split=True)
    rest, feed = loop_rails(loop, 0, own)
    parts, meters = stage_parts(loop, 0, windings, rest)
    return Netlist((*supply_parts(own), *feed, *parts), tuple(meters), ("main",))


def gain(net, hertz, node="main.out", **more):
    """Complex gain from the voltage of a string that moves towards the head (the EMF's negative) to a node."""
    return voltages(net, 2j * np.pi * hertz, emf={0: -1.0}, supply=0.0, **more)[node]
