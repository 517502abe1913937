"""The time loop against real time, against C, against the machine and against an explicit integrator."""

from collections.abc import Callable

import numpy as np
from scipy.integrate import solve_ivp

from benchmarks import rig as workload
from benchmarks.reference import Reference
from benchmarks.tables import Row, clocked, in_turns, ratio_of
from twins import compiled, rigs
from twins.equations import absolute, pack, reference, unpack
from twins.scheme import rotate
from wirebloom.kernels import layout, loop

ROUNDS = 15
SPAN, MOMENTS = 10e-3, 10  # of the comparison at equal error
# Counted in reference.c: 17 a mode and pair for the sums, 16 a mode and polarisation for kick and turn, 300 a table, 120 the circuit.
FLOPS = 64 * 17 + 128 * 16 + 2 * 300 + 120
Maker = Callable[[], Callable[[], object]]


def kernel_rows() -> list[Row]:
    free, steps = speeds(workload.RIG), workload.RATE * workload.SECONDS
    buzzing, pressed = speeds(workload.BUZZING), speeds(workload.PRESSED)
    ours = float(np.median(free["ours"]))
    peak = peak_flops()
    times, errors, explicit = equal_error()
    return [
        Row("kernel, all physics on", f"{realtime(free['ours'])}, {ours / steps * 1e6:.2f} µs a step", "≥ 25, aim 45"),
        Row("speed against C (gcc -O3 -march=native -ffast-math)", f"{ratio_of(free['c'], free['ours']):.2f}", "≥ 0.8"),
        Row("C itself", realtime(free["c"])),
        Row("kernel, contact active (a buzzing string)", realtime(buzzing["ours"]), "≥ 12"),
        Row("speed against C, contact active", f"{ratio_of(buzzing['c'], buzzing['ours']):.2f}"),
        Row("kernel, string pressed on the face throughout", realtime(pressed["ours"])),
        Row("speed against C, pressed", f"{ratio_of(pressed['c'], pressed['ours']):.2f}"),
        Row("time of a step with two solid cores, over without", f"{1 / ratio_of(*cores()):.2f}", "≤ 1.1"),
        Row("speed with composed electronics, over a plain amplifier", f"{ratio_of(*electronics()):.2f}", "≥ 0.7"),
        Row("peak of fused multiply-adds, this machine", f"{peak / 1e9:.1f} GFLOP/s"),
        Row("share of that peak in use", f"{FLOPS * steps / ours / peak:.0%} ({FLOPS} flops a step)"),
        Row("solve_ivp DOP853, compiled equations, equal error", f"{times[1] / times[0]:.0f} × slower ({explicit})", "≥ 60"),
        Row("error of the two, 10 ms", f"kernel {errors[0]:.1e}, DOP853 {errors[1]:.1e}"),
    ]


def realtime(seconds: np.ndarray) -> str:
    """Middle and best of the runs: they part where something else had the machine."""
    return f"{workload.SECONDS / np.median(seconds):.1f} × real time (best {workload.SECONDS / seconds.min():.1f})"


def speeds(rig: rigs.Rig) -> dict[str, np.ndarray]:
    model = workload.model_of(rig)
    inputs, c = workload.inputs_of(model), Reference(model)
    record = rigs.empty_record(model, len(inputs.supply))

    def theirs() -> Callable[[], object]:
        state = workload.start_of(model, rig)
        return lambda: c.advance(state, inputs, record)

    check_same(model, rig, inputs, c)
    return in_turns({"ours": runner(model, rig), "c": theirs}, ROUNDS)


def cores() -> tuple[np.ndarray, np.ndarray]:
    """Seconds without and with eddy currents, by turns."""
    made = {}
    for name, rig in (("hollow", workload.RIG), ("solid", workload.SOLID)):
        model = workload.model_of(rig)
        made[name] = runner(model, rig)
        made[name]()()  # compile
    seconds = in_turns(made, ROUNDS)
    return seconds["hollow"], seconds["solid"]


def electronics() -> tuple[np.ndarray, np.ndarray]:
    """Seconds with a plain amplifier and with composed electronics, by turns."""
    made = {"plain": runner(workload.model_of(workload.RIG), workload.RIG), "composed": runner(workload.composed(), workload.RIG)}
    for make in made.values():
        make()()  # compile
    seconds = in_turns(made, ROUNDS)
    return seconds["plain"], seconds["composed"]


def runner(model: layout.Model, rig: rigs.Rig) -> Maker:
    """Makes runs of the kernel, each from the start."""
    inputs = workload.inputs_of(model)
    record = rigs.empty_record(model, len(inputs.supply))

    def make() -> Callable[[], object]:
        state = workload.start_of(model, rig)
        return lambda: loop.advance(model, state, inputs, record)

    return make


def check_same(model: layout.Model, rig: rigs.Rig, inputs: layout.Inputs, c: Reference) -> None:
    """Both do the same work: the same displacements after a tenth of a second."""
    steps = workload.RATE // 10
    few = layout.Inputs(*(array[:steps] for array in inputs))
    records = [rigs.empty_record(model, steps) for _ in range(2)]
    loop.advance(model, workload.start_of(model, rig), few, records[0])
    c.advance(workload.start_of(model, rig), few, records[1])
    for name in ("displacement", "current", "output", "bridge"):
        ours, theirs = (getattr(record, name) for record in records)
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-6 * np.abs(ours).max(), err_msg=name)


def peak_flops() -> float:
    machine, rounds = Reference(workload.model_of(workload.RIG)).machine, 5_000_000
    seconds = min(clocked(lambda: machine.multiply_add(rounds)) for _ in range(5))
    return machine.flops_of_a_round() * rounds / seconds


def equal_error() -> tuple[tuple[float, float], tuple[float, float], str]:
    """Seconds and errors of the kernel and of the loosest DOP853 that is at least as exact; without noise."""
    rig = workload.RIG
    model = workload.model_of(rig)
    flow, start, times = compiled.flow(model), pack(rigs.plucked_state(model, rig, height=-2e-4)), np.linspace(0, SPAN, MOMENTS + 1)
    exact = reference(model, start, times, rtol=1e-10, flow=flow)[1:]
    error = distance(model, marched(model, rig), exact)
    for exponent in np.arange(2.0, 10.0, 0.5):
        rtol = 10.0**-exponent

        def explicit(rtol: float = rtol) -> np.ndarray:
            return solve_ivp(flow, (0, SPAN), start, "DOP853", times[1:], rtol=rtol, atol=absolute(model, rtol)).y.T

        theirs = distance(model, explicit(), exact)
        if theirs <= error:
            break
    seconds = [min(clocked(work) for _ in range(3)) for work in (lambda: marched(model, rig), explicit)]
    return (seconds[0], seconds[1]), (error, theirs), f"rtol 1e-{exponent:g}"


def marched(model: layout.Model, rig: rigs.Rig) -> np.ndarray:
    """The kernel over the same span in one call, and back to whole steps at its end only."""
    state, inputs = workload.start_of(model, rig), workload.inputs_of(model, SPAN, quiet=True)
    loop.advance(model, state, inputs, rigs.empty_record(model, len(inputs.supply)))
    q, v = rotate(model.back, state.q, state.v)
    return pack(state._replace(q=q, v=v))[None]


def distance(model: layout.Model, run: np.ndarray, exact: np.ndarray) -> float:
    """Modal energy norm of the difference at the end over that of the state."""
    return size(model, run[-1] - exact[-1]) / size(model, exact[-1])


def size(model: layout.Model, y: np.ndarray) -> float:
    state = unpack(model, y)
    return float(np.sqrt(np.sum((model.strings.frequency * state["q"]) ** 2 + state["v"] ** 2)))
