"""A circuit written out part by part with a string over its coils, for the time loop and for ngspice: one list of parts, two programs."""

from dataclasses import replace

import numpy as np

from oracles import benches, decks, ngspice
from twins import rigs
from wirebloom.circuit.deck import Plan, deck
from wirebloom.circuit.equivalents import Partial, Windings
from wirebloom.circuit.marks import marks
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Netlist
from wirebloom.compile.electronics import lay_out_stages
from wirebloom.compile.rest import empty_state, settled
from wirebloom.kernels import layout, loop
from wirebloom.kernels.ledger import linkages, pole_motion

Floats = np.ndarray

WIRE = rigs.Wire(partials=3, axial=0.0, quality=45.0)
FACTORS = (0.03, 0.025)  # N/A, of the sense and of the drive head
RIG = rigs.Rig(
    wires=(WIRE,),
    heads=tuple(rigs.linear_head(factor) for factor in FACTORS),
    poles=(
        rigs.Pole(head=0, position=0.4 * WIRE.length, gap=3e-3, circuit=0),
        rigs.Pole(head=1, position=0.286 * WIRE.length, gap=3e-3, circuit=1),
    ),
    loops=(rigs.Loop(),),
)
SILENT = replace(RIG, poles=())


def model_of(netlist: Netlist, rate: float, rig: rigs.Rig = SILENT) -> layout.Model:
    """A stray field of 1 T/s puts 1 V into the sense coil, as a string that comes nearer does."""
    built = rigs.build(rig, rate)
    network, stages = network_of(netlist)
    coils = layout.Coils(benches.INDUCTANCE, np.array([1.0, 0.0]), np.zeros(2))
    own = {"network": network, "stages": lay_out_stages(stages, 1 / rate)._replace(noise=np.zeros(len(stages))), "coils": coils}
    return layout.Model(**({name: getattr(built, name) for name in layout.Model._fields} | own))


def run(model: layout.Model, steps: int, *, ramp: float = 0.0, emf: Floats | None = None, place: float = 0.0) -> layout.Record:
    """From nothing as the supply comes up in `ramp` s, or from what has settled, with partial 1 let go from a place (m)."""
    state = empty_state(model)
    time = (np.arange(steps) + 0.5) * model.step
    if ramp == 0.0:
        state = settled(state, model, pole_motion(model, state.q))
    state.q[0, 0, 0] = place
    state.last_gap[:] = model.poles.gap
    state.flux[:] = linkages(model, pole_motion(model, state.q))
    inputs, record = rigs.quiet_inputs(model, steps), rigs.empty_record(model, steps)
    if ramp > 0.0:
        inputs.supply[:] = np.minimum(1.0, time / ramp)
    if emf is not None:
        inputs.stray[:] = emf
    loop.begin(model, state)
    assert loop.advance(model, state, inputs, record)[0] == 0
    return record


def trace(record: layout.Record, rate: float) -> decks.Trace:
    time = (np.arange(len(record.node)) + 0.5) / rate
    return decks.Trace(time, record.node[:, 0], record.current[:, 1], record.output[:, 0])


def partials(model: layout.Model, place: float) -> tuple[Partial, ...]:
    """The string's partials with their constant force factors."""
    found = []
    for n in range(WIRE.partials):
        coil = tuple(factor * float(model.poles.weight[j, n]) for j, factor in enumerate(FACTORS))
        omega, sigma = float(model.strings.frequency[0, 0, n]), float(model.strings.decay[0, 0, n])
        found.append(Partial(f"s1p{n + 1}", f"partial {n + 1}", WIRE.mass, omega, sigma, place if n == 0 else 0.0, coil))
    return tuple(found)


def theirs(
    netlist: Netlist, plan: Plan, folder, *, sine: tuple[float, float] | None = None, string: tuple[Partial, ...] = ()
) -> decks.Trace:
    """The exported deck in ngspice; with a sine (V, Hz) in the sense coil's ammeter, if given."""
    text = deck(netlist, Windings(benches.INDUCTANCE, (), string), plan)
    mark = marks(netlist.parts)
    sense, drive = (f"V{mark[name]}" for name in ("sense coil", "drive coil"))
    if sine is not None:
        meter = next(line for line in text.splitlines() if line.startswith(f"{sense} "))
        text = text.replace(meter, f"{meter.removesuffix(' DC 0 AC 1')} SIN(0 {sine[0]:g} {sine[1]:g})")
    found = ngspice.transient(text, [benches.heard(netlist), f"i({drive})", "v(out)"], folder)
    return decks.Trace(found.axis, *found.signals)
