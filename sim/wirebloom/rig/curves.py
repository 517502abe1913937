"""Magnetisation curves as a scenario states them: points [H, B], checked for what no material does."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, NamedTuple

from wirebloom.rig import dimensions
from wirebloom.rig.fields import Quantity
from wirebloom.rig.magnetism import MU_0
from wirebloom.rig.quantities import shown
from wirebloom.rig.sentences import refusal

LEAST_POINTS = 3
HAIR = 1e-3  # relative room for rounded tables


class CurvePoint(NamedTuple):
    """One point of a magnetisation curve: field strength (A/m) and flux density (T)."""

    field: Annotated[float, Quantity(dimensions.FIELD_STRENGTH, "-2 MA/m", "2 MA/m")]
    flux_density: Annotated[float, Quantity(dimensions.FLUX_DENSITY, "0 T", "4 T")]


Curve = tuple[CurvePoint, ...]


def check_magnetisation(points: Curve) -> None:
    """Refuse a soft material's curve that is not from [0, 0] upwards with a permeability of at least 1.

    Raises
    ------
    pydantic_core.PydanticCustomError
    """
    if len(points) < LEAST_POINTS or points[0] != (0.0, 0.0):
        raise refusal("a list of at least 3 points [H, B] from [0 A/m, 0 T] upwards", _listed(points), key="curve")
    _rising(points)
    if flattest(points) < 1.0 - HAIR:
        raise refusal("nowhere flatter than air (relative permeability 1)", f"a piece with {flattest(points):.3g}", key="curve")


def flattest(points: Curve) -> float:
    """Smallest relative permeability dB/(μ0 dH) between neighbouring points."""
    return min((high.flux_density - low.flux_density) / (MU_0 * (high.field - low.field)) for low, high in pairwise(points))


def check_demagnetisation(points: Curve, recoil: float | None = None) -> None:
    """Refuse a magnet's curve that does not rise from [−H_cB, 0] to [0, B_r], or that a recoil line leaves.

    Parameters
    ----------
    points : tuple of CurvePoint
    recoil : float or None
        Relative recoil permeability, if it is stated; else the curve must only not be flatter than air.

    Raises
    ------
    pydantic_core.PydanticCustomError
    """
    if len(points) < LEAST_POINTS or points[0].flux_density != 0.0 or points[-1].field != 0.0 or points[0].field >= 0.0:
        raise refusal("a list of at least 3 points [H, B] from [-HcB, 0 T] up to [0 A/m, Br]", _listed(points), key="curve")
    _rising(points)
    least, line = (1.0, "air (relative permeability 1)") if recoil is None else (recoil, f"its recoil_permeability {recoil:g}")
    if flattest(points) < (1.0 - HAIR) * least:
        raise refusal(f"nowhere flatter than {line}", f"a piece with {flattest(points):.3g}", key="curve")


def _rising(points: Curve) -> None:
    for low, high in pairwise(points):
        if not (high.field > low.field and high.flux_density > low.flux_density):
            raise refusal("rising in H and in B from point to point", f"{_told(low)} followed by {_told(high)}", key="curve")


def _told(point: CurvePoint) -> str:
    return f"[{shown(point.field, dimensions.FIELD_STRENGTH)}, {shown(point.flux_density, dimensions.FLUX_DENSITY)}]"


def _listed(points: Curve) -> str:
    return f"a list of {len(points)} from {_told(points[0])} to {_told(points[-1])}" if points else "an empty list"
