"""What the time loop and the reports need to know of a string over a head, from its geometry or from measurements.

The co-energy W′ = W₀ + Λ i + ½ L₁ i² over gap and sideways offset. Force on the string: −∂W′/∂gap upwards away from the
head is negative, so the pull is −∂W₀/∂gap and the force factor K = −∂Λ/∂gap.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from wirebloom.physics import bspline
from wirebloom.physics.cache import Arrays, digest, remember
from wirebloom.rig.heads import Head, MeasuredHead, RoundHead
from wirebloom.rig.magnetism import Magnetism

Floats = NDArray[np.float64]

GAP_START, GAP_STEP, GAP_NODES = -1e-4, 5e-5, 243  # −0.1 … 12 mm: below 0 for a string pressed into the face
REMANENCE = 0.1  # share by which the magnets are made weaker and stronger for the band
SOURCES = ("bias susceptibility", "reversible susceptibility", "law", "saturation", "remanence")  # of the band
OFFSET_STEP, OFFSET_SPAN = 2.5e-4, 4e-3  # m; the pull sideways is smooth, a finer step buys nothing


@dataclass(frozen=True)
class HeadTable:
    """A string over a head.

    Attributes
    ----------
    gap, offset : (G,), (Y,) ndarray
        Nodes, uniform, m.
    coenergy, flux, inductance_change : (G, Y) ndarray
        W₀ (J), Λ (Wb), L₁ (H).
    coefficient : (G + 2, Y + 2, 4) ndarray
        Uniform cubic B-spline coefficients of W₀, Λ, L₁ and of a pad of zeros.
    load_x : (X,) ndarray
        Places along the string relative to the head's axis, m, uniform.
    load : (3, G, X) ndarray
        How the static force, the force per ampere and that per square ampere spread along the string at each gap, 1/m; the
        sum of each times the spacing is 1.
    band_gap : (B,) ndarray
        Gaps of the band, m.
    band : (B, Q, 2, 2) ndarray
        ln of force factor and pull (last axis) over their values here if one of the `SOURCES` were at the weak or the
        strong end of its range.
    ladder : (2, 3) ndarray
        Eddy currents in a solid core as two stages: inductance (H), resistance (Ω) and share of the string's flux; zeros: none.
    resistance, inductance : float
        Of the coil at 20 °C and without a string, Ω and H.
    dipole : float
        Far-field moment per ampere, A m²/A; 0 for a measured head that states none.
    face_field : float or None
        B_z of the magnets on the axis 1 mm above the face, T; None where only measurements are known.
    core_field : float or None
        Flux density of the magnets in iron whose curve is not known, T; above about 1.4 T its linear law is too generous.
    copper_mass, wire_length : float or None
        Of the winding, kg and m.
    """

    gap: Floats
    offset: Floats
    coenergy: Floats
    flux: Floats
    inductance_change: Floats
    coefficient: Floats
    load_x: Floats
    load: Floats
    band_gap: Floats
    band: Floats
    ladder: Floats
    resistance: float
    inductance: float
    dipole: float
    face_field: float | None
    core_field: float | None
    copper_mass: float | None
    wire_length: float | None

    @property
    def gap_start(self) -> float:
        """Gap of the first node, where the first full knot interval begins, m."""
        return float(self.gap[0])

    @property
    def gap_step(self) -> float:
        """Distance of the nodes in gap, m."""
        return float(self.gap[-1] - self.gap[0]) / (self.gap.size - 1)

    @property
    def offset_start(self) -> float:
        """Offset of the first node, m."""
        return float(self.offset[0])

    @property
    def offset_step(self) -> float:
        """Distance of the nodes in offset, m."""
        return float(self.offset[-1] - self.offset[0]) / (self.offset.size - 1)

    def scaled(self, factor: float, pull: float) -> HeadTable:
        """The same head with so many times the force factor (and flux linkage, and L₁) and so many times the pull."""
        parts = np.array([pull, factor, factor, 1.0])
        return replace(
            self,
            coenergy=pull * self.coenergy,
            flux=factor * self.flux,
            inductance_change=factor * self.inductance_change,
            coefficient=parts * self.coefficient,
        )

    def force_factor(self, gap: float, offset: float = 0.0) -> float:
        """Force factor K = −∂Λ/∂gap, N/A: pull per ampere, and volts per speed of the string."""
        return 0.0 - float(self._slopes(gap, offset, 1, 0)[1])  # not −x: a head without magnets would have −0

    def pull(self, gap: float, offset: float = 0.0) -> float:
        """Static pull towards the head without current, −∂W₀/∂gap, N."""
        return 0.0 - float(self._slopes(gap, offset, 1, 0)[0])

    def sideways_force(self, gap: float, offset: float = 0.0) -> float:
        """Static force in the direction of growing offset, ∂W₀/∂offset, N; negative at a positive offset: it restores."""
        return float(self._slopes(gap, offset, 0, 1)[0])

    def _slopes(self, gap: float, offset: float, along_gap: int, along_offset: int) -> Floats:
        axes = (self.gap_start, self.gap_step), (self.offset_start, self.offset_step)
        return np.asarray(bspline.evaluate(self.coefficient, axes, np.array([gap]), np.array([offset]), dx=along_gap, dy=along_offset)[0])


def head_table(
    head: Head,
    wire_diameter: float,
    steel: Magnetism,
    offset: float = 0.0,
    cache: Path | None = None,
    *,
    core_diameter: float | None = None,
) -> HeadTable:
    """Table of a string over a head, over gaps from −0.1 to 12 mm and 4 mm to both sides of an offset.

    Parameters
    ----------
    head : RoundHead or MeasuredHead
    wire_diameter : float
        Outer diameter of the string, m.
    steel : Magnetism
        Of the string.
    offset : float
        Rest position of the string beside the head's axis, m.
    cache : Path, optional
        Folder for computed tables; None: neither look there nor store.
    core_diameter : float, optional
        Of a wound string's steel core, m.

    Returns
    -------
    HeadTable
    """
    axis = _offset_axis(offset)
    if isinstance(head, MeasuredHead):
        from wirebloom.physics.measured import measured_table  # noqa: PLC0415 - it builds on this module

        return measured_table(head, gap_axis(), axis)
    string = (wire_diameter, core_diameter or wire_diameter)
    build = cast(RoundHead, head)
    inputs = _inputs(build, string, steel, axis, offset)

    def compute() -> Arrays:
        from wirebloom.physics.round_head import round_table  # noqa: PLC0415 - a second of imports that a cached table spares

        return {name: np.asarray(value) for name, value in vars(round_table(build, string, steel, axis, offset)).items()}

    return _unpacked(remember(None if cache is None else cache / "heads", digest(inputs), compute))


def assemble(offset: Floats, parts: Floats, load: tuple[Floats, Floats], **others: float | Floats | None) -> HeadTable:
    """Table from values at the nodes.

    Parameters
    ----------
    offset : (Y,) ndarray
        Offset nodes, m.
    parts : (3, G, Y) ndarray
        W₀, Λ, L₁ at the nodes of gap and offset.
    load : ((X,), (3, G, X)) ndarrays
        Places and normalised densities.
    **others : float, ndarray or None
        The remaining attributes of HeadTable; without a band and a ladder: none is known.

    Returns
    -------
    HeadTable
    """
    padded = np.concatenate([parts, np.zeros_like(parts[:1])])
    coefficient = bspline.coefficients(bspline.coefficients(padded, axis=1), axis=2)
    arrays = {
        "gap": gap_axis(),
        "offset": offset,
        **dict(zip(("coenergy", "flux", "inductance_change"), parts, strict=True)),
        "coefficient": np.ascontiguousarray(np.moveaxis(coefficient, 0, -1)),
        **dict(zip(("load_x", "load"), load, strict=True)),
    }
    return _filled({**_nothing_known(), **arrays, **others})


def _nothing_known() -> dict[str, Any]:
    """No band and no eddy currents."""
    return {"band_gap": np.zeros(1), "band": np.zeros((1, 0, 2, 2)), "ladder": np.zeros((2, 3))}


def gap_axis() -> Floats:
    """Nodes of the gap, m."""
    return np.asarray(GAP_START + GAP_STEP * np.arange(GAP_NODES), dtype=np.float64)


def _offset_axis(offset: float) -> Floats:
    """Nodes around an offset, always as many; on whole steps, so that a place and its mirror image share one computation."""
    reach = round(OFFSET_SPAN / OFFSET_STEP)
    return np.asarray(OFFSET_STEP * (round(offset / OFFSET_STEP) + np.arange(-reach, reach + 1.0)))


def _inputs(head: RoundHead, string: tuple[float, float], steel: Magnetism, axis: Floats, offset: float) -> dict[str, Any]:
    """Everything a round head's table depends on besides the code."""
    parts = head.model_dump(mode="json", include={"core", "coil", "magnets", "plates"})
    known, iron = head.measured, (*(() if head.core is None else (head.core,)), *head.plates)
    return {
        **parts,
        "grades": [repr(magnet.data) for magnet in head.magnets],
        "steels": [part.points for part in iron],
        "copper": asdict(head.coil.copper),
        "string": string,
        "steel": asdict(steel),
        "offset": (offset, axis.tolist()),
        "face field": None if known is None else (known.face_field, known.height),
    }


def _unpacked(arrays: Arrays) -> HeadTable:
    """Table from the cache's arrays."""
    return _filled({name: array if array.ndim else float(array) for name, array in arrays.items()})


def _filled(values: dict[str, Any]) -> HeadTable:
    return HeadTable(**values)
