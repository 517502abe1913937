"""The house sentence: ``<key> must be <what>; instead received <value>.``"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from pydantic_core import PydanticCustomError

LONGEST = 60
OURS = "wirebloom"


def show(value: object) -> str:
    """Return a value as it is quoted back: one line, of limited length, printable.

    Examples
    --------
    >>> show("36 mm"), show(True), show(())
    ('36 mm', 'true', 'an empty list')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, (list, tuple)):
        return f"the list [{_clip(', '.join(show(one) for one in value[:LONGEST]))}]" if value else "an empty list"
    if isinstance(value, str):
        return _clip(value) if value.strip() else "an empty text"
    return _clip(_digits(value))


def _digits(value: object) -> str:
    try:
        return str(value)
    except ValueError:  # Python refuses to print integers of more than 4300 digits
        return "a very long number"


def _clip(text: str) -> str:
    line = "".join(letter if letter.isprintable() else "?" for letter in " ".join(text.split()))
    return line if len(line) <= LONGEST else f"{line[: LONGEST - 1]}…"


def sentence(key: str, what: str, received: str, hint: str = "") -> str:
    """Return the house sentence, with a second one if there is a hint."""
    return f"{key} must be {what}; instead received {received}." + (f" {hint}" if hint else "")


def perhaps(word: str, known: Iterable[str]) -> str:
    """Return ``Perhaps you meant …`` with the nearest known word, or nothing.

    Examples
    --------
    >>> perhaps("diamter", ["diameter", "length"])
    "Perhaps you meant 'diameter'."
    """
    by_lower = {name.lower(): name for name in known}
    near = get_close_matches(word.lower()[:LONGEST], by_lower, n=1)
    return f"Perhaps you meant '{by_lower[near[0]]}'." if near else ""


def listed(names: Iterable[str]) -> str:
    """Return names as a list in words, ``none`` if there are none.

    Examples
    --------
    >>> listed(["a", "b", "c"])
    "'a', 'b' or 'c'"
    """
    quoted = [f"'{name}'" for name in names]
    if len(quoted) < 2:
        return quoted[0] if quoted else "none"
    return f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def refusal(what: str, received: object, *, key: str = "", hint: str = "") -> PydanticCustomError:
    """Return what a validator raises; the reader puts file and table in front.

    Parameters
    ----------
    what : str
        What the value must be.
    received : object
        The value as it came.
    key : str
        Key within the table, when a whole table is being looked at.
    hint : str
        A sentence to follow, such as that of :func:`perhaps`.
    """
    told = {"what": what, "received": received if isinstance(received, str) else show(received), "key": key, "hint": hint}
    return PydanticCustomError(OURS, "must be {what}; instead received {received}. {hint}", told)
