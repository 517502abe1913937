"""The same netlists at one complex frequency by textbook nodal analysis: admittances, no states. Knows nothing of the package."""

import numpy as np

from wirebloom.circuit.parts import GROUND, Capacitor, Coil, Follower, Inductor, Resistor, Source, Stage


def voltages(netlist, s, *, emf=None, henry=None, supply=1.0):
    """Complex node voltages at s = jω: emf (V) and inductance (H) of every circuit's coil, supplies at so many times their volts."""
    emf, henry = emf or {}, henry or {}
    parts = netlist.parts
    names = dict.fromkeys(
        getattr(p, end) for p in parts for end in ("a", "b", "out", "plus", "minus", "ref", "high", "low") if hasattr(p, end)
    )
    names.pop(GROUND, None)
    node = {name: k for k, name in enumerate(names)}
    held = [p for p in parts if isinstance(p, Source | Follower | Stage | Coil) or (isinstance(p, Resistor) and p.ohm == 0)]
    size = len(node) + len(held)
    matrix, right = np.zeros((size, size), dtype=complex), np.zeros(size, dtype=complex)

    def put(row, name, value):
        if name != GROUND:
            matrix[row, node[name]] += value

    for part in parts:
        if isinstance(part, Resistor | Capacitor | Inductor) and part not in held:
            y = {Resistor: lambda p: 1 / p.ohm, Capacitor: lambda p: s * p.farad, Inductor: lambda p: 1 / (s * p.henry)}[type(part)](part)
            for one, other in ((part.a, part.b), (part.b, part.a)):
                if one != GROUND:
                    put(node[one], one, y)
                    put(node[one], other, -y)
    for k, part in enumerate(held, start=len(node)):
        a, b = (part.out, GROUND) if isinstance(part, Stage) else (part.a, part.b)
        for name, sign in ((a, 1), (b, -1)):
            put(k, name, sign)
            if name != GROUND:
                matrix[node[name], k] += sign
        if isinstance(part, Source):
            right[k] = supply * part.volts
        elif isinstance(part, Follower):
            put(k, part.plus, -part.gain)
            put(k, part.minus, part.gain)
        elif isinstance(part, Coil):  # V = L di/dt − e, the current from a to b
            matrix[k, k] -= s * henry.get(part.circuit, 0.0)
            right[k] = -emf.get(part.circuit, 0.0)
        elif isinstance(part, Stage):
            rate = 2 * np.pi * part.bandwidth
            gain = rate / (s + rate / part.gain)
            put(k, part.ref, -1)
            put(k, part.plus, -gain)
            put(k, part.minus, gain)
            put(k, part.high, -gain * part.rejection)
            put(k, part.low, gain * part.rejection)
            right[k] = -gain * part.rejection * part.supply * supply
    answer = np.linalg.solve(matrix, right)
    return {name: answer[k] for name, k in node.items()} | {GROUND: 0.0}
