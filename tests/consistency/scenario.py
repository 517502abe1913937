"""A small scenario with measured heads: compiled in milliseconds, for what needs a rig from words and not from numbers."""

from wirebloom.compile import Compiled, compile_rig
from wirebloom.rig import loads

TEXT = """
format = 1
title = "Bench"

[[strings]]
name = "one"
material = "music wire"
diameter = "0.38 mm"
length = "640 mm"
pitch = "G3"
partials_to = "3 kHz"

[[heads]]
name = "sense"
kind = "measured"
string = "one"
position = "0.4 L"
gap = "1 mm"
law = { gap = "1 mm", factor = "14 mN/A", pull = "3 mN", decay_length = "1.5 mm" }
resistance = "200 ohm"
inductance = "20 mH"
face_diameter = "5 mm"
aperture = "6 mm"

[[heads]]
name = "drive"
kind = "measured"
string = "one"
position = "0.286 L"
gap = "1 mm"
law = { gap = "1 mm", factor = "14 mN/A", pull = "3 mN", decay_length = "1.5 mm" }
resistance = "24 ohm"
inductance = "2.6 mH"
face_diameter = "5 mm"
aperture = "6 mm"

[[loops]]
name = "main"
sense = ["sense"]
drive = ["drive"]

[loops.amplifier]
gain = 1000
gain_bandwidth = "3 MHz"
slew = "13 V/us"
supply = "9 V"
supply_kind = "split"
headroom = "1.5 V"
polarity = "normal"
noise = "18 nV/rtHz"

[start]
kind = "noise"

[run]
duration = "0.08 s"
seed = 1
"""


def compiled(*overrides: str) -> Compiled:
    return compile_rig(*loads(TEXT, file="bench.toml", overrides=overrides))
