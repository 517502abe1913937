"""A whole rig as a plain Berkeley SPICE 3 deck, for any circuit simulator: electronics part by part, strings as resonances.

Elements R, C, L, K, V, E, F and B only; the one function used is uramp(x) = max(x, 0). Comments stand on lines of their own.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from math import sqrt
from typing import NamedTuple

from wirebloom.circuit.deck_levelling import levelling_lines
from wirebloom.circuit.deck_stage import UP, number, stage_lines, total
from wirebloom.circuit.deck_string import LET_GO, string_lines
from wirebloom.circuit.equivalents import Turn, Windings
from wirebloom.circuit.marks import LETTERS, UNITS, Nodes, marks, written
from wirebloom.circuit.parts import Capacitor, Coil, Follower, Inductor, Netlist, Part, Resistor, Source, Stage

WIDTH = 100
SWEEP = ".ac dec 400 20 20k"


class Plan(NamedTuple):
    """How the deck is to be run.

    Attributes
    ----------
    title : str
        First line.
    notes : tuple of str
        What a reader must know.
    ramp : float
        Time in which the supply comes up, s; 0: it has been up for long.
    span, step : float
        Of the transient analysis, s.
    """

    title: str
    notes: tuple[str, ...]
    ramp: float
    span: float
    step: float


def deck(netlist: Netlist, windings: Windings, plan: Plan) -> str:
    """Text of the deck, analyses included.

    Parameters
    ----------
    netlist : Netlist
    windings : Windings
    plan : Plan

    Returns
    -------
    str
        One analysis is on, the transient one; that of the frequency response is ready behind a star. For it, the first sense coil's
        ammeter puts in 1 V in place of the string.
    """
    title, node = " ".join(plan.title.split()) or "a loop", Nodes((UP, LET_GO))
    body = [*elements(netlist, windings, plan.ramp, node), *cards(netlist, plan, node)]
    lines = [f"{title}: the whole loop as a circuit", *_comments(plan.notes), *body]
    return "\n".join(_folded(line) for line in lines).encode("ascii", "replace").decode() + "\n.end\n"


def elements(netlist: Netlist, windings: Windings, ramp: float, node: Nodes) -> list[str]:
    """All elements, without analyses."""
    mark = marks(netlist.parts)
    turns = list(enumerate(windings.turns, start=1))
    lines = ["*", "* --- supply", f"V{UP} {UP} 0 {_raised(1.0, ramp)}", "*", "* --- electronics"]
    for part in netlist.parts:
        lines += _part_lines(part, mark[part.name], node, windings, ramp)
    coils = {part.circuit: mark[part.name] for part in netlist.parts if isinstance(part, Coil)}
    for k, turn in turns:
        lines += _turn_lines(k, turn, coils, windings)
    lines += _couplings(coils, windings)
    return [*lines, *string_lines(windings, coils)]


def cards(netlist: Netlist, plan: Plan, node: Nodes) -> list[str]:
    """Options and analyses. A supply that comes up starts from nothing (uic); else from what has settled."""
    mark = marks(netlist.parts)
    shown = [f"v({node(pair[0])})" for meter in netlist.meters if meter.kind in ("node", "output") for pair in meter.pairs]
    shown += [f"i(V{mark[part.name]})" for part in netlist.parts if isinstance(part, Coil) and part.circuit % 2]
    step, span, start = number(plan.step), number(plan.span), " uic" if plan.ramp > 0.0 else ""
    return [
        "*",
        "* --- analyses: take the star off the frequency response, and put one before .tran, to have that instead",
        ".options method=gear maxord=2 reltol=1e-5 vntol=1e-8 abstol=1e-8",
        f".tran {step} {span} 0 {step}{start}",
        f".print tran {' '.join(shown)}",
        f"*{SWEEP}",
        f"*.print ac {' '.join(shown)}",
    ]


def _part_lines(part: Part, mark: str, node: Nodes, windings: Windings, ramp: float) -> list[str]:
    if isinstance(part, Stage):
        return [*levelling_lines(part, mark), *stage_lines(part, mark, node)]
    a, b = node(part.a), node(part.b)
    if isinstance(part, Coil):
        return list(_coil_lines(part, mark, (a, b), windings))
    if isinstance(part, Follower):
        return [f"* {mark}: {part.name}, follower", f"{mark} {a} {b} {node(part.plus)} {node(part.minus)} {number(part.gain)}"]
    return _two_ended(part, mark, a, b, ramp)


def _two_ended(part: Resistor | Capacitor | Inductor | Source, mark: str, a: str, b: str, ramp: float) -> list[str]:
    value = part[3]
    head = f"* {mark}: {part.name}, {written(value, UNITS[LETTERS[type(part)]])}"
    if isinstance(part, Source):
        return [head, f"{mark} {a} {b} {_raised(value, ramp)}"]
    if isinstance(part, Resistor):
        return [head, f"{mark} {a} {b} {number(value)}" if value > 0.0 else f"V{mark} {a} {b} 0"]
    return [head, f"{mark} {a} {b} {number(value)} IC=0"]


def _raised(volts: float, ramp: float) -> str:
    full = number(volts)
    return f"DC {full} PWL(0 0 {number(ramp)} {full})" if ramp > 0.0 else f"DC {full}"


def _coil_lines(coil: Coil, mark: str, ends: tuple[str, str], windings: Windings) -> Iterator[str]:
    """An ammeter, the winding, and what moving strings induce in it."""
    henry, c = float(windings.inductance[coil.circuit, coil.circuit]), coil.circuit
    moved = [(partial.coil[c], f"V({partial.mark})") for partial in windings.partials if partial.coil[c] != 0.0]
    end = f"{mark.lower()}emf" if moved else ends[1]
    yield f"* {mark}: {coil.name}, {written(henry, 'H')} (V{mark} measures its current, B{mark} is what the strings induce)"
    yield f"V{mark} {ends[0]} {mark.lower()}in DC 0 AC {1 if c == 0 else 0}"
    yield f"{mark} {mark.lower()}in {end} {number(henry)} IC=0"
    if moved:
        yield f"B{mark} {end} {ends[1]} V={total(*moved)}"


def _turn_lines(k: int, turn: Turn, coils: dict[int, str], windings: Windings) -> Iterator[str]:
    """A ring of inductance, induced voltage, resistance and ammeter."""
    moved = [(partial.turn[k - 1], f"V({partial.mark})") for partial in windings.partials if partial.turn[k - 1] != 0.0]
    yield f"* eddy currents in the iron under {coils[turn.circuit]}: a shorted turn, {written(turn.henry, 'H')}, {written(turn.ohm, 'ohm')}"
    yield f"VT{k} t{k}a t{k}b 0"
    yield f"LT{k} t{k}b {f't{k}c' if moved else '0'} {number(turn.henry)} IC=0"
    if moved:
        yield f"BT{k} t{k}c 0 V={total(*moved)}"
    yield f"RT{k} 0 t{k}a {number(turn.ohm)}"


def _couplings(coils: dict[int, str], windings: Windings) -> list[str]:
    """Mutual inductance of coils, and of coils and shorted turns, as coupling factors."""
    own = windings.inductance
    pairs = [(coils[a], coils[b], own[a, b] / sqrt(own[a, a] * own[b, b])) for a in sorted(coils) for b in sorted(coils) if a < b]
    turns = [(coils[t.circuit], f"LT{k}", sqrt(t.henry / own[t.circuit, t.circuit])) for k, t in enumerate(windings.turns, start=1)]
    found = [pair for pair in (*pairs, *turns) if pair[2] != 0.0]
    if not found:
        return []
    lines = [f"K{k} {one} {other} {number(factor)}" for k, (one, other, factor) in enumerate(found, start=1)]
    return ["* coupling of the windings", *lines]


def _comments(notes: Sequence[str]) -> list[str]:
    return [f"* {line}" for note in notes for line in textwrap.wrap(note, WIDTH - 2)]


def _folded(line: str) -> str:
    """A long line in several; those of a comment stay comments."""
    joint = "\n* " if line.startswith("*") else "\n+ "
    return joint.join(textwrap.wrap(line, WIDTH, break_long_words=False, break_on_hyphens=False)) if len(line) > WIDTH else line
