"""Looking at a scenario without running it: the check, and the map of the partial that leads."""

from __future__ import annotations

from pathlib import Path

from wirebloom.analysis.check import check as check_compiled
from wirebloom.analysis.explorer import explore as explore_compiled
from wirebloom.compile import compile_rig
from wirebloom.take.check import Check
from wirebloom.take.check_map import PartialMap
from wirebloom.workbench.setup import Setup, load


def check(scenario: str | Path | Setup, *changes: str, advice: bool = False) -> Check:
    """Say what a scenario will do without running it: what ``wirebloom check`` does, without files.

    Parameters
    ----------
    scenario : str, Path or Setup
        A file, the name of a scenario that comes with the package, or one that has been read.
    *changes : str
        Any value of the scenario given anew, such as ``heads.sense.gap=1.2 mm``.
    advice : bool
        Whether to look for the least changes that mend a failure: seconds instead of a blink.

    Returns
    -------
    Check

    Raises
    ------
    FileError, ScenarioError, RigError
        As :func:`load`.

    Examples
    --------
    >>> import wirebloom as wb
    >>> wb.check("first_note").verdict
    'starts'
    >>> wb.check("reversed").verdict
    'silent'
    """
    setup = load(scenario, *changes)
    return check_compiled(compile_rig(setup.rig, setup.plan), advice=advice)


def explore(scenario: str | Path | Setup, *changes: str, head: str | None = None) -> PartialMap:
    """Say which partial leads, over the capacitor in line with the drive coils and the place of a head: hundreds of rigs, some seconds.

    Parameters
    ----------
    scenario : str, Path or Setup
        A file, the name of a scenario that comes with the package, or one that has been read.
    *changes : str
        Any value of the scenario given anew.
    head : str, optional
        Name of the head that is moved; the first loop's first drive head by default.

    Returns
    -------
    PartialMap

    Raises
    ------
    FileError, ScenarioError, RigError
        As :func:`load`; also if no loop has a head, or none has that name.

    Examples
    --------
    >>> import wirebloom as wb
    >>> found = wb.explore("first_note")
    >>> found.partial.shape == (found.position_m.size, found.capacitor_F.size)
    True
    """
    setup = load(scenario, *changes)
    return explore_compiled(compile_rig(setup.rig, setup.plan), head)
