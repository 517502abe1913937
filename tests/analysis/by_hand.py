"""Models written out by hand for the linear model's tests: one mode or a few, coils, networks of a handful of rows."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wirebloom.kernels import layout
from wirebloom.physics.bspline import coefficients

Floats = NDArray[np.float64]
Surface = Callable[[Floats, Floats], Floats]
GAPS, OFFSETS = np.linspace(-2e-4, 5.8e-3, 61), np.linspace(-3e-3, 3e-3, 25)
MASS = 1e-4  # kg, modal


@dataclass(frozen=True)
class Pole:
    weight: Sequence[float]
    circuit: int = -1
    sign: float = 1.0
    gap: float = 1e-3
    offset: float = 0.0
    pull: Surface = lambda g, y: 0.0 * g * y  # W₀, J
    flux: Surface = lambda g, y: 0.0 * g * y  # Λ, Wb
    twist: Surface = lambda g, y: 0.0 * g * y  # L₁, H
    string: int = 0


@dataclass(frozen=True)
class Bench:
    """Frequencies (Hz) and decay rates (1/s) of the partials, the same in both polarisations; what stands around."""

    pitches: Sequence[float] = (200.0,)
    decays: Sequence[float] = (3.0,)
    strings: int = 1
    stretch: float = 0.0  # EA/4, N
    poles: Sequence[Pole] = ()
    inductance: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    network: layout.Network | None = None
    stages: Sequence[dict[str, float]] = ()
    cores: layout.Cores | None = None
    area: Sequence[float] | None = None
    dampers: layout.Dampers | None = None


def linear_head(factor: float) -> Surface:
    """Λ of a head with one force factor K = −∂Λ/∂gap, N/A."""
    return lambda g, y: -factor * g + 0.0 * y


def row(size: int, **at: float) -> Floats:
    """A row of z; names are letters and numbers as in z0=1.0."""
    made = np.zeros(size)
    for name, value in at.items():
        made[int(name[1:])] = value
    return made


def network(
    rate: Floats, voltage: Floats, heard: Floats, given: Floats, *, rail: float = 9.0, extra: int = 1, **more: Floats
) -> layout.Network:
    """A network with both rails `rail` V away; the supply's column is the first of the last `extra`."""
    size, stages = voltage.shape[1], heard.shape[0]
    high = np.zeros((stages, size))
    high[:, size - extra] = rail
    loops = voltage.shape[0] // 2
    rows = {
        "rate": rate,
        "voltage": voltage,
        "heard": heard,
        "given": given,
        "high": high,
        "low": -high,
        "heat": np.zeros((0, size)),
        "heat_home": np.zeros(0, dtype=np.int64),
        "power": np.zeros((0, 2, size)),
        "power_loop": np.zeros(0, dtype=np.int64),
        "meter": np.zeros((4 * loops, size)),
        "inertia": np.ones(rate.shape[0]),
    }
    return layout.Network(**(rows | more))


def stages(given: Sequence[dict[str, float]]) -> layout.Stages:
    usual = {
        "loop": 0,
        "gain": 100.0,
        "rate": 1e7,
        "slew": 1e9,
        "limit": np.inf,
        "target": np.inf,
        "attack": 0.0,
        "release": 0.0,
        "least": 1.0,
    }
    rows = [dict.fromkeys(layout.Stages._fields, 0.0) | usual | own for own in given]
    columns = {name: np.array([own[name] for own in rows], dtype=float) for name in layout.Stages._fields}
    return layout.Stages(**(columns | {"loop": columns["loop"].astype(np.int64)}))


def model(bench: Bench, step: float = 1e-5) -> layout.Model:
    omega, partials = 2.0 * np.pi * np.array(bench.pitches), len(bench.pitches)
    form = (bench.strings, 2, partials)
    still = layout.Rotation(*(np.zeros(form) for _ in range(4)))
    circuits, poles = bench.inductance.shape[0], bench.poles
    nothing = np.zeros((0, circuits + 1))
    none = layout.Cores(np.zeros(0, dtype=np.int64), np.full(len(poles), -1), *(np.zeros((0, 2)) for _ in range(3)))
    bare = network(nothing, np.zeros((circuits, circuits + 1)), nothing, nothing)
    return layout.Model(
        step=step,
        strings=layout.Strings(
            inverse_mass=np.full(bench.strings, 1.0 / MASS),
            inverse_density=np.full(bench.strings, 1.0 / 6e-4),
            stretch=np.full(bench.strings, bench.stretch),
            curvature=np.tile((np.arange(1, partials + 1) * np.pi / 0.65) ** 2, (bench.strings, 1)),
            bridge=np.tile(np.arange(1.0, partials + 1) * 500.0, (bench.strings, 1)),
            frequency=np.broadcast_to(omega, form).copy(),
            decay=np.broadcast_to(bench.decays, form).copy(),
        ),
        **dict.fromkeys(("full", "ahead", "back", "fine", "half_fine"), still),
        poles=layout.Poles(
            first=np.searchsorted([pole.string for pole in poles], np.arange(bench.strings + 1)),
            table=np.arange(len(poles)),
            circuit=np.array([pole.circuit for pole in poles], dtype=np.int64),
            sign=np.array([pole.sign for pole in poles]),
            gap=np.array([pole.gap for pole in poles]),
            offset=np.array([pole.offset for pole in poles]),
            weight=np.array([pole.weight for pole in poles]).reshape(-1, partials),
        ),
        tables=tables(poles),
        contacts=None,
        dampers=bench.dampers
        or layout.Dampers(np.zeros(0, dtype=np.int64), np.zeros((0, partials)), np.zeros(0), np.zeros(0), np.zeros((0, 2))),
        drivers=None,
        coils=layout.Coils(bench.inductance, np.array(bench.area or np.zeros(circuits)), np.zeros(circuits)),
        cores=bench.cores or none,
        network=bench.network or bare,
        stages=stages(bench.stages),
    )


def tables(poles: Sequence[Pole]) -> layout.Tables:
    gap, offset = np.meshgrid(GAPS, OFFSETS, indexing="ij")
    values = [np.stack([f(gap, offset) for f in (pole.pull, pole.flux, pole.twist)] + [0.0 * gap], axis=-1) for pole in poles]
    made = [coefficients(coefficients(value, 0), 1) for value in values]
    steps = [np.full(len(poles), number) for number in (GAPS[0], GAPS[1] - GAPS[0], OFFSETS[0], OFFSETS[1] - OFFSETS[0])]
    return layout.Tables(np.array(made).reshape(-1, GAPS.size + 2, OFFSETS.size + 2, 4), *steps)


def rest(made: layout.Model) -> Floats:
    return np.zeros(made.strings.frequency.shape)
