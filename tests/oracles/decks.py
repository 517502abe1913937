"""A linearised loop as an electrical circuit for ngspice.

Every partial is a parallel resonance: the modal velocity is a voltage, the modal mass a capacitor, 1/(2mσ) a resistor,
1/(mω²) an inductor, a modal force a current (the mobility analogy, Firestone 1933, J. Acoust. Soc. Am. 4:249, from memory).
A head with a constant force factor K is a pair of controlled sources: K·velocity in the coil, K·current at the mode.
The amplifier is a capacitor charged by rate·(u − v/G), limited to the slew rate, with two steep walls at the rails.
"""

import shutil
import subprocess
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from twins.equations import pole_places, pole_string
from wirebloom.kernels.layout import Model

Floats = NDArray[np.float64]
WALL = 1e8  # s⁻¹: a rail gives way by rate·u/WALL, well under a millivolt here
DATA = "loop.data"
FARAD = 1e-6  # size of the amplifier's capacitor: any will do


class Trace(NamedTuple):
    """What both programs are compared by."""

    time: Floats  # s
    node: Floats  # sense node voltage, V
    current: Floats  # drive current, A
    output: Floats  # amplifier voltage, V


class Link(NamedTuple):
    """A pole's coupling of one partial to one coil, N/A."""

    string: int
    partial: int
    circuit: int
    factor: float


def links(model: Model) -> list[Link]:
    places = pole_places(model, np.zeros_like(model.strings.frequency))
    found = []
    for j, s in enumerate(pole_string(model.poles.first)):
        factor = -model.poles.sign[j] * places[j].table.by_gap[1]
        alive = np.nonzero(model.strings.frequency[s, 0] > 0)[0]
        found += [Link(int(s), int(n), int(model.poles.circuit[j]), factor * model.poles.weight[j, n]) for n in alive]
    return found


def deck(model: Model, speed: Floats, span: float, step: float) -> str:
    """The circuit of a one-loop model; `speed` (S, N) m/s are the starting modal velocities towards the heads."""
    lines = ["linearised loop", *resonators(model, speed), *couplings(model), *electrics(model), *control(span, step)]
    return "\n".join(lines) + "\n"


def resonators(model: Model, speed: Floats) -> list[str]:
    lines = []
    for s, n in zip(*np.nonzero(model.strings.frequency[:, 0] > 0), strict=True):
        mass, omega, sigma = 1 / model.strings.inverse_mass[s], model.strings.frequency[s, 0, n], model.strings.decay[s, 0, n]
        name = f"s{s}n{n}"
        lines += [
            f"Cm{name} {name} 0 {mass:.15g} IC={speed[s, n]:.15g}",
            f"Rm{name} {name} 0 {1 / (2 * mass * sigma):.15g}",
            f"Lm{name} {name} 0 {1 / (mass * omega**2):.15g} IC=0",
        ]
    return lines


def couplings(model: Model) -> list[str]:
    """Forces on the partials (F), and the voltages their motion induces in series with each coil (E)."""
    lines, tail = [], {0: "emf0_0", 1: "emf1_0"}
    for k, link in enumerate(links(model)):
        node, c = f"s{link.string}n{link.partial}", link.circuit
        here, tail[c] = tail[c], f"emf{c}_{k + 1}"
        lines += [f"Ff{k} 0 {node} Vprobe{c} {link.factor:.15g}", f"Ee{k} {here} {tail[c]} {node} 0 {link.factor:.15g}"]
    return [*lines, *(f"Vend{c} {end} 0 0" for c, end in tail.items())]


def electrics(model: Model) -> list[str]:
    circuits, amp = model.circuits, model.amplifiers
    sense, drive = circuits.inductance[0, 0], circuits.inductance[1, 1]
    wanted = f"{amp.rate[0]:.15g}*({amp.polarity[0]:g}*V(e)-V(o)/{amp.gain[0]:.15g})"
    walls = f"{WALL:g}*(max(V(o)-({amp.high[0]:g}),0)+min(V(o)-({amp.low[0]:g}),0))"
    series = [f"Co d c {1 / circuits.elastance[1]:.15g} IC=0"] if circuits.elastance[1] > 0 else ["Vco d c 0"]
    return [
        f"Cn e 0 {amp.node_capacitance[0]:.15g} IC=0",
        f"Rn e 0 {1 / amp.node_conductance[0]:.15g}",
        "Vprobe0 e e1 0",
        f"Rs e1 e2 {circuits.resistance[0]:.15g}",
        f"Ls e2 emf0_0 {sense:.15g} IC=0",
        f"Co1 o 0 {FARAD:g} IC=0",
        f"Bamp 0 o I={FARAD:g}*(min(max({wanted},{-amp.slew[0]:g}),{amp.slew[0]:g})-{walls})",
        "Eout d 0 o 0 1",
        *series,
        f"Rd c c1 {circuits.resistance[1]:.15g}",
        "Vprobe1 c1 c2 0",
        f"Ld c2 emf1_0 {drive:.15g} IC=0",
        f"Kcross Ls Ld {circuits.inductance[0, 1] / np.sqrt(sense * drive):.15g}",
    ]


def control(span: float, step: float) -> list[str]:
    return [
        ".options method=gear maxord=2 reltol=1e-6 vntol=1e-12 abstol=1e-15 chgtol=1e-20",
        f".tran {step:g} {span:g} 0 {step:g} uic",
        ".control",
        "set wr_singlescale",
        "set numdgt=12",
        "run",
        f"wrdata {DATA} v(e) i(Vprobe1) v(o)",
        "quit 0",
        ".endc",
        ".end",
    ]


def run(model: Model, speed: Floats, span: float, step: float, folder: Path) -> Trace:
    """Run ngspice in `folder`; raises CalledProcessError with its words when it fails."""
    (folder / "loop.cir").write_text(deck(model, speed, span, step))
    command = [shutil.which("ngspice") or "ngspice", "-b", "loop.cir"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, text=True, timeout=300)
    return Trace(*np.loadtxt(folder / DATA, unpack=True))


def fundamental(time: Floats, signal: Floats, frequency: float, start: float, periods: int = 12) -> complex:
    """Hann-weighted amplitude of one frequency over some periods from `start` (uneven sampling allowed)."""
    span = periods / frequency
    inside = (time >= start) & (time <= start + span)
    t = time[inside] - start
    window = 2 * np.sin(np.pi * t / span) ** 2
    return 2 / span * np.trapezoid(window * signal[inside] * np.exp(-2j * np.pi * frequency * t), t)


def growth_rate(time: Floats, signal: Floats, frequency: float, *, first: float, last: float, periods: int = 12) -> float:
    """Slope of ln(level) between two moments, 1/s."""
    levels = [abs(fundamental(time, signal, frequency, start, periods)) for start in (first, last)]
    return float(np.log(levels[1] / levels[0]) / (last - first))
