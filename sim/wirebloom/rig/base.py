"""The model all tables of a scenario share: frozen, strict, and with its own words for what is unknown or missing."""

from __future__ import annotations

from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, ConfigDict, ValidationInfo, model_validator
from pydantic.fields import FieldInfo

from wirebloom.rig.fields import Field
from wirebloom.rig.sentences import perhaps, refusal, show


class Table(BaseModel):
    """A table of a scenario. Keys are attributes; values are SI units once read."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    @model_validator(mode="before")
    @classmethod
    def _keys(cls, data: Any, info: ValidationInfo) -> Any:
        """Refuse unknown and missing keys before anything else: one misspelt key is both."""
        if isinstance(data, dict):
            for key in data:
                cls._known(str(key), data)
            for key, entry in cls.model_fields.items():
                if entry.is_required() and key not in data:
                    raise refusal(f"given{_described(entry)}", "nothing", key=key)
        return data

    @classmethod
    def _known(cls, key: str, data: dict[str, Any]) -> None:
        if key not in cls.model_fields:
            what = f"a key of this table ({', '.join(cls.model_fields)})"
            raise refusal(what, key, key=key, hint=perhaps(key, cls.model_fields))


def _described(entry: FieldInfo) -> str:
    """Return what a missing value would have to be, with a comma before it."""
    for one in entry.metadata:
        if isinstance(one, Field):
            return f", {one.wanted()}"
    if get_origin(entry.annotation) is Literal:
        return f", {' or '.join(show(choice) for choice in get_args(entry.annotation))}"
    return ", a text in quotes" if entry.annotation is str else ""
