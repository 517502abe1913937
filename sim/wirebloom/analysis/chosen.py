"""Which head and which strings a study is about, and the bench with just these on it."""

from __future__ import annotations

from collections.abc import Sequence

from wirebloom.errors import ScenarioError
from wirebloom.rig import MeasuredHead, Place, Rig, RoundHead
from wirebloom.rig.sentences import perhaps, sentence

AnyHead = RoundHead | MeasuredHead
OF_NO_BUILD = {"name", "string", "position", "gap", "offset", "over", "like", "reversed", "measured"}


def chosen_head(rig: Rig, name: str | None) -> AnyHead:
    """The head of that name, or the first.

    Raises
    ------
    ScenarioError
        If the scenario has no head, or none of that name.
    """
    if not rig.heads:
        raise ScenarioError(sentence("SCENARIO", "one with at least one head", f"'{rig.title}', which has none"))
    if name is None:
        return rig.heads[0]
    names = [head.name for head in rig.heads]
    if name not in names:
        raise ScenarioError(sentence("NAME", f"the name of a head ({', '.join(names)})", f"'{name}'", perhaps(name, names)))
    return rig.heads[names.index(name)]


def alike(head: AnyHead, other: AnyHead) -> bool:
    """Whether two heads are of one build."""
    return type(head) is type(other) and head.model_dump(exclude=OF_NO_BUILD) == other.model_dump(exclude=OF_NO_BUILD)


def chosen_places(rig: Rig, head: AnyHead, names: Sequence[str]) -> tuple[Place, ...]:
    """Where the head stands under the strings of these names, or under all of its own; another string runs over the middle of its face.

    Such a string gets the gap of the head's first place, and a position at the same share of its length.

    Raises
    ------
    ScenarioError
        If the scenario has no string of a name.
    """
    own = {place.string: place for place in head.places}
    return tuple(own.get(name) or _borrowed(rig, head.places[0], name) for name in dict.fromkeys(names)) if names else head.places


def _borrowed(rig: Rig, place: Place, name: str) -> Place:
    known = {string.name: string for string in rig.strings}
    if name not in known:
        names = f"the name of a string ({', '.join(known)})"
        raise ScenarioError(sentence("--string", names, f"'{name}'", perhaps(name, known)))
    share = place.position / known[place.string].length
    return Place(string=name, position=share * known[name].length, gap=place.gap)


def bench_of(rig: Rig, head: AnyHead, places: Sequence[Place]) -> Rig:
    """The rig with only the strings at these places, this head under all of them, and the other heads as far as they stand there."""
    wanted = {place.string for place in places}
    heads = []
    for one in rig.heads:
        over = tuple(places) if one is head else tuple(place for place in one.places if place.string in wanted)
        if over:
            heads.append(one.model_copy(update={"string": None, "position": None, "gap": None, "over": over, **_readings(one)}))
    strings = tuple(string for string in rig.strings if string.name in wanted)
    return rig.model_copy(update={"strings": strings, "heads": tuple(heads)})


def _readings(head: AnyHead) -> dict[str, object]:
    """What was measured of a head, with the string it was measured over by name: over the bench another may be the first."""
    known = head.measured if isinstance(head, RoundHead) else None
    if known is None or known.string is not None:
        return {}
    return {"measured": known.model_copy(update={"string": head.places[0].string})}
