"""Every key of a scenario with what it must be and its default, read from the models that refuse anything else."""

import inspect
import re
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined
from wirebloom.rig.base import Table
from wirebloom.rig.fields import Field, Number, Quantity
from wirebloom.rig.heads import Coupling, Law, MeasuredHead, Place, Point, RoundHead
from wirebloom.rig.loops import Amplifier, Loop, Output, Phase
from wirebloom.rig.materials import MATERIALS
from wirebloom.rig.models import Room, Scenario
from wirebloom.rig.parts import Coil, Core, Face, Magnet
from wirebloom.rig.plan import Run, Start
from wirebloom.rig.quantities import shown
from wirebloom.rig.strings import Damping, DecayTime, PointDamper, Sideways, String

# Tables in the order of a scenario, each as TOML writes it.
TABLES: dict[str, type[Any]] = {
    "the file itself": Scenario,
    "[[strings]]": String,
    "[strings.damping]": Damping,
    "[strings.sideways]": Sideways,
    "[[strings.dampers]]": PointDamper,
    '[[heads]], kind = "round"': RoundHead,
    '[[heads]], kind = "measured"': MeasuredHead,
    "[[heads.over]]": Place,
    "[heads.core]": Core,
    "[heads.coil]": Coil,
    "[[heads.magnets]]": Magnet,
    "[heads.law]": Law,
    "[heads.contact]": Face,
    "[[loops]]": Loop,
    "[loops.amplifier]": Amplifier,
    "[loops.output]": Output,
    "[loops.phase]": Phase,
    "[[couplings]]": Coupling,
    "[room]": Room,
    "[start]": Start,
    "[run]": Run,
}
ROWS = {DecayTime: "`[partial, T60]`", Point: "`[gap, force factor, pull]`"}  # written as lists
EARLIER = {"[[heads]], kind = \"measured\"": RoundHead}  # whose common keys are told there

# Defaults that the reader fills in from elsewhere, and keys that only some kinds have.
FILLED = {
    "RoundHead.flange_diameter": "`outer_diameter` of the coil",
    "RoundHead.flange_recess": "`top` of the coil",
    "Magnet.top": "just behind the core (without one: behind the coil)",
    "Start.string": "the only string",
    "Start.position": "pluck and tap: required",
    "Start.height": "pluck: required",
    "Start.force": "tap: required",
    "Start.duration": "tap: required",
    "Phase.capacitor": "series capacitor: required",
    "Phase.frequency": "ideal lead, ideal lag: required",
    "String.pitch": "this or `tension`",
    "String.tension": "this or `pitch`",
    "String.core_diameter": "wound string: required",
    "MeasuredHead.points": "this or `law`",
    "MeasuredHead.law": "this or `points`",
    "PointDamper.end": "to the end of the run",
    "Coil.resistance": "computed",
    "Coil.inductance": "computed",
    "MeasuredHead.dipole": "no computed crosstalk",
    "Output.capacitor": "none, a direct connection",
    "RoundHead.core": "none",
    "Head.string": "this, `position` and `gap`, or `over`",
    "Head.position": "with `string`",
    "Head.gap": "with `string`",
}

# Meanings that the models' docstrings tell in a sentence of their own rather than key by key.
MEANINGS = {
    "Scenario.format": "version of this format",
    "Scenario.title": "heads every page",
    "Scenario.story": "for people",
    "String.material": f"{', '.join(MATERIALS)}",
    "Sideways.detune": "frequency of the motion across the heads, relative to that towards them",
    "Sideways.support_q": "quality factor of its loss into the supports; none cannot be written, 1e9 comes to the same",
    "PointDamper.position": "from the bridge end",
    "PointDamper.resistance": "force per speed",
    "PointDamper.start": "from when",
    "PointDamper.end": "until when",
    "Core.diameter": "of the soft core",
    "Core.length": "downwards from the face",
    "Core.permeability": "relative",
    "Law.gap": "where it was measured",
    "Law.factor": "force per current there",
    "Law.pull": "static pull there",
    "Law.decay_length": "in which both fall to 1/e",
    "Face.stiffness": "K of F = K δ^α (1 + β δ̇)",
    "Face.exponent": "α",
    "Face.loss": "β",
    "Place.string": "under which the head stands",
    "Place.position": "from the bridge end",
    "Place.gap": "face to the nearest surface of the string, string straight",
    "Place.offset": "of the string, sideways from the head's axis",
    "Loop.name": "its name",
    "Loop.sense": "heads in series that listen",
    "Loop.drive": "heads in series that push",
    "Output.capacitor": "in series with the drive coils",
    "Phase.kind": "phase network between amplifier and drive coils",
    "Phase.capacitor": "in series with the drive coils",
    "Phase.frequency": "where the ideal network turns by 90°",
    "Coupling.heads": "two heads",
    "Coupling.mutual": "of their coils, wound alike",
    "Room.temperature": "now",
    "Room.tuning_temperature": "when the strings were tuned",
    "Run.duration": "simulated",
    "Run.rate": "steps",
    "Run.audio_rate": "samples of the signals; a whole fraction of rate",
    "Run.frame": "spacing of the slow records",
    "Run.seed": "of the noise: same seed, same bits",
}


class Key(NamedTuple):
    name: str
    wanted: str
    default: str
    meaning: str


def inner(annotation: Any) -> tuple[Any, tuple[Any, ...]]:
    """The type behind Annotated and optional, and all that is annotated on the way."""
    notes: tuple[Any, ...] = ()
    while True:
        origin, inside = get_origin(annotation), get_args(annotation)
        if origin is Annotated:
            annotation, notes = inside[0], (*notes, *inside[1:])
        elif origin in (Union, UnionType) and NoneType in inside:
            annotation = next(one for one in inside if one is not NoneType)
        else:
            return annotation, notes


def wanted(info: FieldInfo) -> str:
    """What a value must be."""
    kind, notes = inner(info.annotation)
    for note in (*info.metadata, *notes):
        if isinstance(note, Field):
            units = f" ({note.dimension.hint})" if isinstance(note, Quantity) else ""
            return f"{note.wanted()}{units}"
    return worded(kind)


def worded(kind: Any) -> str:
    """A type in words."""
    origin, inside = get_origin(kind), get_args(kind)
    if origin is Literal:
        return " or ".join(f"`{choice!r}`".replace("'", '"') for choice in inside)
    if origin is tuple:
        entry, notes = inner(inside[0])
        listed = next((note.wanted() for note in notes if isinstance(note, Field)), None)
        if isinstance(entry, type) and issubclass(entry, Table):
            return "tables, see below"
        return f"list of {ROWS.get(entry) or listed or 'tables, see below'}"
    if isinstance(kind, type) and issubclass(kind, Table):
        return "a table, see below"
    return {str: "a text", bool: "true or false"}[kind]


def default(info: FieldInfo) -> str:
    """What stands in for a key that is left out."""
    if info.default is PydanticUndefined:
        return "required"
    _, notes = inner(info.annotation)
    field = next((note for note in (*info.metadata, *notes) if isinstance(note, Field)), None)
    return _said(info.default, field)


def _said(value: Any, field: Field | None) -> str:
    if value is None or value == ():
        return "none"
    if isinstance(value, Table):
        return "its defaults"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(field, Quantity) and field.dimension.zero:
        return f"{value - 273.15:g} degC"
    if isinstance(field, Quantity):
        return shown(value, field.dimension)
    return f"{value:g}" if isinstance(field, Number) else f"`{value!r}`".replace("'", '"')


def meanings(model: type[Any]) -> dict[str, str]:
    """Key → meaning, from the Attributes of a model's docstring and of those it extends."""
    found: dict[str, str] = {}
    for base in reversed(model.__mro__):
        parts = re.findall(r"^(\w[\w, ]*?)(?: :.*)?\n    (\S.*(?:\n    .*)*)", inspect.cleandoc(base.__doc__ or ""), re.MULTILINE)
        for names, text in parts if issubclass(base, Table) else ():
            found |= dict.fromkeys(names.split(", "), _plain(text))
    return found


def _plain(text: str) -> str:
    one_line = " ".join(text.split()).replace("``", "`").rstrip(".")
    return re.sub(r":\w+:`~?(?:[\w.]+\.)?(\w+)`", r"`\1`", one_line)


def lookup(words: dict[str, str], model: type[Any], key: str) -> str | None:
    """Words for a key of a model or of one that it extends."""
    return next((words[f"{base.__name__}.{key}"] for base in model.__mro__ if f"{base.__name__}.{key}" in words), None)


def keys_of(model: type[Any]) -> list[Key]:
    told = meanings(model)
    return [
        Key(
            name,
            wanted(info),
            lookup(FILLED, model, name) or default(info),
            lookup(MEANINGS, model, name) or told.get(name, ""),
        )
        for name, info in model.model_fields.items()
    ]


def table_of(title: str, model: type[Any]) -> str:
    common = EARLIER.get(title)
    keys = [key for key in keys_of(model) if common is None or key.name == "kind" or key.name not in common.model_fields]
    rows = [f"| `{key.name}` | {key.wanted} | {key.default} | {key.meaning} |" for key in keys]
    return "\n".join([f"**`{title}`**" if title.startswith("[") else f"**{title.capitalize()}**", "", "| key | must be | default | meaning |", "|---|---|---|---|", *rows])


def scenario_tables() -> str:
    return "\n\n".join(table_of(title, model) for title, model in TABLES.items())
