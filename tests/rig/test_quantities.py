"""Numbers with units become SI, exactly and strictly."""

import math
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic_core import PydanticCustomError

from wirebloom.errors import WirebloomError
from wirebloom.rig import dimensions, loads
from wirebloom.rig.notes import note_frequency
from wirebloom.rig.quantities import quantity, shown

from .conftest import SCENARIO

# Retyped from the definitions: inch and pound-force exact (ISO 80000-4, from memory), degree Celsius 273.15 K.
READ = [
    ("0.36 mm", dimensions.LENGTH, 0.36e-3),
    ("1 m", dimensions.LENGTH, 1.0),  # not milli
    ("24 in", dimensions.LENGTH, 0.6096),
    ("360 um", dimensions.LENGTH, 0.36e-3),
    ("360 µm", dimensions.LENGTH, 0.36e-3),
    ("36cm", dimensions.LENGTH, 0.36),
    ("0.38 T", dimensions.FLUX_DENSITY, 0.38),  # not tera
    ("380 mT", dimensions.FLUX_DENSITY, 0.38),
    ("10 uF", dimensions.CAPACITANCE, 10e-6),
    ("4.7 kohm", dimensions.RESISTANCE, 4700.0),
    ("10 MΩ", dimensions.RESISTANCE, 10e6),
    ("20 degC", dimensions.TEMPERATURE, 293.15),
    ("20 °C", dimensions.TEMPERATURE, 293.15),
    ("293.15 K", dimensions.TEMPERATURE, 293.15),
    ("30 gf", dimensions.FORCE, 0.2941995),
    ("10 lbf", dimensions.FORCE, 44.482216152605),
    ("6 kgf", dimensions.FORCE, 58.8399),
    ("13 V/us", dimensions.SLEW_RATE, 13e6),
    ("13 V/µs", dimensions.SLEW_RATE, 13e6),
    ("18 nV/rtHz", dimensions.NOISE, 18e-9),
    ("18 nV/√Hz", dimensions.NOISE, 18e-9),
    ("14 mN/A", dimensions.FORCE_FACTOR, 14e-3),
    ("50 mm2", dimensions.DIPOLE, 50e-6),  # not milli square metre
    ("50 mm²", dimensions.DIPOLE, 50e-6),
    ("2 mN s/m", dimensions.DASHPOT, 2e-3),
    ("2 mN·s/m", dimensions.DASHPOT, 2e-3),
    ("2 g/s", dimensions.DASHPOT, 2e-3),
    ("10 MN/m^1.5", dimensions.FACE_STIFFNESS, 1e7),
    ("-0.5 cent", dimensions.INTERVAL, -0.5),
    ("1e-3 s", dimensions.TIME, 1e-3),
    ("2 min", dimensions.TIME, 120.0),
]


@pytest.mark.parametrize(("text", "dimension", "expected"), READ)
def test_units(text, dimension, expected):
    assert quantity(text, dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["1 ft", "1 Gin", "1 km/s", "1 mmm", "1 m m", "1 mm 2", "1e m", "1_0 mm", "١ mm", "+-1 mm", "0x1 m", "mm", "1 %m"]
)
def test_no_such_length(text):
    with pytest.raises(PydanticCustomError):
        quantity(text, dimensions.LENGTH)


@pytest.mark.parametrize(("value", "expected"), [(0.036, "36 mm"), (0.64, "640 mm"), (math.inf, "inf m")])
def test_shown(value, expected):
    assert shown(value, dimensions.LENGTH) == expected


# ISO 16:1975: A4 = 440 Hz (front page seen); equal temperament 440 · 2^(k/12); figures by that formula.
@pytest.mark.parametrize(
    ("name", "hertz"),
    [("A4", 440.0), ("E2", 82.4069), ("D3", 146.8324), ("G3", 195.9977), ("B3", 246.9417), ("E4", 329.6276), ("C4", 261.6256)],
)
def test_note_names(name, hertz):
    assert note_frequency(name) == pytest.approx(hertz, rel=1e-6)


def test_spellings_of_one_note():
    """Flat one letter up is sharp one letter down; the octave changes at C, not at A."""
    assert note_frequency("Db3") == note_frequency("C#3") == note_frequency("C♯3")
    assert note_frequency("B3") == pytest.approx(note_frequency("C4") / 2 ** (1 / 12), rel=1e-12)
    assert note_frequency("A4 + 100 cent") == pytest.approx(note_frequency("Bb4"), rel=1e-12)
    assert note_frequency("a4") is None


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.text(max_size=30), st.from_regex(r"[+-]?\d{0,4}[.,]?\d{0,3}(e[+-]?\d{1,3})? ?[a-zA-Zµ°Ω/^]{0,5}\d?", fullmatch=True)))
def test_any_text_is_a_value_or_a_sentence(text):
    """No value of a quantity leads to anything but a rig or one of our errors; what gets through is a finite number."""
    written = text.replace("\\", "").replace("'", "").replace('"', "").replace("\n", " ").replace("\r", " ")
    written = "".join(letter for letter in written if letter == "\t" or (ord(letter) >= 32 and letter != "\x7f"))
    spoilt = SCENARIO.replace('diameter = "0.38 mm"', f'diameter = "{written}"').replace('gap = "1 mm"', f'gap = "{written}"')
    try:
        rig, _ = loads(spoilt, file="test.toml")
    except WirebloomError as problem:
        assert "; instead received " in str(problem)  # noqa: PT017 - a sentence is one of the two right answers
        assert "\n" not in str(problem)  # noqa: PT017
    else:
        assert math.isfinite(rig.strings[0].diameter)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60))
def test_any_override_is_a_value_or_a_sentence(text):
    try:
        loads(SCENARIO, file="test.toml", overrides=[text, f"strings.pier.{text}", f"heads.sense.gap={text}"])
    except WirebloomError as problem:
        assert "; instead received " in str(problem)  # noqa: PT017


def test_importing_the_rig_is_light():
    """Checked in a fresh interpreter: reading a scenario must not wait for the numerical libraries."""
    import subprocess

    code = "import sys, wirebloom.rig; print([m for m in ('numpy', 'scipy', 'numba', 'matplotlib', 'h5py') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
