"""Whether the winding of a round head goes into its window."""

from __future__ import annotations

from math import pi

from wirebloom.physics.coil import winding
from wirebloom.rig import RoundHead
from wirebloom.rig.wires import turns_that_fit
from wirebloom.take.head_parts import WindingSheet


def winding_sheet(head: RoundHead) -> WindingSheet:
    """Turns against the window, and the copper in it."""
    coil, copper = head.coil, head.coil.copper
    width, height = (coil.outer_diameter - coil.inner_diameter) / 2, coil.bottom - coil.top
    wound = winding(coil)
    return WindingSheet(
        turns=coil.turns,
        wire=coil.wire,
        bare_m=copper.diameter,
        overall_m=copper.overall_diameter,
        most_overall_m=copper.most_overall,
        window_width_m=width,
        window_height_m=height,
        closest_turns=turns_that_fit(copper.overall_diameter, width, height),
        certain_turns=turns_that_fit(copper.most_overall, width, height),
        filling=coil.turns * copper.overall_diameter**2 / (width * height),
        copper_share=coil.turns * copper.area / (width * height),
        wire_length_m=wound.length,
        copper_kg=wound.mass,
        mean_turn_m=pi * (coil.inner_diameter + coil.outer_diameter) / 2,
    )
