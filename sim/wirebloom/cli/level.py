"""``wirebloom level``: the resistor in series with the drive coils that keeps a clearance, and the drive that is left."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from pydantic_core import PydanticCustomError

from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.making import overrides
from wirebloom.cli.progress import progress
from wirebloom.compile import Compiled, compile_rig
from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig import Loop, Rig, load
from wirebloom.rig.dimensions import LENGTH
from wirebloom.rig.quantities import quantity
from wirebloom.rig.sentences import listed, sentence
from wirebloom.run.level import find_level
from wirebloom.views.level_words import level_words
from wirebloom.views.verdict import render
from wirebloom.workbench.names import short_name


def command(arguments: argparse.Namespace) -> int:
    """Search, and print what was found."""
    clearance, changes = wanted_clearance(arguments.clearance), overrides(arguments)
    rig, _ = load(arguments.scenario, changes)
    loop = chosen_loop(rig, arguments.loop)
    key, own = level_key(rig.loops[loop])

    def build(ohm: float) -> Compiled:
        return compile_rig(*load(arguments.scenario, [*changes, f"{key}={ohm:.9g} ohm"]))

    with progress(f"{short_name(arguments.scenario)}, level", 0.0):
        found = find_level(build, loop, clearance, own)
    if arguments.json:
        print_json({"title": rig.title, "loop": rig.loops[loop].name, "wanted_mm": 1e3 * clearance, "key": key, **asdict(found)})
    else:
        print_text(render(level_words(rig.loops[loop].name, key, clearance, own, found)))
    return 0


def wanted_clearance(text: str) -> float:
    """A clearance in words → m.

    Raises
    ------
    ScenarioError
        If it is no length, or none above 0.
    """
    try:
        found = quantity(text, LENGTH)
    except PydanticCustomError as problem:
        raise ScenarioError(f"--clearance {problem.message().strip()}") from None
    if not found > 0.0:
        raise ScenarioError(sentence("--clearance", "more than 0 mm", text))
    return found


def chosen_loop(rig: Rig, name: str | None) -> int:
    """Number of the loop of this name, or of the only one.

    Raises
    ------
    RigError
        If there is no loop.
    ScenarioError
        If no loop has this name, or there are several and none is named.
    """
    names = [loop.name for loop in rig.loops]
    if not names:
        raise RigError(sentence("loops", "given, at least one", "none"))
    if name is None and len(names) == 1:
        return 0
    if name not in names:
        raise ScenarioError(sentence("--loop", f"the name of a loop ({listed(names)})", "nothing" if name is None else f"'{name}'"))
    return names.index(name)


def level_key(loop: Loop) -> tuple[str, float]:
    """Key of a loop's level resistor in a scenario, and its value, Ω."""
    if loop.amplifier is not None:
        return f"loops.{loop.name}.amplifier.level_resistor", loop.amplifier.level_resistor
    return f"loops.{loop.name}.output.level_resistor", loop.output.level_resistor
