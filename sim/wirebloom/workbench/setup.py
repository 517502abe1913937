"""A scenario taken up: the rig that stands on the bench and what is to be done with it, with the changes made to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wirebloom.rig import Rig, RunPlan, loads, shipped_scenarios
from wirebloom.rig.shipped import scenario_text
from wirebloom.workbench.names import short_name


@dataclass(frozen=True)
class Setup:
    """One scenario, read.

    Attributes
    ----------
    name : str
        What results are called.
    rig : Rig
        Strings, heads, loops, supplies, room, in SI units.
    plan : RunPlan
        Start, duration, rates, seed.

    Examples
    --------
    >>> import wirebloom as wb
    >>> setup = wb.load("first_note")
    >>> [head.name for head in setup.rig.heads]
    ['sense', 'drive']
    >>> f"{1e3 * setup.changed('heads.drive.gap=1.5 mm').rig.heads[1].gap:.1f} mm"
    '1.5 mm'
    """

    name: str
    rig: Rig
    plan: RunPlan

    @property
    def title(self) -> str:
        """For people."""
        return self.rig.title

    @property
    def changes(self) -> tuple[str, ...]:
        """Made to the scenario so far, ``path=value``."""
        return self.rig.overrides

    def changed(self, *changes: str) -> Setup:
        """Return the same scenario with further changes, such as ``heads.sense.gap=1.2 mm``; later ones win.

        Raises
        ------
        ScenarioError
            If a change leads nowhere or its words make no sense.
        RigError
            If what comes of it cannot be built.
        """
        return Setup(self.name, *loads(self.rig.text, file=self.name, overrides=(*self.changes, *changes)))


def load(scenario: str | Path | Setup, *changes: str, duration: str | None = None, seed: int | None = None) -> Setup:
    """Read a scenario from a file, or one that comes with the package by its name.

    Parameters
    ----------
    scenario : str, Path or Setup
        ``rigs/mine.toml`` or ``first_note``; one that has been read is changed further.
    *changes : str
        Any value of the scenario given anew, such as ``heads.sense.gap=1.2 mm``; entries of a list go by their name.
    duration : str, optional
        Simulated time with its unit, such as ``3 s``.
    seed : int, optional
        Of the noise.

    Returns
    -------
    Setup

    Raises
    ------
    FileError
        If the file cannot be read.
    ScenarioError
        If its words make no sense.
    RigError
        If what they describe cannot be built.

    Examples
    --------
    >>> import wirebloom as wb
    >>> wb.load("first_note", "heads.sense.gap=1.2 mm", duration="2 s").plan.duration
    2.0
    """
    every = with_plan(changes, duration, seed)
    if isinstance(scenario, Setup):
        return scenario.changed(*every)
    file, text = scenario_text(scenario)
    return Setup(short_name(scenario), *loads(text, file=file, overrides=every))


def with_plan(changes: Sequence[str], duration: str | None, seed: int | str | None) -> list[str]:
    """Return changes to a scenario, those of its run plan last: later ones win."""
    plan = {"run.duration": duration, "run.seed": seed}
    return [*changes, *(f"{key}={value}" for key, value in plan.items() if value is not None)]


def scenarios() -> dict[str, str]:
    """Return the scenarios that come with the package: their names, and their titles.

    Examples
    --------
    >>> import wirebloom as wb
    >>> wb.scenarios()["first_note"]
    'First note'
    """
    return {name: load(name).title for name in shipped_scenarios()}
