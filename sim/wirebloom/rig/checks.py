"""Whether a rig that can be read can be built: the first finding is raised.

Words that contradict one another are a :class:`~wirebloom.errors.ScenarioError`; what no workshop could make is a
:class:`~wirebloom.errors.RigError`.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from wirebloom.errors import RigError, ScenarioError
from wirebloom.rig.check_heads import head_findings
from wirebloom.rig.check_loops import loop_findings
from wirebloom.rig.check_measured import measured_findings
from wirebloom.rig.check_strings import start_findings, string_findings
from wirebloom.rig.check_supplies import supply_findings
from wirebloom.rig.finding import Finding
from wirebloom.rig.models import Rig
from wirebloom.rig.plan import RunPlan
from wirebloom.rig.sentences import sentence


def findings(rig: Rig, plan: RunPlan) -> Iterator[Finding]:
    """Yield everything that stands against building the rig or running the plan."""
    supplied = chain(supply_findings(rig), loop_findings(rig))
    return chain(string_findings(rig, plan), head_findings(rig), measured_findings(rig), supplied, start_findings(rig, plan))


def check(rig: Rig, plan: RunPlan, file: str) -> None:
    """Refuse what cannot be built.

    Parameters
    ----------
    rig : Rig
        As read.
    plan : RunPlan
        As read.
    file : str
        Name to put in front of the error.

    Raises
    ------
    ScenarioError
        If parts of the scenario contradict one another.
    RigError
        If the rig is physically impossible.
    """
    first = next(findings(rig, plan), None)
    if first is not None:
        kind = RigError if first.physical else ScenarioError
        raise kind(sentence(f"{file}: {first.key}", first.what, first.received, first.hint))
