"""Every kind of block as an exported deck in ngspice: frequency response within 0.1 % of the matrices of the same netlist, the way into
clipping within 1 % rms of the time loop; with a string over its coils, growth within 1 % and the level of the limit cycle within 2 %.

A wrong sign of a coil, of an input or of the coupling, a lost bend, limit or draw, wind-up at a rail: each shows in one of these.
"""

import numpy as np
import pytest

from oracles import benches, decks, loops, ngspice
from wirebloom.analysis.equivalents import deck_of
from wirebloom.circuit.deck import Plan, deck
from wirebloom.circuit.equivalents import Turn
from wirebloom.circuit.marks import Nodes, marks
from wirebloom.circuit.nodal import network_of
from wirebloom.circuit.parts import Netlist
from wirebloom.compile import compile_rig
from wirebloom.kernels.layout import Network
from wirebloom.rig import load, loads
from wirebloom.run import simulate

debian = pytest.mark.debian
needs_ngspice = pytest.mark.skipif(not ngspice.present(), reason="needs the Debian package ngspice")
METER = {"node": 0, "output": 1, "capacitor": 2, "supply": 3}


class Rows:
    """Rows of a network over x, i and v; where rails give way, with what its stages then draw, all from the upper rail."""

    def __init__(self, network: Network, known: int) -> None:
        self.network, self.known = network, known
        draws = slice(known + 1, None, 2)
        given = network.given
        self.drawn = np.linalg.solve(np.eye(len(given)) - given[:, draws], given[:, :known]) if given[:, draws].size else given[:0, :known]

    def __call__(self, name: str) -> np.ndarray:
        rows = getattr(self.network, name)
        return rows[:, : self.known] + rows[:, self.known + 1 :: 2] @ self.drawn


def response(netlist: Netlist, turns: tuple[Turn, ...], shown: list[str], frequency: np.ndarray) -> np.ndarray:
    """Meters and both coil currents over an EMF of 1 V in the sense coil, as from a string that comes nearer."""
    network, stages = network_of(netlist)
    size = len(network.inertia), len(network.voltage), len(stages)
    _x, i, v = np.cumsum((0, *size[:2])).astype(int)
    known, iron = sum(size), len(turns)
    rate = np.array([2 * np.pi * stage.bandwidth for stage in stages])
    rows = Rows(network, known)
    still = np.zeros((known + iron, known + iron), dtype=complex)
    still[:v, :known], still[v:known, :known] = np.vstack([rows("rate"), rows("voltage")]), rate[:, None] * rows("heard")
    still[np.arange(v, known), np.arange(v, known)] -= rate / np.array([stage.gain for stage in stages])
    moving = np.eye(known + iron, dtype=complex)
    moving[i:v, i:v] = benches.INDUCTANCE
    for k, turn in enumerate(turns, start=known):
        still[k, k], moving[k, k] = -turn.ohm, turn.henry
        moving[k, i + turn.circuit] = moving[i + turn.circuit, k] = turn.henry
    push = np.zeros(known + iron)
    push[i] = -1.0  # the coil's share of the voltage is 1 V more: what is left for L di/dt is 1 V less
    found = np.array([np.linalg.solve(2j * np.pi * f * moving - still, push) for f in frequency])
    meters = rows("meter")[[METER[name] for name in shown]] @ found[:, :known].T
    return np.vstack([meters, found[:, i:v].T])


def rises(name: str, turns: tuple[Turn, ...], folder) -> tuple[np.ndarray, np.ndarray]:
    netlist = benches.BENCHES[name]()
    text = deck(netlist, benches.windings(turns), Plan(name, (), 0.0, 1e-2, 1e-5))
    mark = marks(netlist.parts)
    currents = [f"i(v{mark[coil]})" for coil in ("sense coil", "drive coil")]
    theirs = ngspice.response(text, [benches.heard(netlist), "v(out)", *currents], folder)
    return response(netlist, turns, ["node", "output"], theirs.axis.real), theirs.signals


@debian
@needs_ngspice
@pytest.mark.parametrize("name", benches.BENCHES)
@pytest.mark.parametrize("turns", [(), benches.SOLID], ids=["", "solid cores"])
def test_frequency_response_of_every_block(name, turns, tmp_path):
    """20 Hz to 20 kHz: size and phase of the node, the output and both coils' currents."""
    ours, theirs = rises(name, turns, tmp_path)
    off = np.abs(ours - theirs) / np.abs(theirs)
    assert np.max(off) < 1e-6, np.max(off, axis=1)  # 0.1 % would do


SCENARIO = """
format = 1
title = "Blocks"
strings = [{ name = "pier", material = "music wire", diameter = "0.38 mm", length = "640 mm", pitch = "G3" }]
supplies = [{ name = "bench", kind = "ideal", voltage = "12 V" }]

[[heads]]
name = "sense"
kind = "measured"
string = "pier"
position = "0.4 L"
gap = "1 mm"
law = { gap = "1 mm", factor = "14 mN/A", pull = "3 mN", decay_length = "1.4 mm" }
resistance = "25 ohm"
inductance = "2.6 mH"
face_diameter = "5 mm"
aperture = "6 mm"

[[heads]]
name = "drive"
like = "sense"
string = "pier"
position = "0.286 L"
gap = "1 mm"

[[loops]]
name = "main"
sense = ["sense"]
drive = ["drive"]
supply = "bench"
output = { capacitor = "220 uF", snubber = { resistor = "10 ohm", capacitor = "47 nF" }, level_resistor = "10 ohm" }
stages = [STAGES]
"""
NON_INVERTING = '{ kind = "op-amp", preset = "low-noise op-amp", topology = "non-inverting", feedback = "10 kohm", to_ground = "330 ohm" }'
INVERTING = '{ kind = "op-amp", preset = "general op-amp", topology = "inverting", feedback = "4.7 kohm", feedback_capacitor = "1 nF" }'
CHIP = '{ kind = "power chip", preset = "small audio power chip" }'
BYPASSED = '{ kind = "power chip", preset = "medium power chip", bypass = "10 uF" }'
COUPLED = '{ kind = "coupling", capacitor = "220 nF", resistor = "10 kohm", share = 0.4 }'
BUFFER = '{ kind = "buffer", preset = "class-AB buffer" }'
CHAINS = {
    "op-amp": [NON_INVERTING],
    "inverting op-amp and buffer": [INVERTING, BUFFER],
    "power chip": [CHIP],
    "power chip with bypass": [BYPASSED],
    "preamplifier, pot, power chip": [NON_INVERTING, COUPLED, BYPASSED],
}


@debian
@needs_ngspice
@pytest.mark.parametrize("name", CHAINS)
def test_every_kind_of_block_of_a_scenario(name, tmp_path):
    """The scenario's own words through to ngspice, strings left out."""
    compiled = compile_rig(*loads(SCENARIO.replace("STAGES", ", ".join(CHAINS[name])), file="blocks.toml"))
    netlist, wound = compiled.netlist, benches.windings()
    mark = marks(netlist.parts)
    signals = ["v(main_out)", *(f"i(v{mark[f'main {coil} coil']})" for coil in ("sense", "drive"))]
    theirs = ngspice.response(deck(netlist, wound, Plan(name, (), 0.0, 1e-2, 1e-5)), signals, tmp_path)
    ours = response(netlist, (), ["output"], theirs.axis.real)
    assert np.max(np.abs(ours - theirs.signals) / np.abs(theirs.signals)) < 1e-3


@debian
@needs_ngspice
@pytest.mark.parametrize("start", ["switch-on", "noise", 'pluck", position = "0.2 L", height = "0.1 mm'])
def test_the_deck_of_a_whole_scenario_runs(start, tmp_path):
    """However it starts; a pluck is heard at once with the pitch of the string, the rest comes later."""
    text = SCENARIO.replace("STAGES", BYPASSED) + f'[start]\nkind = "{start}"\n'.replace(", ", "\n") + '[run]\nduration = "60 ms"\n'
    compiled = compile_rig(*loads(text, file="blocks.toml"))
    theirs = ngspice.transient(deck_of(compiled, 3), ["v(main_in)", "v(main_out)", "v(s1p1)"], tmp_path)
    assert theirs.axis[-1] == pytest.approx(0.06, rel=1e-6)
    assert theirs.signals[1][-1] == pytest.approx(6.0, abs=5.0)
    if start.startswith("pluck"):
        rising = np.count_nonzero(np.diff(np.sign(theirs.signals[2])) > 0)
        assert rising == pytest.approx(0.06 * 196.0, abs=1)


@debian
@needs_ngspice
@pytest.mark.parametrize("name", ["from_noise", "power_chip", "two_strings_two_loops"])
def test_decks_of_shipped_scenarios_run(name, tmp_path):
    compiled = compile_rig(*load(name, ["run.duration=40 ms"]))
    loop = Nodes()(f"{compiled.rig.loops[0].name}.out")
    theirs = ngspice.transient(deck_of(compiled), [f"v({loop})", "v(s1p1)"], tmp_path)
    assert theirs.axis[-1] == pytest.approx(0.04, rel=1e-6)
    assert np.max(np.abs(theirs.signals[1])) > 1e-7  # m/s


@debian
@needs_ngspice
@pytest.mark.slow
@pytest.mark.parametrize("turned", ["", "reversed = true\n"])
def test_a_faint_note_grows_in_the_deck_of_a_scenario_as_in_its_run(turned, tmp_path):
    """Force factors, their signs, the magnets' share in the stiffness: a pluck of 1 um is small enough for a linear deck."""
    quiet = BYPASSED.replace(" }", ', noise = "0 V/rtHz", input_offset = "0 V" }')
    pluck = '[start]\nkind = "pluck"\nposition = "0.2 L"\nheight = "1 um"\n[run]\nduration = "400 ms"\n'
    text = SCENARIO.replace("STAGES", quiet).replace('name = "drive"\n', f'name = "drive"\n{turned}').replace("14 mN/A", "40 mN/A") + pluck
    compiled = compile_rig(*loads(text, file="blocks.toml"))
    theirs = ngspice.transient(deck_of(compiled, 6), ["v(main_in)", "i(VL2)"], tmp_path)
    signals = simulate(compiled).signals
    time = (np.arange(len(signals.sense_voltage)) + 0.5) / 48e3
    pitch = compiled.modes[0].frequency[0, 0]
    for ours, there in ((signals.sense_voltage[:, 0], theirs.signals[0]), (signals.drive_current[:, 0], theirs.signals[1])):
        levels = [[decks.fundamental(*one, pitch, start) for start in (0.02, 0.3)] for one in ((time, ours), (theirs.axis, there))]
        rates = [np.log(abs(late / early)) / 0.28 for early, late in levels]
        assert abs(rates[1]) > 5.0
        assert rates[0] == pytest.approx(rates[1], rel=0.003)  # without the magnets' share in how partials meet: 0.006
        assert abs(levels[0][0]) == pytest.approx(abs(levels[1][0]), rel=0.005)
        assert np.angle(levels[0][0] / levels[1][0]) == pytest.approx(0.0, abs=0.05)


RATE = 384e3
INTO_CLIPPING = {  # V and Hz of a sine in the sense coil
    "inverting": (0.03, 150.0),
    "power chip with bypass": (0.03, 150.0),
    "two stages": (0.03, 150.0),
    "sagging supply": (0.06, 150.0),
    "filtered": (0.03, 150.0),
}


@debian
@needs_ngspice
@pytest.mark.slow
@pytest.mark.parametrize("name", INTO_CLIPPING)
def test_transient_into_clipping(name, tmp_path):
    """From nothing as the supply comes up in 5 ms, with a sine that is too much: node, drive current and output."""
    netlist, sine, ramp, span = benches.BENCHES[name](), INTO_CLIPPING[name], 5e-3, 0.04
    time = (np.arange(round(span * RATE)) + 0.5) / RATE
    emf = sine[0] * np.sin(2 * np.pi * sine[1] * time)
    ours = loops.trace(loops.run(loops.model_of(netlist, RATE), time.size, ramp=ramp, emf=emf), RATE)
    theirs = loops.theirs(netlist, Plan(name, (), ramp, span, 5e-7), tmp_path, sine=sine)
    for signal in ("node", "current", "output"):
        there = np.interp(ours.time, theirs.time, getattr(theirs, signal))
        off = np.sqrt(np.mean((getattr(ours, signal) - there) ** 2) / np.mean(there**2))
        assert off < 0.01, (signal, off)


def fed_by_a_chip(place: float, span: float, tmp_path) -> tuple[decks.Trace, decks.Trace]:
    """A string over the coils of a power chip with more gain, let go from a place (m): the time loop, and the deck."""
    netlist, rate = benches.power_chip(feedback=120e3), 96e3
    model = loops.model_of(netlist, rate, loops.RIG)
    ours = loops.trace(loops.run(model, round(span * rate), place=place), rate)
    plan = Plan("a string and a power chip", (), 0.0, span, 4e-6)
    return ours, loops.theirs(netlist, plan, tmp_path, string=loops.partials(model, place))


@debian
@needs_ngspice
@pytest.mark.slow
def test_growth_of_a_whole_loop(tmp_path):
    ours, theirs = fed_by_a_chip(1e-6, 0.3, tmp_path)
    rates = [decks.growth_rate(one.time, one.node, loops.WIRE.pitch, first=0.03, last=0.2) for one in (ours, theirs)]
    assert rates[1] > 5.0
    assert np.max(np.abs(theirs.output - 4.5)) < 1.0  # nowhere near the rails
    assert rates[0] == pytest.approx(rates[1], rel=0.01)


@debian
@needs_ngspice
@pytest.mark.slow
def test_limit_cycle_of_a_whole_loop(tmp_path):
    ours, theirs = fed_by_a_chip(2e-4, 0.5, tmp_path)
    for name in ("node", "current", "output"):
        levels = [abs(decks.fundamental(one.time, getattr(one, name), loops.WIRE.pitch, 0.43)) for one in (ours, theirs)]
        assert levels[0] == pytest.approx(levels[1], rel=0.02), name
    early, late = (abs(decks.fundamental(theirs.time, theirs.node, loops.WIRE.pitch, start)) for start in (0.33, 0.43))
    assert early == pytest.approx(late, rel=0.05)  # it has settled, or nearly
