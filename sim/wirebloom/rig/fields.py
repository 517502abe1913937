"""What may stand behind a key, as annotations: unit and range are data that errors and documentation read.

A validation whose context says ``words`` comes from a scenario: there a quantity is a text with its unit. Without it,
models are built in Python and take SI floats.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from wirebloom.rig import dimensions
from wirebloom.rig.dimensions import Dimension
from wirebloom.rig.notes import note_frequency
from wirebloom.rig.quantities import plain_number, quantity
from wirebloom.rig.sentences import listed, perhaps, refusal

_NAME = re.compile(r"\w[\w -]{0,39}")


def in_words(info: ValidationInfo) -> bool:
    """Tell whether the values come from a scenario's text."""
    return bool(info.context and info.context.get("words"))


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _finite(value: Any, what: str) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise refusal(what, value)
    return number


class Field:
    """Base of the annotations: a plain validator and the words for what is wanted."""

    def wanted(self) -> str:
        """What the value must be, in words."""
        raise NotImplementedError

    def validate(self, value: Any, info: ValidationInfo) -> Any:
        """Return the value as the model keeps it, or raise a refusal."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.validate)


@dataclass(frozen=True)
class Quantity(Field):
    """A quantity within a range; both ends as they would be written."""

    dimension: Dimension
    lowest: str
    highest: str

    def wanted(self) -> str:
        """What the value must be, in words."""
        return f"{self.dimension.name} between {self.lowest} and {self.highest}"

    def read(self, text: str) -> float:
        """Read the text of a scenario."""
        return quantity(text, self.dimension)

    def validate(self, value: Any, info: ValidationInfo) -> float:
        """Return SI units within the range."""
        if isinstance(value, str):
            number = self.read(value)
        elif _is_number(value) and not in_words(info):
            number = _finite(value, self.wanted())
        else:
            raise refusal(f"{self.dimension.name} with its unit ({self.dimension.hint})", value)
        low, high = quantity(self.lowest, self.dimension), quantity(self.highest, self.dimension)
        # A hair of room, so that "3 mm" is within "3 mm" in whatever unit it comes.
        hair = 1e-12 * max(abs(low), abs(high))
        if not low - hair <= number <= high + hair:
            raise refusal(f"between {self.lowest} and {self.highest}", value)
        return number


@dataclass(frozen=True)
class Pitch(Quantity):
    """A frequency or the name of a note."""

    def wanted(self) -> str:
        """What the value must be, in words."""
        return f"a note such as G2, or a frequency between {self.lowest} and {self.highest}"

    def read(self, text: str) -> float:
        """Read a note or a frequency."""
        note = note_frequency(text)
        if note is None and not text.strip()[:1].isdigit():
            raise refusal("a note such as G2, C#3 or Bb1, or a frequency in Hz", text or "an empty text")
        return note if note is not None else quantity(text, self.dimension)


@dataclass(frozen=True)
class Position(Quantity):
    """A length along a string; shares such as ``0.4 L`` have become lengths before they come here."""

    def read(self, text: str) -> float:
        """Read a length, or say that a share has no string to be a share of."""
        if re.fullmatch(r"[\d.eE+-]+\s*L", text.strip()):
            raise refusal("a length, or a share such as 0.4 L of the length of a known string", text)
        return quantity(text, self.dimension)


@dataclass(frozen=True)
class Number(Field):
    """A number without unit."""

    lowest: float
    highest: float

    def wanted(self) -> str:
        """What the value must be, in words."""
        return f"a plain number between {self.lowest:g} and {self.highest:g}"

    def validate(self, value: Any, info: ValidationInfo) -> float:
        """Return the number within the range."""
        given = plain_number(value) if isinstance(value, str) else value
        if not _is_number(given):
            raise refusal(f"a plain number between {self.lowest:g} and {self.highest:g}", value)
        number = _finite(given, self.wanted())
        if not self.lowest <= number <= self.highest:
            raise refusal(f"between {self.lowest:g} and {self.highest:g}", value)
        return number


@dataclass(frozen=True)
class Whole(Field):
    """A whole number."""

    lowest: int
    highest: int

    def wanted(self) -> str:
        """What the value must be, in words."""
        return f"a whole number between {self.lowest} and {self.highest}"

    def validate(self, value: Any, info: ValidationInfo) -> int:
        """Return the whole number within the range."""
        if not isinstance(value, int) or isinstance(value, bool) or not self.lowest <= value <= self.highest:
            raise refusal(self.wanted(), value)
        return value


@dataclass(frozen=True)
class Name(Field):
    """A name that overrides can address."""

    def wanted(self) -> str:
        """What the value must be, in words."""
        return "a name of letters, digits, spaces, - and _ (40 at most)"

    def validate(self, value: Any, info: ValidationInfo) -> str:
        """Return the name."""
        if not isinstance(value, str) or not _NAME.fullmatch(value):
            raise refusal(self.wanted(), value)
        return value


@dataclass(frozen=True)
class Reference(Field):
    """The name of something described elsewhere; the context lists the names there are."""

    kind: str

    def wanted(self) -> str:
        """What the value must be, in words."""
        return f"the name of a {self.kind}"

    def validate(self, value: Any, info: ValidationInfo) -> str:
        """Return the name if the scenario has it."""
        if not isinstance(value, str):
            raise refusal(self.wanted(), value)
        names = (info.context or {}).get(self.kind)
        if names is not None and value not in names:
            raise refusal(f"{self.wanted()} ({listed(names)})", value, hint=perhaps(value, names))
        return value


@dataclass(frozen=True)
class OneOf(Field):
    """One of the names that a table of data has."""

    kind: str
    names: tuple[str, ...]

    def wanted(self) -> str:
        """What the value must be, in words."""
        return f"the name of a {self.kind} ({listed(self.names)})"

    def validate(self, value: Any, info: ValidationInfo) -> str:
        """Return the name if the table has it."""
        if not isinstance(value, str) or value not in self.names:
            raise refusal(self.wanted(), value, hint=perhaps(value, self.names) if isinstance(value, str) else "")
        return value


def length_in(lowest: str, highest: str) -> Quantity:
    """Annotate a length."""
    return Quantity(dimensions.LENGTH, lowest, highest)


def position_in(lowest: str, highest: str) -> Position:
    """Annotate a place along a string, from its bridge end."""
    return Position(dimensions.LENGTH, lowest, highest)


def pitch_in(lowest: str, highest: str) -> Pitch:
    """Annotate the pitch of a string."""
    return Pitch(dimensions.FREQUENCY, lowest, highest)


def time_in(lowest: str, highest: str) -> Quantity:
    """Annotate a time."""
    return Quantity(dimensions.TIME, lowest, highest)


def frequency_in(lowest: str, highest: str) -> Quantity:
    """Annotate a frequency."""
    return Quantity(dimensions.FREQUENCY, lowest, highest)


def force_in(lowest: str, highest: str) -> Quantity:
    """Annotate a force."""
    return Quantity(dimensions.FORCE, lowest, highest)


def resistance_in(lowest: str, highest: str) -> Quantity:
    """Annotate an electrical resistance."""
    return Quantity(dimensions.RESISTANCE, lowest, highest)


def voltage_in(lowest: str, highest: str) -> Quantity:
    """Annotate a voltage."""
    return Quantity(dimensions.VOLTAGE, lowest, highest)


def capacitance_in(lowest: str, highest: str) -> Quantity:
    """Annotate a capacitance."""
    return Quantity(dimensions.CAPACITANCE, lowest, highest)


def inductance_in(lowest: str, highest: str) -> Quantity:
    """Annotate an inductance."""
    return Quantity(dimensions.INDUCTANCE, lowest, highest)


def temperature_in(lowest: str, highest: str) -> Quantity:
    """Annotate a temperature."""
    return Quantity(dimensions.TEMPERATURE, lowest, highest)
