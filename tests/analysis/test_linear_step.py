"""The linear model against the time loop itself: what one compiled step does to every state, by finite differences.

The step's eigenvalues μ come to those of the linear model as h² does, poles far beyond the step rate as the midpoint rule has
them, μ = (1 + λh/2)/(1 − λh/2). The two share the tables, the network and nothing else.
"""

import numpy as np
import pytest

from consistency.scenario import compiled
from wirebloom.analysis.linear import linearise
from wirebloom.compile import Compiled, compile_rig
from wirebloom.kernels.loop import DONE, advance
from wirebloom.rig import load
from wirebloom.run.inputs import no_inputs
from wirebloom.run.recorder import blank_record

SMALL = {"q": 1e-8, "v": 1e-5, "flux": 1e-8, "eddy": 1e-8, "x": 1e-5, "output": 1e-4}  # m, m/s, Wb, V
STILL = ("start={kind='noise'}",)


def step_matrix(ready: Compiled) -> np.ndarray:
    """∂(state after a step)/∂(state before it) at rest, all living modes and all electronics."""
    places = [(name, k) for name in SMALL for k in np.flatnonzero(living(ready, name))]
    columns = []
    for name, k in places:
        ends = []
        for side in (1.0, -1.0):
            state = ready.state._replace(**{field: getattr(ready.state, field).copy() for field in ready.state._fields})
            getattr(state, name).reshape(-1)[k] += side * SMALL[name]
            assert advance(ready.model, state, no_inputs(ready.model, 1), blank_record(ready.model, 1))[0] == DONE
            ends.append(np.concatenate([getattr(state, field).ravel()[living(ready, field)] for field in SMALL]))
        columns.append((ends[0] - ends[1]) / (2 * SMALL[name]))
    return np.array(columns).T


def living(ready: Compiled, name: str) -> np.ndarray:
    if name in ("q", "v"):
        return (ready.model.strings.frequency > 0.0).ravel()
    return np.ones(getattr(ready.state, name).size, dtype=bool)


def worst(ready: Compiled, slow: float = 2e4) -> float:
    """Largest relative distance of an eigenvalue slower than `slow` (rad/s) from its partner.

    A string turns exactly, so its partner is log(μ)/h; that of an electrical pole is (2/h)(μ − 1)/(μ + 1), by the midpoint rule.
    """
    h, wanted = ready.model.step, np.linalg.eigvals(linearise(ready).matrix)
    found = np.linalg.eigvals(step_matrix(ready)).astype(complex)
    assert found.size == wanted.size
    for value in wanted[np.abs(wanted) * h > 1.0]:
        image = (1 + value * h / 2) / (1 - value * h / 2)
        assert np.min(np.abs(found - image)) < 2e-3, value
    kept, paces = wanted[np.abs(wanted) < slow], np.concatenate([np.log(found) / h, 2 / h * (found - 1) / (found + 1)])
    return float(np.max(np.min(np.abs(paces[:, None] - kept), axis=0) / (np.abs(kept) + 1.0)))


def test_one_string_one_loop() -> None:
    """With the terms in h² an order smaller at a rate an octave up: factor 4."""
    errors = [worst(compiled(*STILL, f"run.rate={rate} kHz")) for rate in (96, 192)]
    assert errors[0] < 1e-5
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.05)


@pytest.mark.parametrize(
    "changes",
    [
        ("heads.drive.reversed=true", "loops.main.amplifier.polarity=reversed"),
        ("couplings=[{heads=['sense','drive'], mutual='20 uH'}]", "loops.main.output.capacitor=100 uF"),
        ("loops.main.phase={kind='ideal lag', frequency='196 Hz'}", "heads.sense.offset=0.8 mm"),
        ("loops.main.amplifier.gain=30", "loops.main.phase={kind='series capacitor', capacitor='22 uF'}"),
    ],
    ids=["turned", "coupled", "lagged", "led"],
)
def test_kinds_of_loop(changes: tuple[str, ...]) -> None:
    assert worst(compiled(*STILL, *changes)) < 1e-5


@pytest.mark.slow
def test_two_strings_two_loops_with_solid_cores() -> None:
    few = ("strings.0.partials_to=1.5 kHz", "strings.1.partials_to=1.5 kHz")
    assert worst(compile_rig(*load("two_strings_two_loops", (*STILL, *few)))) < 1e-5
