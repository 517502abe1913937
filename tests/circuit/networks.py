"""Netlists for the tests, and the response of the package's equations to a supply or an EMF."""

from itertools import pairwise

import numpy as np

from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Capacitor, Follower, Inductor, Meter, Netlist, Resistor, Source, Stage


def netlist(*parts, meter=(), loops=("main",)):
    """One loop; meter: nodes whose voltage is recorded as its output."""
    return Netlist(tuple(parts), tuple(Meter("output", 0, ((name, "0"),)) for name in meter), loops)


def stage(name="amp", out="out", plus="in", minus="0", **more):
    settings = {"gain": 1e5, "bandwidth": 3e6, "slew": 13e6, "supply": 9.0} | more
    return Stage(name, out, plus, minus, ref="0", high="sup", low="neg", loop=0, **settings)


def split(volts=9.0):
    return Source("plus", "sup", "0", volts, 1), Source("minus", "neg", "0", -volts, 1)


def response(net, hertz, *, emf=None, henry=None, supply=0.0):
    """Complex z of a Netlist's equations at one frequency: EMF (V) and inductance (H) by circuit, supply as a sine of that size."""
    network, stages = network_of(net)
    states, circuits, count = network.rate.shape[0], network.voltage.shape[0], len(stages)
    known = states + circuits + count
    s = 2j * np.pi * hertz
    matrix = np.concatenate([network.rate, network.voltage, network.heard]).astype(complex)
    right = -matrix[:, known] * supply
    matrix = matrix[:, :known]
    for k in range(states):
        matrix[k, k] -= s
    for c in range(circuits):
        matrix[states + c, states + c] -= s * (henry or {}).get(c, 0.0)
        right[states + c] -= (emf or {}).get(c, 0.0)
        if not matrix[states + c].any():  # no coil at all: no current
            matrix[states + c, states + c] = 1.0
    for w, part in enumerate(stages):
        rate = 2 * np.pi * part.bandwidth
        matrix[states + circuits + w, states + circuits + w] -= (s + rate / part.gain) / rate
    z = np.concatenate([np.linalg.solve(matrix, right), np.zeros(network.rate.shape[1] - known)])
    z[known] = supply
    return network, z


def ladder(random, nodes=6, parts=14):
    """A random network of resistors, capacitors, inductors and followers that has a way to ground from everywhere."""
    names = ["0", "top", *(f"n{k}" for k in range(nodes))]
    found = [Source("drive", "top", "0", 1.0, 1)]
    found += [Resistor(f"way {k}", a, b, 10 ** random.uniform(1, 4), 1) for k, (a, b) in enumerate(pairwise(names[1:]))]
    found += [Resistor("end", names[-1], "0", 1e3, 1)]
    for k in range(parts):
        a, b = random.choice(names[2:], 2, replace=False)
        if k % 3 == 0:
            found.append(Resistor(f"resistor {k}", a, b, 10 ** random.uniform(1, 5), 1))
        elif k % 3 == 1:
            found += [Resistor(f"lead {k}", a, f"m{k}", 10 ** random.uniform(0, 3), 1)]
            found += [Capacitor(f"capacitor {k}", f"m{k}", b, 10 ** random.uniform(-8, -5), 1)]
        else:
            found.append(Inductor(f"inductor {k}", a, b, 10 ** random.uniform(-3, -1), 1))
    found.append(Follower("buffer", "copy", "0", names[2], names[3], 2.5, 1))
    found.append(Resistor("load", "copy", names[-1], 470.0, 1))
    return netlist(*found, meter=(names[-1],))
