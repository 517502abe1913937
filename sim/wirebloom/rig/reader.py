"""The one gate: a scenario's text to a rig and a run plan that everything behind it can trust."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from wirebloom.errors import ScenarioError
from wirebloom.rig.checks import check
from wirebloom.rig.document import parse_toml
from wirebloom.rig.expand import expand, named, refuse_namesakes
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Bench, Rig, Scenario
from wirebloom.rig.overrides import apply_overrides
from wirebloom.rig.plan import RunPlan
from wirebloom.rig.shipped import scenario_text
from wirebloom.rig.translate import first_sentence


def load(path_or_name: str | Path, overrides: Sequence[str] = ()) -> tuple[Rig, RunPlan]:
    """Read a scenario from a file, or one that comes with the package by its name.

    Parameters
    ----------
    path_or_name : str or Path
        ``rigs/mine.toml`` or ``first_note``.
    overrides : sequence of str
        Changes such as ``heads.sense.gap=1.2 mm``.

    Returns
    -------
    tuple of Rig and RunPlan
        In SI units.

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
    >>> rig, plan = load("first_note", ["run.duration=2 s"])
    >>> plan.duration
    2.0
    """
    file, text = scenario_text(path_or_name)
    return loads(text, file=file, overrides=overrides)


def loads(text: str, *, file: str, overrides: Sequence[str] = ()) -> tuple[Rig, RunPlan]:
    """Read a scenario from its text.

    Parameters
    ----------
    text : str
        TOML 1.0.
    file : str
        Name to put in front of errors.
    overrides : sequence of str
        Changes such as ``heads.sense.gap=1.2 mm``.

    Returns
    -------
    tuple of Rig and RunPlan
        In SI units.

    Raises
    ------
    ScenarioError
        If the words make no sense.
    RigError
        If what they describe cannot be built.
    """
    tables = parse_toml(text, file)
    refuse_namesakes(tables, file)
    tables = apply_overrides(tables, overrides)
    refuse_namesakes(tables, file)
    scenario = _validated(expand(tables, file), file)
    rig = Rig(**_fields(scenario, Bench), text=text, overrides=tuple(overrides))
    plan = RunPlan(**_fields(scenario.run), start=scenario.start)
    check(rig, plan, file)
    return rig, plan


def _validated(tables: dict[str, Any], file: str) -> Scenario:
    context = {"words": True, "material": list(MATERIALS), "string": named(tables, "strings"), "head": named(tables, "heads")}
    context["supply"] = named(tables, "supplies")
    try:
        return Scenario.model_validate(tables, context=context)
    except ValidationError as problem:
        raise ScenarioError(first_sentence(problem, file)) from None


def _fields(model: Any, kind: type[Any] | None = None) -> dict[str, Any]:
    """Return the values of a model's fields, submodels as they are."""
    return {key: getattr(model, key) for key in (kind or type(model)).model_fields}
