"""The permanent magnets of a round head: by grade, by their figures, by their curve, or by remanence alone."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.curves import Curve, check_demagnetisation, flattest
from wirebloom.rig.fields import Number, OneOf, Quantity, Whole
from wirebloom.rig.iron import Depth, Diameter, Hole, Thickness
from wirebloom.rig.magnetism import MU_0
from wirebloom.rig.magnets import GRADES, UNGRADED_RECOIL, UNGRADED_SPREAD, Knee, MagnetData, energy_limits, graded
from wirebloom.rig.quantities import metres, shown
from wirebloom.rig.sentences import refusal


class Magnet(Table):
    """A permanent magnet, magnetised along the axis.

    Attributes
    ----------
    shape : {"disc", "ring", "rod"}
        What it is called; only a ring has an ``inner_diameter``.
    diameter, inner_diameter, thickness : float
        Size of one, m.
    count : int
        How many of them are stacked on one another.
    top : float
        Depth of the upper face (of the stack) below the face plane, m.
    grade : str or None
        A name of :data:`wirebloom.rig.magnets.GRADES`.
    remanence : float or None
        B_r, T; goes before that of a grade.
    coercivity, energy_product : float or None
        H_cB (A/m) and (BH)max (J/m³) of a magnet with a knee, such as AlNiCo; both or neither, with remanence and recoil permeability.
    curve : tuple of CurvePoint
        Demagnetisation curve, H (A/m) and B (T) from [−H_cB, 0] to [0, B_r]; goes before all other figures.
    recoil_permeability : float or None
        Relative; None: that of the grade, the flattest slope of the curve, or 1.05.
    magnetised : {"apart", "in place"}
        Where it was magnetised: on its own, after which it recoils into the head, or in the finished head. Matters for AlNiCo.
    direction : {"up", "down"}
        Of its magnetisation; up is towards the string.
    """

    shape: Literal["disc", "ring", "rod"]
    diameter: Diameter
    inner_diameter: Hole = 0.0
    thickness: Thickness
    count: Annotated[int, Whole(1, 20)] = 1
    top: Depth
    grade: Annotated[str, OneOf("grade", tuple(GRADES))] | None = None
    remanence: Annotated[float, Quantity(dimensions.FLUX_DENSITY, "0.01 T", "1.6 T")] | None = None
    coercivity: Annotated[float, Quantity(dimensions.FIELD_STRENGTH, "1 kA/m", "2 MA/m")] | None = None
    energy_product: Annotated[float, Quantity(dimensions.ENERGY_DENSITY, "0.1 kJ/m3", "500 kJ/m3")] | None = None
    curve: Curve = ()
    recoil_permeability: Annotated[float, Number(1, 10)] | None = None
    magnetised: Literal["apart", "in place"] = "apart"
    direction: Literal["up", "down"] = "up"

    @property
    def height(self) -> float:
        """Of the whole stack along the axis, m."""
        return round(self.count * self.thickness, 12)

    @property
    def data(self) -> MagnetData:
        """What is known of its material, defaults filled in."""
        if self.curve:
            points = tuple((point.field, point.flux_density) for point in self.curve)
            recoil = flattest(self.curve) if self.recoil_permeability is None else self.recoil_permeability
            return MagnetData(points[-1][1], UNGRADED_SPREAD, recoil, points)
        recoil = UNGRADED_RECOIL if self.recoil_permeability is None else self.recoil_permeability
        if self.remanence is not None and self.coercivity is not None and self.energy_product is not None:
            return MagnetData(self.remanence, UNGRADED_SPREAD, recoil, Knee(self.remanence, self.coercivity, self.energy_product))
        if self.grade is not None:
            return graded(GRADES[self.grade], self.remanence, self.recoil_permeability)
        if self.remanence is None:
            raise ValueError("remanence must be given (or grade, or curve); instead received nothing.")
        return MagnetData(self.remanence, UNGRADED_SPREAD, recoil)

    @model_validator(mode="after")
    def _a_ring_has_a_hole(self) -> Self:
        if self.shape == "ring" and not 0.0 < self.inner_diameter < self.diameter:
            received = metres(self.inner_diameter) if self.inner_diameter else "nothing"
            raise refusal(f"given for a ring, less than diameter ({metres(self.diameter)})", received, key="inner_diameter")
        if self.shape != "ring" and self.inner_diameter:
            raise refusal(f"left out for a {self.shape}", metres(self.inner_diameter), key="inner_diameter")
        return self

    @model_validator(mode="after")
    def _known_and_possible(self) -> Self:
        if self.remanence is None and self.grade is None and not self.curve:
            raise refusal("given, such as 0.38 T (or a grade, or a curve)", "nothing", key="remanence")
        self._figures_together()
        if self.curve:
            check_demagnetisation(self.curve, self.recoil_permeability)
        data = self.data
        if isinstance(data.curve, Knee):
            _check_knee(data.curve, data.recoil_permeability)
        return self

    def _figures_together(self) -> None:
        figures = {name: getattr(self, name) for name in ("coercivity", "energy_product", "remanence", "recoil_permeability")}
        if self.coercivity is None and self.energy_product is None:
            return
        there = " and ".join(name for name in ("coercivity", "energy_product") if figures[name] is not None)
        for name, value in figures.items():
            if value is None:
                raise refusal(f"given together with {there}", "nothing", key=name)


def _check_knee(knee: Knee, recoil: float) -> None:
    """A curve that bulges between the straight line and the recoil line cut off at the coercivity."""
    most = knee.remanence / (MU_0 * recoil)
    if knee.coercivity >= most:
        limit = shown(most, dimensions.FIELD_STRENGTH)
        what = f"less than {limit}, where the recoil line from the remanence ends (recoil_permeability {recoil:g})"
        raise refusal(what, shown(knee.coercivity, dimensions.FIELD_STRENGTH), key="coercivity")
    least, greatest = energy_limits(*knee[:2], recoil)
    if not least < knee.energy_product < greatest:
        low, high = (shown(limit, dimensions.ENERGY_DENSITY) for limit in (least, greatest))
        what = f"between {low} and {high} for this remanence, coercivity and recoil permeability"
        raise refusal(what, shown(knee.energy_product, dimensions.ENERGY_DENSITY), key="energy_product")
