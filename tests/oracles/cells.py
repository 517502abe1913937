"""A wire of linear steel cut into small cuboids, magnetised by a general-purpose library's demagnetising tensor.

Cuboids of magpylib, their mutual tensor from magpylib-material-response. The wire is straight along x; its mirror image at
the plane x = 0 halves the equations. Charges come up wherever they want: on the surface, in the section, at the ends.
"""

from dataclasses import dataclass
from functools import cached_property
from math import pi

import magpylib
import numpy as np
from magpylib_material_response.demag import demag_tensor
from scipy.linalg import lu_factor, lu_solve

from heads import MU0


@dataclass(frozen=True)
class Cells:
    """Lengths in m; ``across`` cuboids stand side by side, those outside the section left out, the rest as large as the section."""

    radius: float
    half_length: float
    chi: float
    length: float = 1e-4
    across: int = 4

    @cached_property
    def section(self):
        """Centres (k, 2) of the cuboids in the section and their width."""
        width = 2 * self.radius / self.across
        side = (np.arange(self.across) - (self.across - 1) / 2) * width
        y, z = (axis.ravel() for axis in np.meshgrid(side, side))
        inside = np.hypot(y, z) < self.radius
        scale = np.sqrt(pi * self.radius**2 / (inside.sum() * width**2))
        return scale * np.stack([y[inside], z[inside]], axis=1), scale * width

    @cached_property
    def centres(self):
        """(n, 3), those with x > 0 behind their mirror images in reverse order."""
        section, _ = self.section
        cells = round(2 * self.half_length / self.length)
        x = (np.arange(cells) - (cells - 1) / 2) * self.length
        x, k = np.repeat(x, len(section)), np.tile(np.arange(len(section)), cells)
        return np.column_stack([x, section[k]])

    @property
    def volume(self):
        return self.length * self.section[1] ** 2

    def polarisation(self, applied):
        """J (n, 3) in applied fields B (n, 3), T, that are those of a source symmetric about x = 0."""
        half = self._applied_half(applied)
        found = lu_solve(self._factors, self.chi * half.ravel()).reshape(half.shape)
        return self._whole(found)

    def force(self, polarisation, slope):
        """Upwards, N: of moments J V/mu0 in fields of a slope dB/dz (n, 3), T/m."""
        return self.volume / MU0 * np.sum(polarisation * slope)

    def _applied_half(self, applied):
        return applied[len(applied) // 2 :]

    def _whole(self, half):
        count = len(self.section[0])
        image = (half * [-1.0, 1.0, 1.0]).reshape(-1, count, 3)[::-1].reshape(-1, 3)
        return np.concatenate([image, half])

    @cached_property
    def _factors(self):
        """Of (I - chi T) on the half x > 0."""
        size = (self.length, self.section[1], self.section[1])
        cuboids = [magpylib.magnet.Cuboid(dimension=size, position=at, polarization=(0, 0, 0)) for at in self.centres]
        tensor = MU0 * np.moveaxis(demag_tensor(cuboids, interaction="newell"), 0, 2)  # [i, j, k, m]: mu0 H_m in j of J_k = 1 in i
        n, count = len(cuboids), len(self.section[0])
        image = np.arange(n).reshape(-1, count)[::-1].ravel()[n // 2 :]
        right = np.arange(n // 2, n)
        folded = tensor[right][:, right] + np.array([-1.0, 1.0, 1.0])[None, None, :, None] * tensor[image][:, right]
        matrix = folded.transpose(1, 3, 0, 2).reshape(3 * len(right), 3 * len(right))
        return lu_factor(np.eye(len(matrix)) - self.chi * matrix)
