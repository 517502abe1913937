"""Takes of shipped scenarios, made as they are run but for a moment only: their sheet and scenario are what counts."""

from dataclasses import replace
from functools import cache

import synthetic
from wirebloom.compile import compile_rig
from wirebloom.rig import load
from wirebloom.run import simulate


@cache
def moment(name="first_note", *changes):
    """A twentieth of a second of a scenario, with changes."""
    return simulate(compile_rig(*load(name, ["run.duration=50 ms", *changes])))


def steady(**keys):
    """A synthetic take that sounds from the first moment on."""
    return synthetic.synthetic_take([synthetic.Tone(growth=0.0)], **keys)


def without_samples(take):
    """The same before its first sample."""
    frames = {name: values[:1] for name, values in vars(take.frames).items()}
    signals = {name: values[:0] for name, values in vars(take.signals).items()}
    shape = replace(take.shape, time=take.shape.time[:0], displacement=take.shape.displacement[:0])
    cut = replace(take, frames=type(take.frames)(**frames), signals=type(take.signals)(**signals), shape=shape)
    return replace(cut, duration_s=0.0, status="interrupted")
