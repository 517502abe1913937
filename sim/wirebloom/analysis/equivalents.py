"""A compiled rig about its rest → what its strings and coils are to a circuit, and a deck of the whole."""

from __future__ import annotations

from math import pi

import numpy as np

from wirebloom.analysis.wires import Magnetics, magnetics
from wirebloom.circuit.deck import Plan, deck
from wirebloom.circuit.equivalents import Partial, Pull, Turn, Windings
from wirebloom.compile.model import Compiled
from wirebloom.kernels.layout import Cores, Floats
from wirebloom.kernels.ledger import pole_strings

LET_GO = 1e-6  # m: of partial 1 where nothing else sets a string moving; noise is not in a deck
LONGEST = 2.0  # s: a circuit simulator takes its time
STEPS = 200  # in a period of the highest partial
MANY_PARTIALS = 6

LINEAR = (
    "Strings and heads are linear here, about the strings' rest: force factors and inductances do not change with motion or current, "
    "the magnets' pull grows in proportion to motion, tension does not rise with amplitude, a string meets no face and moves towards "
    "the heads only. A loop that is driven hard, or comes near a face, does otherwise than this deck."
)
LEFT_OUT = "Left out: noise, stray fields, dampers, the sideways motion, partials above those listed, the warming of coils."


def windings_of(compiled: Compiled, partials: int = MANY_PARTIALS) -> Windings:
    """Coils, their iron and the first partials of every string, about the rest of a rig.

    Parameters
    ----------
    compiled : Compiled
    partials : int
        Of every string.

    Returns
    -------
    Windings
    """
    model = compiled.model
    coils = model.coils.area.size
    found = magnetics(model, compiled.rest, np.zeros(coils))
    turns = _turns(model.cores)
    made = tuple(_partials(compiled, found, partials, coils))
    return Windings(found.inductance[:coils, :coils].copy(), turns, made, _pulls(compiled, found, partials))


def _turns(cores: Cores) -> tuple[Turn, ...]:
    rows = zip(cores.circuit, cores.inductance, cores.resistance, strict=True)
    return tuple(Turn(int(c), float(henry[k]), float(ohm[k])) for c, henry, ohm in rows for k in range(2))


def _partials(compiled: Compiled, found: Magnetics, count: int, coils: int) -> list[Partial]:
    model, owner = compiled.model, pole_strings(compiled.model)
    started = compiled.state.q - compiled.rest
    made = []
    for s, modes in enumerate(compiled.modes):
        own = np.nonzero(owner == s)[0]
        weight = model.poles.weight[own]
        force = found.link[:, 2 * own] @ weight
        for n in range(min(count, modes.wavenumber.size)):
            partial = Partial(
                mark=f"s{s + 1}p{n + 1}",
                name=f"partial {n + 1} of {compiled.rig.strings[s].name}",
                mass=1.0 / float(model.strings.inverse_mass[s]),
                frequency=float(model.strings.frequency[s, 0, n]),
                decay=float(model.strings.decay[s, 0, n]),
                place=_place(compiled, started, s, n),
                coil=tuple(force[:coils, n].tolist()),
                turn=tuple(force[coils:, n].tolist()),
            )
            made.append(partial)
    return made


def _pulls(compiled: Compiled, found: Magnetics, count: int) -> tuple[Pull, ...]:
    """Of every string over a head, as its rest has it."""
    model, owner, made = compiled.model, pole_strings(compiled.model), []
    for j, s in enumerate(owner):
        rows = [
            model.poles.weight[j, :number] if t == s else np.zeros(number)
            for t, number in enumerate(min(count, modes.wavenumber.size) for modes in compiled.modes)
        ]
        name = f"{compiled.parts.poles[j].head.name} on {compiled.rig.strings[s].name}"
        made.append(Pull(name, float(found.stiffness[2 * j, 2 * j]), tuple(np.concatenate(rows).tolist())))
    return tuple(made)


def _place(compiled: Compiled, started: Floats, s: int, n: int) -> float:
    kind = compiled.plan.start.kind
    if kind in ("switch-on", "pluck"):
        return float(started[s, 0, n]) if kind == "pluck" else 0.0
    return LET_GO if n == 0 else 0.0


def deck_of(compiled: Compiled, partials: int = MANY_PARTIALS) -> str:
    """The whole rig as text for a circuit simulator.

    Parameters
    ----------
    compiled : Compiled
    partials : int
        Of every string.

    Returns
    -------
    str
        A Berkeley SPICE 3 deck, see :mod:`wirebloom.circuit.deck`.
    """
    windings = windings_of(compiled, partials)
    highest = max((partial.frequency for partial in windings.partials), default=2e3 * pi)
    return deck(compiled.netlist, windings, _plan(compiled, highest))


def _plan(compiled: Compiled, highest: float) -> Plan:
    start = compiled.plan.start
    step = float(f"{2.0 * pi / highest / STEPS:.1e}")
    return Plan(
        title=compiled.rig.title,
        notes=(*_notes(compiled), LINEAR, LEFT_OUT),
        ramp=start.ramp if start.kind == "switch-on" else 0.0,
        span=min(compiled.plan.duration, LONGEST),
        step=step,
    )


def _notes(compiled: Compiled) -> list[str]:
    """What the deck is, and how it starts."""
    made = "Made by Wirebloom. Plain SPICE 3: R, C, L, K, V, E, F and B, with uramp(x), which is x above 0 and else 0, and abs(x)."
    ways = {
        "switch-on": "It starts as the supply comes up.",
        "pluck": "It starts with the supply up, as the pluck is let go.",
    }
    tiny = f"It starts with the supply up and partial 1 of every string let go from {1e6 * LET_GO:g} um."
    return [made, ways.get(compiled.plan.start.kind, tiny)]
