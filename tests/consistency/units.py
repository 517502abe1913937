"""The dimension of every number the time loop is handed, and the same rig told in other units.

A table of exponents of kilogram, metre, second and ampere. Whoever adds a number to the layout adds its dimension here.
"""

from typing import NamedTuple

import numpy as np

from twins import classic
from wirebloom.kernels import layout

Exponents = tuple[float, float, float, float]  # of kg, m, s, A

MASS, LENGTH, TIME, CURRENT = (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)
PER_MASS, PER_TIME, SPEED = (-1, 0, 0, 0), (0, 0, -1, 0), (0, 1, -1, 0)
FORCE, ENERGY, PER_LENGTH_OF_FORCE = (1, 1, -2, 0), (1, 2, -2, 0), (1, 0, -2, 0)
VOLTAGE, FLUX, INDUCTANCE = (1, 2, -3, -1), (1, 2, -2, -1), (1, 2, -2, -2)
RESISTANCE, CONDUCTANCE = (1, 2, -3, -2), (-1, -2, 3, 2)
CAPACITANCE, ELASTANCE, SLEW = (-1, -2, 4, 2), (1, 2, -4, -2), (1, 2, -4, -1)
DASHPOT, CHARGE = (1, 0, -1, 0), (0, 0, 1, 1)
AREA, FLUX_DENSITY_RATE = (0, 2, 0, 0), (1, 0, -3, -1)  # m², T/s

SUMS = ("products", "recent")  # of columns of the network: each of a unit of its own, and the energies tell of them all
DIMENSIONS: dict[type, dict[str, Exponents]] = {
    layout.Strings: {
        "inverse_mass": PER_MASS,
        "inverse_density": (-1, 1, 0, 0),
        "stretch": FORCE,
        "curvature": (0, -2, 0, 0),
        "bridge": PER_LENGTH_OF_FORCE,
        "frequency": PER_TIME,
        "decay": PER_TIME,
    },
    layout.Rotation: {"qv": TIME, "vq": PER_TIME},
    layout.Poles: {"gap": LENGTH, "offset": LENGTH},
    layout.Tables: {"gap_start": LENGTH, "gap_step": LENGTH, "offset_start": LENGTH, "offset_step": LENGTH},
    layout.Contacts: {
        "strength": PER_MASS,
        "stiffness": (1, -0.5, -2, 0),  # N/m^1.5
        "loss": (0, -1, 1, 0),
        "radius": LENGTH,
        "recess": LENGTH,
    },
    layout.Dampers: {"strength": PER_MASS, "resistance": DASHPOT},
    layout.Drivers: {},
    layout.Coils: {"inductance": INDUCTANCE, "area": AREA, "noise": VOLTAGE},
    classic.Circuits: {"inductance": INDUCTANCE, "resistance": RESISTANCE, "elastance": ELASTANCE, "area": AREA},
    layout.Cores: {"inductance": INDUCTANCE, "resistance": RESISTANCE},
    layout.Stages: {
        **dict.fromkeys(("rate", "attack", "release"), PER_TIME),
        "slew": SLEW,
        **dict.fromkeys(("headroom_high", "headroom_low", "offset", "noise", "target"), VOLTAGE),
        "bend": RESISTANCE,
        **dict.fromkeys(("limit", "quiescent"), CURRENT),
    },
    classic.Amplifiers: {
        "node_capacitance": CAPACITANCE,
        "node_conductance": CONDUCTANCE,
        "allpass_rate": PER_TIME,
        "rate": PER_TIME,
        "slew": SLEW,
        **dict.fromkeys(("low", "high", "bias", "offset", "coil_noise", "input_noise"), VOLTAGE),
    },
    layout.State: {
        "q": LENGTH,
        "v": SPEED,
        "flux": FLUX,
        "eddy": FLUX,
        **dict.fromkeys(("x", "output", "envelope"), VOLTAGE),  # of the classic loops, whose states are voltages alone
        "draw": CURRENT,
        "drawn": CHARGE,
        "contact": (0.5, 1, -1, 0),
        "last_gap": LENGTH,
        **dict.fromkeys((name for name in layout.State._fields[layout.State._fields.index("work") :] if name not in SUMS), ENERGY),
    },
    layout.Inputs: {"force": FORCE, "stray": FLUX_DENSITY_RATE},
    layout.Record: {
        "displacement": LENGTH,
        "force": FORCE,
        "contact": FORCE,
        "current": CURRENT,
        **dict.fromkeys(("node", "output", "capacitor", "supply"), VOLTAGE),
        "bridge": FORCE,
    },
}
COEFFICIENT = np.array([ENERGY, FLUX, INDUCTANCE, (0, 0, 0, 0)])  # last axis of the head tables


def size(exponents: Exponents, units: Exponents) -> float:
    """How many new units one old unit of this dimension is; `units` tells the same of kg, m, s and A."""
    return float(np.prod(np.power(np.asarray(units, dtype=float), exponents)))


def told_in(units: Exponents, numbers: NamedTuple) -> NamedTuple:
    """A tuple of the layout (not a Model) in other units."""
    known = DIMENSIONS[layout.State if isinstance(numbers, layout.State) else type(numbers)]
    told = {name: getattr(numbers, name) * size(exponents, units) for name, exponents in known.items()}
    if isinstance(numbers, layout.Tables):
        told["coefficient"] = numbers.coefficient * np.array([size(row, units) for row in COEFFICIENT])
    return numbers._replace(**told)


def model_in(units: Exponents, model: classic.Classic) -> classic.Classic:
    """The network's rows follow from circuits and amplifiers in the new units."""
    parts = {name: told_in(units, part) for name, part in model._asdict().items() if name not in {"step", "network"}}
    network = classic.network_of(parts["circuits"], parts["amplifiers"])
    return classic.Classic(step=model.step * units[2], network=network, **parts)
