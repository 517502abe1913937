"""What can stand against a string, and against the way it is started."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wirebloom.rig.dimensions import FORCE, FREQUENCY
from wirebloom.rig.finding import Finding
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Rig
from wirebloom.rig.plan import RunPlan
from wirebloom.rig.quantities import metres, shown
from wirebloom.rig.statics import bending_stiffness, breaking_pitch, linear_density, load_diameter, pitch, stress, tension
from wirebloom.rig.strings import String


def string_findings(rig: Rig, plan: RunPlan) -> Iterator[Finding]:
    """Yield what stands against any of the strings."""
    for index, string in enumerate(rig.strings):
        key = f"strings[{index}]"
        yield from _wrap(string, key)
        yield from _magnetism(string, key)
        yield from _strength(string, key)
        yield from _partials(string, key, plan)
        for place, damper in enumerate(string.dampers):
            yield from outside(string, damper.position, f"{key}.dampers[{place}].position")


def start_findings(rig: Rig, plan: RunPlan) -> Iterator[Finding]:
    """Yield what stands against the place of a pluck or a tap."""
    start = plan.start
    if start.position is None:
        return
    by_name = {string.name: string for string in rig.strings}
    if start.string is None and len(by_name) > 1:
        yield Finding(False, "start.string", "given when there are several strings", "nothing")
    yield from outside(by_name.get(start.string or "", rig.strings[0]), start.position, "start.position")


def outside(string: String, place: float, key: str) -> Iterator[Finding]:
    """Yield a finding if a place is not between the ends of the string."""
    if not 0.0 < place < string.length:
        what = f"between the ends of string '{string.name}' (0 mm and {metres(string.length)})"
        yield Finding(True, key, what, metres(place))


def _wrap(string: String, key: str) -> Iterator[Finding]:
    wound = MATERIALS[string.material].wound
    if wound and string.core_diameter is None:
        yield Finding(False, f"{key}.core_diameter", f"given for the material '{string.material}'", "nothing")
    if not wound and string.core_diameter is not None:
        what = f"left out for the material '{string.material}', which is not wound"
        yield Finding(False, f"{key}.core_diameter", what, metres(string.core_diameter))


def _magnetism(string: String, key: str) -> Iterator[Finding]:
    """What turns back reversibly is a part of what a field magnetises."""
    own = string.magnetism
    if own is not None and own.susceptibility is not None and own.reversible is not None and own.reversible > own.susceptibility:
        yield Finding(True, f"{key}.magnetism.reversible", f"at most susceptibility ({own.susceptibility:g})", f"{own.reversible:g}")


def _strength(string: String, key: str) -> Iterator[Finding]:
    """A string that would break, or that is too stiff to be a string at this pitch."""
    most = MATERIALS[string.material].strength(load_diameter(string))[1]
    if tension(string) <= 0.0:
        slack = math.sqrt(bending_stiffness(string) / linear_density(string)) * math.pi / (2.0 * string.length**2)
        what = f"more than {shown(slack, FREQUENCY)}, which its stiffness alone gives"
        yield Finding(True, f"{key}.pitch", what, f"{shown(pitch(string), FREQUENCY)} (no tension left)")
    if stress(string) <= most:
        return
    received = f"with a stress of {_stress(stress(string))}"
    if string.tension is not None:
        limit = shown(most * math.pi / 4.0 * load_diameter(string) ** 2, FORCE)
        given = shown(string.tension, FORCE)
    else:
        limit, given = shown(breaking_pitch(string), FREQUENCY), shown(pitch(string), FREQUENCY)
    what = f"at most {limit}, where the stress reaches {_stress(most)} and the string breaks"
    yield Finding(True, f"{key}.{'pitch' if string.tension is None else 'tension'}", what, f"{given}, {received}")


def _stress(value: float) -> str:
    return f"{value / 1e6:.0f} N/mm²"


def _partials(string: String, key: str, plan: RunPlan) -> Iterator[Finding]:
    """Partials must be there at all, and slow enough for the step: ω h at most 1."""
    fastest = plan.rate / (2.0 * math.pi)
    if string.partials_to > fastest:
        what = f"at most {shown(fastest, FREQUENCY)} at a run.rate of {shown(plan.rate, FREQUENCY)}"
        yield Finding(False, f"{key}.partials_to", what, shown(string.partials_to, FREQUENCY))
    if string.partials_to < pitch(string):
        what = f"at least the pitch ({shown(pitch(string), FREQUENCY)})"
        yield Finding(False, f"{key}.partials_to", what, shown(string.partials_to, FREQUENCY))
