"""``wirebloom compare``: several takes side by side, their loudness kept comparable."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from wirebloom.cli.answer import print_json, print_text
from wirebloom.cli.folder import claim, fresh
from wirebloom.cli.making import INTERRUPTED, make_take, overrides, write_json
from wirebloom.errors import WirebloomError
from wirebloom.rig import load
from wirebloom.take.measures import Measures, measure
from wirebloom.take.store import load as load_take
from wirebloom.take.store import save
from wirebloom.take.summary import summary
from wirebloom.take.take import Take
from wirebloom.views.audio import planned_wavs, write_sounds
from wirebloom.views.body import Body, asked_body
from wirebloom.views.comparison import BUILDUP, comparison_table, write_buildup
from wirebloom.views.verdict import headline
from wirebloom.workbench.comparison import Made, gather, is_take
from wirebloom.workbench.files import ENDING
from wirebloom.workbench.names import short_name, told_apart

COMPARISON = "comparison.json"
LONGEST = 60  # letters of a folder's name


class UsageError(WirebloomError):
    """Options that do not go together."""

    exit_code = 2


def command(arguments: argparse.Namespace) -> int:
    """Run or load every take, write sounds with one gain, the overlay and the takes that were run, print the table."""
    sources = dict(zip(told_apart(map(short_name, arguments.scenarios)), arguments.scenarios, strict=True))
    changes = overrides(arguments)
    _refuse_changes_to_takes(arguments.scenarios, changes)
    folder = arguments.out or Path("outputs") / "_beside_".join(sources)[:LONGEST]
    _keep_out_of_the_takes_own(folder, arguments.scenarios)
    body = asked_body(arguments.body)
    planned = _planned(sources, body, figures=not arguments.no_figures)
    made = {name: _read(source, changes) for name, source in sources.items()}  # all of them, before any long work
    claim(folder, planned)
    takes = gather(made, make_take)
    measures = {name: measure(take) for name, take in takes.items()}
    with fresh(folder, planned) as written:
        answer = _write(takes, measures, folder, written, planned, body=body)
    if arguments.json:
        print_json(answer)
    else:
        said = [f"{name}: {headline(take, measures[name])}" for name, take in takes.items()]
        left = [name for name in made if name not in takes]
        said += [f"Not run any more: {', '.join(left)}."] if left else []
        print_text(*said, comparison_table(measures), f"In {folder}: {', '.join(written)}")
    return INTERRUPTED if any(take.status == "interrupted" for take in takes.values()) else 0


def _refuse_changes_to_takes(sources: Sequence[str], changes: Sequence[str]) -> None:
    """A recorded take cannot be changed any more, and silently comparing it unchanged would mislead."""
    recorded = [source for source in sources if is_take(source)]
    if changes and recorded:
        raise UsageError(f"--set, --duration and --seed must go with scenarios only; instead received the recorded take '{recorded[0]}'.")


def _keep_out_of_the_takes_own(folder: Path, sources: Sequence[str]) -> None:
    """Results replace what a run wrote into the same folder: the takes to compare must not be among that."""
    inside = [source for source in sources if is_take(source) and Path(source).resolve().parent == folder.resolve()]
    if inside:
        raise UsageError(f"--out must be another folder than that of the takes; instead received '{folder}', which holds '{inside[0]}'.")


def _planned(sources: Mapping[str, str], body: Body | None, *, figures: bool) -> list[str]:
    run_here = [f"{name}{ENDING}" for name, source in sources.items() if not is_take(source)]
    return [*run_here, *planned_wavs(tuple(sources), body=body), *([BUILDUP] if figures else []), COMPARISON]


def _read(source: str, changes: Sequence[str]) -> Made:
    return load_take(source) if is_take(source) else load(source, changes)


def _write(
    takes: Mapping[str, Take], measures: Mapping[str, Measures], folder: Path, written: list[str], planned: Sequence[str],
    *, body: Body | None,
) -> dict[str, Any]:  # fmt: skip
    for name, take in takes.items():
        if f"{name}{ENDING}" in planned:
            save(take, folder / f"{name}{ENDING}")
            written.append(f"{name}{ENDING}")
    sounds = write_sounds(takes, folder, body)
    written += [sound.path.name for sound in sounds]
    if BUILDUP in planned:
        written.append(write_buildup(takes, folder).name)
    written.append(COMPARISON)
    answer = {
        "takes": [{"name": name} | summary(take, measures[name]) for name, take in takes.items()],
        "sounds": [asdict(sound) | {"path": str(sound.path)} for sound in sounds],
        "files": [str(folder / name) for name in written],
    }
    write_json(answer, folder / COMPARISON)
    return answer
