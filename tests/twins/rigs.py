"""Small rigs straight from numbers, so that the time loop can be tested without files or finite elements."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import expm

from twins import classic, splines
from wirebloom.kernels import folding, layout
from wirebloom.kernels.pack import RECENT

Floats = NDArray[np.float64]
Surface = Callable[[Floats, Floats], Floats]  # of gap and offset, m


@dataclass(frozen=True)
class Wire:
    """A string: steel, 0.38 mm, at G3 unless told otherwise."""

    pitch: float = 196.0  # Hz
    length: float = 0.65  # m
    density: float = 8.9e-4  # kg/m
    partials: int = 8
    inharmonicity: float = 5e-5
    axial: float = 2.3e4  # EA, N
    quality: float = 1500.0
    detune: float = 3e-4  # relative, of the sideways polarisation

    @property
    def mass(self) -> float:
        return self.density * self.length / 2

    @property
    def tension(self) -> float:
        return self.density * (2 * self.length * self.pitch) ** 2


@dataclass(frozen=True)
class Head:
    """The co-energy of a wire over a head as three functions of gap and offset."""

    coenergy: Surface  # W₀, J
    flux: Surface  # Λ, Wb
    inductance: Surface  # L₁, H


@dataclass(frozen=True)
class Pole:
    head: int = 0
    string: int = 0
    position: float = 0.2  # m from the bridge
    gap: float = 1e-3  # m
    offset: float = 0.0  # m
    circuit: int = -1
    sign: float = 1.0
    aperture: float = 8e-3  # m: the shape is averaged over this width


@dataclass(frozen=True)
class Loop:
    """Sense coil, amplifier, drive coil."""

    sense_inductance: float = 2.6e-3  # H
    drive_inductance: float = 2.6e-3  # H
    mutual: float = 0.0  # H
    sense_resistance: float = 24.0  # Ω
    drive_resistance: float = 24.5  # Ω
    elastance: float = 0.0  # 1/F
    node_capacitance: float = 1.3e-10  # F
    node_conductance: float = 1e-7  # S
    allpass_rate: float = 0.0  # rad/s
    direct: float = 1.0
    lagged: float = 0.0
    polarity: float = 1.0
    gain: float = 200.0
    rate: float = 2 * np.pi * 1e6  # rad/s
    slew: float = 1e6  # V/s
    low: float = -3.0  # V
    high: float = 3.0  # V
    bias: float = 0.0  # V
    offset: float = 0.0  # V
    coil_noise: float = 0.0  # V rms a step
    input_noise: float = 0.0  # V rms a step
    sense_area: float = 0.0  # m² that a stray field finds
    drive_area: float = 0.0


@dataclass(frozen=True)
class Core:
    """Two stages of eddy currents under the head of some poles."""

    circuit: int
    poles: Sequence[int]
    inductance: tuple[float, float] = (1.1e-4, 4.3e-4)  # H
    resistance: tuple[float, float] = (0.4, 32.0)  # Ω
    share: tuple[float, float] = (0.05, 0.18)


@dataclass(frozen=True)
class Contact:
    pole: int
    stiffness: float = 1e7
    exponent: float = 1.5
    loss: float = 0.0
    radius: tuple[float, float] = (2.5e-3, 5.5e-3)
    recess: tuple[float, float] = (0.0, 0.5e-3)


@dataclass(frozen=True)
class Damper:
    string: int = 0
    position: float = 0.1
    resistance: float = 0.05
    window: tuple[float, float] = (0.0, 1e9)  # s


@dataclass(frozen=True)
class Driver:
    string: int = 0
    polarisation: int = 0
    position: float = 0.3


@dataclass(frozen=True)
class Rig:
    wires: Sequence[Wire] = (Wire(),)
    heads: Sequence[Head] = ()
    poles: Sequence[Pole] = ()
    loops: Sequence[Loop] = ()
    cores: Sequence[Core] = ()
    contacts: Sequence[Contact] = ()
    dampers: Sequence[Damper] = ()
    drivers: Sequence[Driver] = ()
    gap_nodes: Floats = field(default_factory=lambda: np.linspace(-2e-4, 5.8e-3, 61))
    offset_nodes: Floats = field(default_factory=lambda: np.linspace(-3e-3, 3e-3, 25))


def exponential_head(factor: float = 0.0144, pull: float = 2.95e-3, twist: float = 0.032, at: float = 1e-3, decay: float = 1.5e-3) -> Head:
    """A head whose factor K (N/A), pull (N) and −L₁′ (N/A²) at the gap `at` fall as exp(−gap/decay), faster sideways."""

    def shape(gap: Floats, offset: Floats) -> Floats:
        return decay * np.exp(-(gap - at) / decay) * np.exp(-0.5 * (offset / 4e-3) ** 2)

    return Head(lambda g, y: pull * shape(g, y), lambda g, y: factor * shape(g, y), lambda g, y: twist * shape(g, y))


def linear_head(factor: float = 0.0144) -> Head:
    """A head with one constant force factor and nothing else: Λ = −K·gap."""
    return Head(lambda g, y: 0 * g, lambda g, y: -factor * g, lambda g, y: 0 * g)


def build(rig: Rig, rate: float) -> classic.Classic:
    """The layout of a rig at a sampling rate (Hz). Poles and contacts must come ordered by string."""
    step, partials = 1 / rate, padded(max(w.partials for w in rig.wires))
    strings = build_strings(rig.wires, partials)
    circuits, amplifiers = build_circuits(rig.loops), build_amplifiers(rig.loops)
    return classic.Classic(
        step=step,
        strings=strings,
        full=rotation(strings, step),
        ahead=rotation(strings, step / 2),
        back=rotation(strings, -step / 2),
        fine=rotation(strings, step / 8),
        half_fine=rotation(strings, step / 16),
        poles=build_poles(rig, partials),
        tables=build_tables(rig),
        contacts=build_contacts(rig, partials),
        dampers=build_dampers(rig, partials, step),
        drivers=build_drivers(rig, partials),
        coils=classic.coils_of(circuits, amplifiers),
        cores=build_cores(rig),
        network=classic.network_of(circuits, amplifiers),
        stages=classic.stages_of(amplifiers),
        circuits=circuits,
        amplifiers=amplifiers,
    )


def padded(partials: int) -> int:
    return -(-partials // 8) * 8


def build_strings(wires: Sequence[Wire], partials: int) -> layout.Strings:
    shape = (len(wires), partials)
    curvature, bridge = np.zeros(shape), np.zeros(shape)
    frequency, decay = np.zeros((len(wires), 2, partials)), np.zeros((len(wires), 2, partials))
    for s, wire in enumerate(wires):
        n = np.arange(1, wire.partials + 1)
        k = n * np.pi / wire.length
        stretched = np.sqrt(1 + wire.inharmonicity * n**2)
        curvature[s, : len(n)] = k**2
        bridge[s, : len(n)] = wire.tension * k * stretched**2
        for p in (0, 1):
            omega = 2 * np.pi * wire.pitch * n * stretched * (1 + p * wire.detune)
            frequency[s, p, : len(n)] = omega
            decay[s, p, : len(n)] = omega / (2 * wire.quality) * (1 + 0.1 * n)
    return layout.Strings(
        inverse_mass=np.array([1 / w.mass for w in wires]),
        inverse_density=np.array([1 / w.density for w in wires]),
        stretch=np.array([w.axial / 4 for w in wires]),
        curvature=curvature,
        bridge=bridge,
        frequency=frequency,
        decay=decay,
    )


def rotation(strings: layout.Strings, span: float) -> layout.Rotation:
    """exp of the 2 × 2 matrix of every mode; a dead mode forgets everything."""
    omega, sigma = strings.frequency, strings.decay
    matrix = np.zeros((*omega.shape, 2, 2))
    scale = np.where(omega > 0, omega, 1.0)  # q and v/ω are of a size: keeps the exponential accurate
    matrix[..., 0, 1], matrix[..., 1, 0], matrix[..., 1, 1] = omega, -omega, -2 * sigma
    turn = expm(matrix * span) * (omega > 0)[..., None, None]
    return layout.Rotation(qq=turn[..., 0, 0].copy(), qv=turn[..., 0, 1] / scale, vq=turn[..., 1, 0] * scale, vv=turn[..., 1, 1].copy())


def shape_weight(wire: Wire, position: float, partials: int, aperture: float = 0.0) -> Floats:
    """sin(kx), averaged over an aperture centred on the place."""
    weight = np.zeros(partials)
    k = np.arange(1, wire.partials + 1) * np.pi / wire.length
    weight[: wire.partials] = np.sin(k * position) * np.sinc(k * aperture / (2 * np.pi))
    return weight


def firsts(owners: Sequence[int], strings: int) -> NDArray[np.int64]:
    if list(owners) != sorted(owners):
        raise ValueError(f"owners must be ordered by string; instead received {owners}.")
    return np.searchsorted(np.array(owners, dtype=np.int64), np.arange(strings + 1)).astype(np.int64)


def build_poles(rig: Rig, partials: int) -> layout.Poles:
    weights = [shape_weight(rig.wires[p.string], p.position, partials, p.aperture) for p in rig.poles]
    return layout.Poles(
        first=firsts([p.string for p in rig.poles], len(rig.wires)),
        table=np.array([p.head for p in rig.poles], dtype=np.int64),
        circuit=np.array([p.circuit for p in rig.poles], dtype=np.int64),
        sign=np.array([p.sign for p in rig.poles], dtype=float),
        gap=np.array([p.gap for p in rig.poles], dtype=float),
        offset=np.array([p.offset for p in rig.poles], dtype=float),
        weight=np.array(weights).reshape(len(rig.poles), partials),
    )


def build_tables(rig: Rig) -> layout.Tables:
    gap, offset = rig.gap_nodes, rig.offset_nodes
    table = np.zeros((len(rig.heads), len(gap) + 2, len(offset) + 2, 4))
    for h, head in enumerate(rig.heads):
        for k, function in enumerate((head.coenergy, head.flux, head.inductance)):
            table[h, :, :, k] = splines.fit(function, gap, offset)
    ones = np.ones(len(rig.heads))
    return layout.Tables(table, ones * gap[0], ones * (gap[1] - gap[0]), ones * offset[0], ones * (offset[1] - offset[0]))


def build_contacts(rig: Rig, partials: int) -> layout.Contacts:
    owners = [rig.poles[c.pole].string for c in rig.contacts]
    weights = [shape_weight(rig.wires[s], rig.poles[c.pole].position, partials) for s, c in zip(owners, rig.contacts, strict=True)]
    weight = np.array(weights).reshape(len(rig.contacts), partials)
    return layout.Contacts(
        first=firsts(owners, len(rig.wires)),
        pole=np.array([c.pole for c in rig.contacts], dtype=np.int64),
        weight=weight,
        strength=strength(rig, owners, weight),
        stiffness=np.array([c.stiffness for c in rig.contacts], dtype=float),
        exponent=np.array([c.exponent for c in rig.contacts], dtype=float),
        loss=np.array([c.loss for c in rig.contacts], dtype=float),
        radius=np.array([c.radius for c in rig.contacts], dtype=float).reshape(-1, 2),
        recess=np.array([c.recess for c in rig.contacts], dtype=float).reshape(-1, 2),
    )


def strength(rig: Rig, owners: Sequence[int], weight: Floats) -> Floats:
    return np.array([np.sum(w**2) / rig.wires[s].mass for s, w in zip(owners, weight, strict=True)])


def build_dampers(rig: Rig, partials: int, step: float) -> layout.Dampers:
    owners = [d.string for d in rig.dampers]
    weights = [shape_weight(rig.wires[d.string], d.position, partials) for d in rig.dampers]
    weight = np.array(weights).reshape(len(rig.dampers), partials)
    return layout.Dampers(
        string=np.array(owners, dtype=np.int64),
        weight=weight,
        strength=strength(rig, owners, weight),
        resistance=np.array([d.resistance for d in rig.dampers], dtype=float),
        window=np.array([[round(t / step) for t in d.window] for d in rig.dampers], dtype=np.int64).reshape(-1, 2),
    )


def build_drivers(rig: Rig, partials: int) -> layout.Drivers:
    weights = [shape_weight(rig.wires[d.string], d.position, partials) for d in rig.drivers]
    return layout.Drivers(
        string=np.array([d.string for d in rig.drivers], dtype=np.int64),
        polarisation=np.array([d.polarisation for d in rig.drivers], dtype=np.int64),
        weight=np.array(weights).reshape(len(rig.drivers), partials),
    )


def build_circuits(loops: Sequence[Loop]) -> classic.Circuits:
    size = 2 * len(loops)
    inductance, resistance, elastance, area = np.zeros((size, size)), np.zeros(size), np.zeros(size), np.zeros(size)
    for a, loop in enumerate(loops):
        s, d = 2 * a, 2 * a + 1
        inductance[s, s], inductance[d, d] = loop.sense_inductance, loop.drive_inductance
        inductance[s, d] = inductance[d, s] = loop.mutual
        resistance[s], resistance[d], elastance[d] = loop.sense_resistance, loop.drive_resistance, loop.elastance
        area[s], area[d] = loop.sense_area, loop.drive_area
    return classic.Circuits(inductance, resistance, elastance, area)


def build_cores(rig: Rig) -> layout.Cores:
    under = np.full(len(rig.poles), -1, dtype=np.int64)
    for g, core in enumerate(rig.cores):
        under[list(core.poles)] = g
    rows = [
        np.array([getattr(core, name) for core in rig.cores], dtype=float).reshape(-1, 2) for name in ("inductance", "resistance", "share")
    ]
    return layout.Cores(np.array([core.circuit for core in rig.cores], dtype=np.int64), under, *rows)


def build_amplifiers(loops: Sequence[Loop]) -> classic.Amplifiers:
    return classic.Amplifiers(*(np.array([getattr(loop, name) for loop in loops], dtype=float) for name in classic.Amplifiers._fields))


def resting_state(model: layout.Model) -> classic.Plain:
    """Straight strings, no currents: the flux linkage is the magnets' share alone."""
    strings, partials = model.strings.curvature.shape
    circuits, loops = len(model.coils.area), len(model.coils.area) // 2
    stages = len(model.stages.gain)
    modes = (strings, 2, partials)
    sizes = {
        "q": modes,
        "v": modes,
        "flux": circuits,
        "eddy": model.cores.share.shape,
        "contact": len(model.contacts.pole),
        "last_gap": len(model.poles.gap),
        "work": strings,
        "x": len(model.network.inertia),
        "output": stages,
        "envelope": stages,
        "draw": (stages, 2, 2),
        "drawn": (stages, 2),
    }
    sizes |= {"contact_loss": len(model.contacts.pole), "damper_loss": len(model.dampers.string), "driver_work": len(model.drivers.string)}
    width = folding.columns_of(model)
    sizes |= {"core_heat": circuits, "products": (width, width), "recent": (RECENT, width)}
    arrays = {name: np.zeros(sizes.get(name, loops)) for name in layout.State._fields if name != "clock"}
    state = classic.Plain(clock=np.zeros(1, dtype=np.int64), **arrays)
    state.last_gap[:] = model.poles.gap
    return without_current(model, state)


def without_current(model: layout.Model, state: classic.Plain) -> classic.Plain:
    """Set the flux linkages to those of the present displacement with no current, in place."""
    from twins.equations import core_linkage, linkage, pole_places

    places = pole_places(model, state.q)
    state.flux[:], state.eddy[:] = linkage(model, places), core_linkage(model, places)
    return state


def plucked_state(model: layout.Model, rig: Rig, height: float = 1e-4, position: float = 0.13, sideways: float = 0.3) -> classic.Plain:
    """Every string drawn aside to a corner at `position`, by `height` towards the heads and a share of it sideways."""
    state = resting_state(model)
    for s, wire in enumerate(rig.wires):
        n = np.arange(1, wire.partials + 1)
        share = position / wire.length
        corner = 2 * height / (n**2 * np.pi**2 * share * (1 - share)) * np.sin(n * np.pi * share)
        state.q[s, 0, : wire.partials] = corner
        state.q[s, 1, : wire.partials] = sideways * corner
    return without_current(model, state)


def quiet_inputs(model: layout.Model, steps: int, supply: float = 1.0) -> layout.Inputs:
    noises, drivers = len(model.coils.area) // 2 + len(model.stages.gain), len(model.drivers.string)
    return layout.Inputs(np.full(steps, supply), np.zeros((steps, noises)), np.zeros(steps), np.zeros((steps, drivers)))


def empty_record(model: layout.Model, steps: int) -> layout.Record:
    poles, loops, strings = len(model.poles.gap), len(model.coils.area) // 2, len(model.strings.stretch)
    return layout.Record(
        displacement=np.zeros((steps, poles, 2)),
        force=np.zeros((steps, poles, 2)),
        contact=np.zeros((steps, len(model.contacts.pole))),
        current=np.zeros((steps, 2 * loops)),
        node=np.zeros((steps, loops)),
        output=np.zeros((steps, loops)),
        capacitor=np.zeros((steps, loops)),
        supply=np.zeros((steps, loops)),
        bridge=np.zeros((steps, strings, 2)),
    )
