"""An early prototype's way to the force on a wire, kept to compare with its table: a regression, not evidence.

It differs from the package in three ways: the charge between two cells sits on a full disc and not on the wire's surface,
fields are sampled at cell centres, and force factor and pull are sums of M . dB/dz, not slopes of a co-energy.
"""

from math import pi

import numpy as np

MU0 = 4e-7 * pi
CHI, SATURATION = 100.0, 1.7 / MU0
ACROSS = CHI / (1 + CHI / 2) / MU0


def prototype_entries(field, gap, *, radius=0.19e-3, cell=2e-4, half_length=25e-3, step=1e-2):
    """Force factor (N/A), pull (N) and L1' (N/A^2) at a gap (m), all counted upwards."""
    wire = _Wire(field, gap + radius, radius, cell, half_length)
    plus, rest, minus = wire.force(step), wire.force(0.0), wire.force(-step)
    return (plus - minus) / (2 * step), rest, (plus + minus - 2 * rest) / step**2


class _Wire:
    def __init__(self, field, height, radius, cell, half_length):
        n = round(2 * half_length / cell)
        self.x = (np.arange(n) - (n - 1) / 2) * cell
        self.volume = pi * radius**2 * cell
        ends = np.append(self.x - cell / 2, self.x[-1] + cell / 2)
        distance = self.x[:, None] - ends
        disc = 0.5 * (np.sign(distance) - distance / np.hypot(distance, radius))
        self.coupling = disc[:, 1:] - disc[:, :-1]
        self.magnet, self.coil = (self._sampled(source, height, 0) for source in (field.magnet, field.coil))
        self.magnet_slope, self.coil_slope = (self._sampled(source, height, 1) for source in (field.magnet, field.coil))

    def _sampled(self, source, height, slope):
        there = source.at(height, np.abs(self.x), slope=slope)
        return np.stack([np.sign(self.x) * there.outwards, there.upwards])

    def force(self, current):
        along, up = self.magnet + current * self.coil
        along_slope, up_slope = self.magnet_slope + current * self.coil_slope
        return self.volume * np.sum(self._magnetised(along / MU0) * along_slope + ACROSS * up * up_slope)

    def _magnetised(self, applied):
        field = applied / 10
        for _ in range(60):
            x = CHI * field / SATURATION
            residual = field - applied - self.coupling @ (SATURATION * np.tanh(x))
            step = np.linalg.solve(np.eye(field.size) - self.coupling * (CHI / np.cosh(x) ** 2), residual)
            field = field - step
            if np.max(np.abs(step)) < 1e-12 * np.max(np.abs(applied)):
                break
        return SATURATION * np.tanh(CHI * field / SATURATION)
