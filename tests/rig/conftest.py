"""A small valid scenario to spoil in every way there is."""

from collections.abc import Callable

import pytest

from wirebloom.rig import Rig, RunPlan, loads

SCENARIO = """\
format = 1
title = "Test rig"

[[strings]]
name = "pier"
material = "music wire"
diameter = "0.38 mm"
length = "640 mm"
pitch = "G3"

[[heads]]
name = "sense"
string = "pier"
position = "0.4 L"
gap = "1 mm"
core = { diameter = "5 mm", length = "10 mm" }
coil = { turns = 420, wire = "0.10 mm", inner_diameter = "5.6 mm", outer_diameter = "11.2 mm", top = "0.5 mm", bottom = "8.5 mm" }
magnets = [{ shape = "disc", diameter = "8 mm", thickness = "3 mm", remanence = "0.38 T" }]

[[heads]]
name = "drive"
string = "pier"
position = "0.2 L"
gap = "1 mm"
like = "sense"

[[loops]]
name = "main"
sense = ["sense"]
drive = ["drive"]

[loops.amplifier]
gain = 200
gain_bandwidth = "10 MHz"
slew = "5 V/us"
supply = "9 V"
supply_kind = "single"

[loops.output]
capacitor = "470 uF"
"""

Read = Callable[..., tuple[Rig, RunPlan]]


@pytest.fixture
def read() -> Read:
    """Read the scenario with changes: pairs of text to replace, then overrides."""

    def reader(*overrides: str, replace: tuple[tuple[str, str], ...] = (), text: str = SCENARIO) -> tuple[Rig, RunPlan]:
        for old, new in replace:
            if old not in text:
                raise LookupError(old)
            text = text.replace(old, new)
        return loads(text, file="test.toml", overrides=overrides)

    return reader
