"""``wirebloom animate``: a string of a take in slow motion."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from pydantic_core import PydanticCustomError

from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import beside
from wirebloom.cli.head import safe_name
from wirebloom.errors import ScenarioError
from wirebloom.rig.dimensions import TIME
from wirebloom.rig.quantities import quantity
from wirebloom.take.take import Take
from wirebloom.views.animation import Made, write_film, writer_for
from wirebloom.views.film import Film, film
from wirebloom.workbench.files import open as open_take
from wirebloom.workbench.names import TAKE, short_name


def command(arguments: argparse.Namespace) -> int:
    """Read the take, write the animation, say what it shows."""
    take = open_take(arguments.take)
    shown = film(take, at=moment(arguments.at), string=0 if arguments.string is None else arguments.string, slow=arguments.slow)
    path = arguments.out or default_path(arguments.take, take, shown)
    writer_for(path)
    with beside(path.parent, [path.name]):
        made = write_film(take, shown, path)
    if arguments.json:
        print_json(answer(take, made))
    else:
        print_text(
            f"{take.sheet.strings[shown.string].name}: {made.caption}.", *([shown.note] if shown.note else []), "", f"In {made.path}"
        )
    return 0


def moment(text: str | None) -> float | None:
    """A moment in words → s.

    Raises
    ------
    ScenarioError
        If it is no time.
    """
    try:
        return None if text is None else quantity(text, TIME)
    except PydanticCustomError as problem:
        raise ScenarioError(f"--at {problem.message().strip()}") from None


def default_path(source: str, take: Take, shown: Film) -> Path:
    """Return where an animation goes that has no place of its own: its name says of what and when."""
    name = short_name(Path(source) / TAKE if Path(source).is_dir() else source)
    return Path("outputs") / f"{safe_name(f'{name}_{take.sheet.strings[shown.string].name}_{shown.start_s:.3f}s')}.gif"


def answer(take: Take, made: Made) -> dict[str, Any]:
    """Return what was written, for machines."""
    shown = made.film
    return {
        "title": take.sheet.title,
        "string": take.sheet.strings[shown.string].name,
        "head": take.sheet.poles[shown.pole].head if shown.pole >= 0 else None,
        "loop": take.sheet.loops[shown.loop].name if shown.loop >= 0 else None,
        "at_s": shown.start_s,
        "span_s": shown.span_s,
        "periods": shown.periods,
        "slow": shown.slow,
        "exaggeration": made.exaggeration,
        "sideways_exaggeration": made.sideways,
        "pictures": int(shown.moments.size),
        "plays_s": shown.plays_s,
        "notices": [shown.note] if shown.note else [],
        "files": [str(made.path)],
    }
