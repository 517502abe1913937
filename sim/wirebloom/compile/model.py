"""Rig and run plan → everything a run needs. Pure: no files but the cache of head tables, nothing is run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Netlist
from wirebloom.compile.bands import at_end, known_poles
from wirebloom.compile.circuits import circuits_of, lay_out_coils, lay_out_cores, windings
from wirebloom.compile.drives import drives_of
from wirebloom.compile.electronics import lay_out_stages, netlist_of
from wirebloom.compile.loads import Parts, split, whole
from wirebloom.compile.outside import lay_out_dampers, lay_out_drivers
from wirebloom.compile.poles import Pole, lay_out_contacts, lay_out_poles, lay_out_tables
from wirebloom.compile.propagators import rotation
from wirebloom.compile.rest import rest_all, rest_of_scheme, start_state
from wirebloom.compile.sheets import make_sheet
from wirebloom.compile.strings import lay_out_strings, padded, padded_count
from wirebloom.kernels.contact import SUBSTEPS
from wirebloom.kernels.layout import Floats, Model, State
from wirebloom.physics.string import StringModes, string_modes
from wirebloom.rig import MATERIALS, Rig, RunPlan
from wirebloom.take.sheet import Sheet


@dataclass(frozen=True)
class Compiled:
    """A rig ready to run.

    Attributes
    ----------
    rig, plan
        What it was made from.
    modes : tuple of StringModes
    poles : tuple of Pole
        Every string over every head, with how far it may be off.
    model : Model
        What the time loop is handed.
    state : State
        Where it starts; a run works on a copy.
    rest : (S, 2, N) ndarray
        Modal displacement at static equilibrium as the time steps hold it, m.
    sheet : Sheet
        What is known of the rig before anything runs.
    parts : Parts
        The poles as the time loop takes them.
    netlist : Netlist
        All electronics, part by part.
    """

    rig: Rig
    plan: RunPlan
    modes: tuple[StringModes, ...]
    poles: tuple[Pole, ...]
    model: Model
    state: State
    rest: Floats
    sheet: Sheet
    parts: Parts
    netlist: Netlist


def make_model(rig: Rig, plan: RunPlan, modes: Sequence[StringModes], poles: Sequence[Pole], parts: Parts, *, netlist: Netlist) -> Model:
    """Lay out all parts for one time step."""
    step = 1.0 / plan.rate
    strings = lay_out_strings(modes)
    network, stages = network_of(netlist)
    spans = {"full": step, "ahead": step / 2, "back": -step / 2, "fine": step / SUBSTEPS, "half_fine": step / SUBSTEPS / 2}
    return Model(
        step=step,
        strings=strings,
        **{name: rotation(strings.frequency, strings.decay, span) for name, span in spans.items()},
        poles=lay_out_poles(parts.poles, circuits_of(rig), modes),
        tables=lay_out_tables(parts.poles),
        contacts=lay_out_contacts(poles, modes, parts.lead),
        dampers=lay_out_dampers(rig, modes, step),
        drivers=lay_out_drivers(rig, plan.start, modes),
        coils=lay_out_coils(rig, poles, step),
        cores=lay_out_cores(rig, parts.poles),
        network=network,
        stages=lay_out_stages(stages, step),
    )


def compile_rig(rig: Rig, plan: RunPlan) -> Compiled:
    """Work out everything that the time loop need not know how to find.

    Parameters
    ----------
    rig : Rig
    plan : RunPlan

    Returns
    -------
    Compiled

    Raises
    ------
    RigError
        If the rig is one that cannot be: a string that hangs loose, a head under a string that no magnet pulls.
    """
    modes = tuple(string_modes(string, MATERIALS[string.material], rig.room) for string in rig.strings)
    return _assembled(rig, plan, modes, known_poles(rig, modes))


def compile_end(compiled: Compiled, end: int) -> Compiled:
    """The same rig with every head at the weak (0) or strong (1) end of its band, force factor and pull together.

    Rest and start follow from that; what a wider gap or more turns would change besides is left as it is.
    """
    return _assembled(compiled.rig, compiled.plan, compiled.modes, tuple(at_end(pole, end) for pole in compiled.poles))


def _assembled(rig: Rig, plan: RunPlan, modes: tuple[StringModes, ...], poles: tuple[Pole, ...]) -> Compiled:
    parts = split(poles, modes) if plan.loads == "separate" else whole(poles)
    netlist = netlist_of(rig, windings(rig, poles))
    model = make_model(rig, plan, modes, poles, parts, netlist=netlist)
    found = rest_all(model, poles, modes, parts.still)
    still = [np.zeros((2, m.wavenumber.size)) for m in modes]
    rest = padded([zero if own is None else own.amplitudes for own, zero in zip(found, still, strict=True)], padded_count(modes))
    sheet = make_sheet(rig, modes, poles, found, rest, drives=drives_of(netlist, model))
    held = rest_of_scheme(model, rest)
    return Compiled(rig, plan, modes, poles, model, start_state(model, rig, plan.start, held, modes), held, sheet, parts, netlist)
