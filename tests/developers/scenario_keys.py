"""Every key of a scenario with what it must be and its default, read from the models that refuse anything else."""

from collections.abc import Iterator
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from developers.preset_table import preset_table
from developers.scenario_words import LEFT_OUT, MEANINGS
from wirebloom.rig import dimensions
from wirebloom.rig.base import Table
from wirebloom.rig.curves import CurvePoint
from wirebloom.rig.dimensions import Dimension
from wirebloom.rig.fields import Field, Number, Pitch, Quantity, Whole
from wirebloom.rig.heads import Coupling, Law, MeasuredHead, Place, Point, RoundHead
from wirebloom.rig.known import Measured, Tolerance
from wirebloom.rig.loops import Amplifier, Input, Loop, Output, Phase, Snubber
from wirebloom.rig.models import Mains, Room, Scenario
from wirebloom.rig.parts import Coil, Core, Face, Magnet, Plate
from wirebloom.rig.plan import Run, Start
from wirebloom.rig.quantities import shown
from wirebloom.rig.stages import Buffer, Levelling, Link, OpAmp, PowerChip
from wirebloom.rig.strings import Damping, DecayTime, Magnetism, PointDamper, Sideways, String
from wirebloom.rig.supplies import Battery, Ideal, Regulator

# In the order of a scenario, each as TOML writes it.
TABLES: dict[type[Table], str] = {
    Scenario: "",
    String: "[[strings]]",
    Damping: "[strings.damping]",
    Sideways: "[strings.sideways]",
    PointDamper: "[[strings.dampers]]",
    Magnetism: "[strings.magnetism]",
    RoundHead: "[[heads]]",
    MeasuredHead: "[[heads]]",
    Place: "[[heads.over]]",
    Core: "[heads.core]",
    Coil: "[heads.coil]",
    Magnet: "[[heads.magnets]]",
    Plate: "[[heads.plates]]",
    Law: "[heads.law]",
    Face: "[heads.contact]",
    Measured: "[heads.measured]",
    Tolerance: "[heads.tolerance]",
    Loop: "[[loops]]",
    Amplifier: "[loops.amplifier]",
    OpAmp: "[[loops.stages]]",
    PowerChip: "[[loops.stages]]",
    Buffer: "[[loops.stages]]",
    Link: "[[loops.stages]]",
    Levelling: "[loops.stages.levelling]",
    Input: "[loops.input]",
    Output: "[loops.output]",
    Snubber: "[loops.output.snubber]",
    Phase: "[loops.phase]",
    Battery: "[[supplies]]",
    Regulator: "[[supplies]]",
    Ideal: "[[supplies]]",
    Coupling: "[[couplings]]",
    Room: "[room]",
    Mains: "[room.mains]",
    Start: "[start]",
    Run: "[run]",
}
HEADINGS = {
    Scenario: "Outside any table",
    RoundHead: '`[[heads]]` with `kind = "round"`',
    MeasuredHead: '`[[heads]]` with `kind = "measured"`',
    OpAmp: '`[[loops.stages]]` with `kind = "op-amp"`',
    PowerChip: '`[[loops.stages]]` with `kind = "power chip"`',
    Buffer: '`[[loops.stages]]` with `kind = "buffer"`',
    Link: '`[[loops.stages]]` with `kind = "coupling"`',
    Battery: '`[[supplies]]` with `kind = "battery"`',
    Regulator: '`[[supplies]]` with `kind = "regulator"`',
    Ideal: '`[[supplies]]` with `kind = "ideal"`',
}
FIRST = {MeasuredHead: RoundHead, PowerChip: OpAmp, Buffer: OpAmp}  # whose table has the keys that both share
ROWS = {DecayTime: "`[partial, T60]`", Point: "`[gap, force factor, pull]`", CurvePoint: "`[H, B]`"}  # what a list holds when no table


class Key(NamedTuple):
    name: str
    wanted: str
    default: str
    meaning: str


def inner(annotation: Any) -> tuple[Any, Field | None]:
    """The type behind Annotated and optional, and what is said of it on the way."""
    told = None
    while True:
        origin, inside = get_origin(annotation), get_args(annotation)
        if origin is Annotated:
            annotation, told = inside[0], next((note for note in inside[1:] if isinstance(note, Field)), told)
        elif origin in (Union, UnionType) and NoneType in inside:
            annotation = next(one for one in inside if one is not NoneType)
        else:
            return annotation, told


def said(info: FieldInfo) -> Field | None:
    """What the annotation of a key says of its value."""
    return next((note for note in info.metadata if isinstance(note, Field)), inner(info.annotation)[1])


def wanted(info: FieldInfo) -> str:
    """What a value must be."""
    told = said(info)
    if isinstance(told, Quantity):
        either = "note or " if isinstance(told, Pitch) else ""
        return f"{either}{_bare(told.dimension)}, {told.lowest} … {told.highest}"
    if isinstance(told, Number):
        return f"number, {told.lowest:g} … {told.highest:g}"
    if isinstance(told, Whole):
        return f"whole number, {told.lowest} … {told.highest}"
    return told.wanted() if told else worded(inner(info.annotation)[0])


def worded(kind: Any) -> str:
    """A type in words."""
    origin, inside = get_origin(kind), get_args(kind)
    if origin is Literal:
        return " or ".join(f'`"{choice}"`' if isinstance(choice, str) else f"`{choice}`" for choice in inside)
    if origin in (Union, UnionType):
        kind = inside[0]
    if origin is tuple:
        entry, told = inner(inside[0])
        if told is not None:
            return "list of numbers" if isinstance(told, Number) else "list of names of heads"
        return f"list of {ROWS[entry]}" if entry in ROWS else worded(entry)
    return f"`{TABLES[kind]}`" if kind in TABLES else {str: "text", bool: "true or false"}[kind]


def default(info: FieldInfo) -> str:
    """What stands in for a key that is left out."""
    value, told = info.default, said(info)
    if value is PydanticUndefined:
        return "required"
    if isinstance(value, Table):
        return "its defaults"
    if isinstance(told, Quantity):
        return _written(value, told.dimension)
    return _plain(value)


def _plain(value: Any) -> str:
    """A value without a unit as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'`"{value}"`'
    return f"[{', '.join(f'{one:g}' for one in value)}]" if isinstance(value, tuple) else f"{value:g}"


def _written(value: float, dimension: Dimension) -> str:
    if dimension.zero:
        return f"{value - dimension.zero['degC']:g} degC"
    return shown(value, dimension)


def _bare(dimension: Dimension) -> str:
    """Name of a kind of quantity without its article."""
    return dimension.name.partition(" ")[2]


def words_of(words: dict[str, str], model: type[Table], key: str) -> str | None:
    """Words for a key, under the name of its model or of one that this one extends."""
    return next((words[f"{base.__name__}.{key}"] for base in model.__mro__ if f"{base.__name__}.{key}" in words), None)


def keys_of(model: type[Table]) -> Iterator[Key]:
    """Keys of a table, without what it has in common with another that comes first."""
    told = {key.name: key for key in keys_of(FIRST[model])} if model in FIRST else {}
    for name, info in model.model_fields.items():
        left_out = words_of(LEFT_OUT, model, name) or default(info)
        key = Key(name, wanted(info), left_out, words_of(MEANINGS, model, name) or "")
        if told.get(name) != key:
            yield key


def table_of(model: type[Table]) -> str:
    """One table of a scenario."""
    rows = [f"| `{key.name}` | {key.wanted} | {key.default} | {key.meaning} |" for key in keys_of(model)]
    heading = HEADINGS.get(model, f"`{TABLES[model]}`")
    return "\n".join([f"{heading}:", "", "| key | must be | left out | meaning |", "|---|---|---|---|", *rows])


def unit_table() -> str:
    """Units of every kind of quantity."""
    known = [value for value in vars(dimensions).values() if isinstance(value, Dimension)]
    return "\n".join(["| quantity | units |", "|---|---|", *(f"| {_bare(kind)} | {kind.hint} |" for kind in known)])


def scenario_tables() -> str:
    """All tables of a scenario, then the units and the presets."""
    spreads = "Presets of stages, least … **typical** … greatest (data-sheet class, from memory):"
    return "\n\n".join([*(table_of(model) for model in TABLES), "Units:", unit_table(), spreads, preset_table()])
