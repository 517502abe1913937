"""Matrices and vectors of the axisymmetric field equations for A_φ on second-order elements.

Weak form of curl H = J with B = curl A: ∫ H·curl v r dr dz = ∫ J v r dr dz, curl v = (−∂v/∂z, ∂v/∂r + v/r).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import splu

Floats = NDArray[np.float64]


class Tensor(NamedTuple):
    """Reluctivity dH/dB in every element (E,) or quadrature point (E, Q), m/H."""

    radial: Floats
    axial: Floats
    mixed: Floats


def isotropic(reluctivity: Floats) -> Tensor:
    """The same reluctivity in all directions."""
    return Tensor(reluctivity, reluctivity, np.zeros_like(reluctivity))


def flux_density(basis: Any, potential: Floats) -> tuple[Floats, Floats]:
    """B_r and B_z in every quadrature point (E, Q)."""
    value, outwards, upwards = (np.zeros_like(basis.dx) for _ in range(3))
    for dofs, (shape,) in zip(basis.element_dofs, basis.basis, strict=True):  # skfem's own interpolate sorts all unknowns each time
        share = potential[dofs][:, None]
        value += share * np.asarray(shape)
        outwards += share * shape.grad[0]
        upwards += share * shape.grad[1]
    return -upwards, outwards + value / radius(basis)


def radius(basis: Any) -> Floats:
    """Radius of every quadrature point (E, Q), m."""
    return np.asarray(basis.global_coordinates()[0])


def stiffness(basis: Any, tensor: Tensor) -> Any:
    """Sparse matrix of ∫ (ν B(u))·B(v) r dr dz."""
    from skfem import BilinearForm  # noqa: PLC0415 - as in head_mesh

    @BilinearForm  # type: ignore[untyped-decorator]
    def curl_curl(u: Any, v: Any, w: Any) -> Any:
        r = w.x[0]
        axial = w.axial * (u.grad[0] + u / r) - w.mixed * u.grad[1]
        radial = w.mixed * (u.grad[0] + u / r) - w.radial * u.grad[1]
        return (axial * (v.grad[0] + v / r) - radial * v.grad[1]) * r

    return curl_curl.assemble(basis, **{name: _by_point(part) for name, part in tensor._asdict().items()})


def winding_load(basis: Any, current: Floats) -> Floats:
    """Vector of ∫ J v r dr dz for a current density (E,) or (E, Q), A/m²."""
    from skfem import LinearForm  # noqa: PLC0415

    @LinearForm  # type: ignore[untyped-decorator]
    def load(v: Any, w: Any) -> Any:
        return w.current * v * w.x[0]

    return np.asarray(load.assemble(basis, current=_by_point(current)))


def field_load(basis: Any, radial: Floats, axial: Floats) -> Floats:
    """Vector of ∫ H·curl v r dr dz for a field strength, (E,) or (E, Q), A/m."""
    from skfem import LinearForm  # noqa: PLC0415

    @LinearForm  # type: ignore[untyped-decorator]
    def load(v: Any, w: Any) -> Any:
        return w.axial * (v.grad[0] * w.x[0] + v) - w.radial * v.grad[1] * w.x[0]

    return np.asarray(load.assemble(basis, radial=_by_point(radial), axial=_by_point(axial)))


class Factors:
    """A factorised matrix: potentials for loads, zero on the axis and on the far wall."""

    def __init__(self, basis: Any, matrix: Any) -> None:
        self._free = basis.complement_dofs(basis.get_dofs())
        inner = matrix[self._free][:, self._free].tocsc()
        self._factors = splu(inner, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})

    def solve(self, load: Floats) -> Floats:
        """A_φ (D,) or (D, …) for one or several loads of that shape."""
        potential = np.zeros_like(load)
        potential[self._free] = self._factors.solve(load[self._free])
        return potential


def _by_point(values: Floats) -> Floats:
    return values[:, None] if values.ndim == 1 else values
