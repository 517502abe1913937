"""The same rig with all its strings held still where they rest, as if a hand lay on them: what is left is the electronics."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from wirebloom.kernels.ledger import core_linkages, linkages, pole_motion

if TYPE_CHECKING:
    from wirebloom.compile.model import Compiled


def with_strings_held(compiled: Compiled) -> Compiled:
    """Hold all strings of a compiled rig: heads meet them at their rest gaps, and nothing moves them."""
    model, state = compiled.model, compiled.state
    moved, poles = pole_motion(model, compiled.rest), model.poles
    still = poles._replace(gap=poles.gap - moved[:, 0], offset=poles.offset + moved[:, 1], weight=np.zeros_like(poles.weight))
    drivers = model.drivers._replace(weight=np.zeros_like(model.drivers.weight))
    held = model._replace(poles=still, drivers=drivers)
    zero, nowhere = np.zeros_like(state.q), np.zeros_like(moved)
    flux, eddy = linkages(held, nowhere), core_linkages(held, nowhere)
    begun = state._replace(q=zero, v=zero.copy(), flux=flux, eddy=eddy, last_gap=still.gap.copy())
    return replace(compiled, model=held, state=begun, rest=zero.copy())
