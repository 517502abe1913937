"""Several takes side by side, made where they are not there yet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from wirebloom.rig import Rig, RunPlan
from wirebloom.rig.sentences import sentence
from wirebloom.take.measures import Measures, measure
from wirebloom.take.take import Take
from wirebloom.workbench.files import ENDING, open
from wirebloom.workbench.making import make_take
from wirebloom.workbench.names import short_name, told_apart
from wirebloom.workbench.setup import Setup, load

Made = Take | tuple[Rig, RunPlan]


@dataclass(frozen=True)
class Comparison:
    """Takes by their names.

    Attributes
    ----------
    takes : mapping of str to Take
    """

    takes: Mapping[str, Take]

    @cached_property
    def measures(self) -> dict[str, Measures]:
        """Of every take, by its name."""
        return {name: measure(take) for name, take in self.takes.items()}


def by_name(takes: Take | Comparison | Mapping[str, Take]) -> Mapping[str, Take]:
    """Return takes by their names; a single one has none."""
    if isinstance(takes, Take):
        return {"": takes}
    return takes.takes if isinstance(takes, Comparison) else takes


def compare(*sources: str | Path | Setup | Take, band: bool = False, **named: str | Path | Setup | Take) -> Comparison:
    """Set takes side by side; what has not been run yet is run.

    Parameters
    ----------
    *sources : str, Path, Setup or Take
        Scenarios (run here), files of takes (``.h5``), or takes. Each is called after its file or title.
    band : bool
        Whether scenarios are run at both ends of what is known of their heads as well.
    **named : str, Path, Setup or Take
        The same, called as you like: ``near=take, far=other``.

    Returns
    -------
    Comparison
        Shown in a notebook with a table, the build-up overlaid, and players of the same loudness. Once a run is stopped by Ctrl-C, no
        further one is begun.

    Raises
    ------
    FileError, ScenarioError, RigError
        As :func:`load` and :func:`open`; before anything is run.
    DivergedError
        If a value of a run is no longer finite.
    ValueError
        If there is nothing to compare.

    Examples
    --------
    >>> import wirebloom as wb
    >>> near = wb.load("first_note", duration="0.2 s")
    >>> both = wb.compare(near=near, wide=near.changed("heads.drive.gap=2 mm"))
    >>> both.measures["near"].near.clearance_mm < both.measures["wide"].near.clearance_mm
    True
    """
    if not sources and not named:
        raise ValueError(sentence("sources", "one take or scenario, or more", "none"))
    names = told_apart([*(name_of(one) for one in sources), *named])
    made = {name: read(one) for name, one in zip(names, [*sources, *named.values()], strict=True)}
    return Comparison(gather(made, lambda _, rig, plan: make_take(rig, plan, band=band)))


def name_of(source: str | Path | Setup | Take) -> str:
    """Return what a source is called."""
    if isinstance(source, Take):
        return source.sheet.title
    return source.name if isinstance(source, Setup) else short_name(source)


def read(source: str | Path | Setup | Take) -> Made:
    """Return a take, or the rig and the plan to make it of."""
    if isinstance(source, Take):
        return source
    if not isinstance(source, Setup) and is_take(source):
        return open(source)
    setup = load(source)
    return setup.rig, setup.plan


def is_take(source: str | Path) -> bool:
    """Whether this is the file of a take, by its ending."""
    return str(source).lower().endswith(ENDING)


def gather(made: Mapping[str, Made], make: Callable[[str, Rig, RunPlan], Take]) -> dict[str, Take]:
    """Run what is not a take yet; once one is interrupted, no further one is begun."""
    takes: dict[str, Take] = {}
    for name, one in made.items():
        takes[name] = one if isinstance(one, Take) else make(name, *one)
        if takes[name].status == "interrupted" and not isinstance(one, Take):
            break
    return takes
