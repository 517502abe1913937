"""What a sign table comes to, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from wirebloom.take.check_signs import NODE, ROLES, LoopSigns

TOLD = 12  # partials: of higher ones a sentence says nothing
QUARTER = 90.0  # deg
NEITHER = "neither polarity feeds it or damps it"


def sign_words(loops: Sequence[LoopSigns]) -> tuple[str, ...]:
    """All of it, loop by loop and string by string, the headline of each first."""
    return tuple(sentence for own in loops for sentence in _words(own))


def _words(own: LoopSigns) -> Iterator[str]:
    lacking = [role for role in ROLES if not own.part(role).any()]
    yield from (_lacking(own, role) for role in lacking)
    if not lacking:
        yield _headline(own)
        yield from _nodes(own)
        yield from _turned(own)


def _lacking(own: LoopSigns, role: str) -> str:
    """Why a loop has nothing to do with a string on one of its sides."""
    heads = [head.head for head in own.heads if head.role == role]
    verb = "hear" if role == "sense" else "drive"
    if not heads:
        return f"Loop {own.loop} does not {verb} string {own.string}: it has no {role} head under it."
    return f"Loop {own.loop} does not {verb} string {own.string}: no magnet's field reaches it at {listed(heads)}."


def _headline(own: LoopSigns) -> str:
    normal, other = (_told(numbers) for numbers in (own.normal, own.reversed))
    first, last = (normal, other) if own.polarity == "normal" else (other, normal)
    return (
        f"Loop {own.loop} on {own.string}: as wired, its places feed {_partials(first)}; with the polarity turned (the leads of one "
        f"coil swapped) they would feed {_partials(last)}."
    )


def _nodes(own: LoopSigns) -> Iterator[str]:
    """Partials that the heads of one role do not meet: a node over each of them, or one undoes what the other does."""
    for role in ROLES:
        heads = [head for head in own.heads if head.role == role]
        gone = [int(n) + 1 for n in np.flatnonzero(np.abs(own.part(role)) < NODE) if n < TOLD]
        still = [n for n in gone if all(abs(head.weight[n - 1]) < NODE for head in heads)]
        undone = [n for n in gone if n not in still]
        names, many = listed([head.head for head in heads]), len(heads) > 1
        if still:
            yield f"{_heads(names, many)} {'stand' if many else 'stands'} at a node of {_partials(still)} of {own.string}: {NEITHER}."
        if undone:
            yield f"{_heads(names, many)} undo each other for {_partials(undone)} of {own.string}: {NEITHER}."


def _heads(names: str, many: bool) -> str:
    return f"Heads {names}" if many else f"Head {names}"


def _turned(own: LoopSigns) -> Iterator[str]:
    """Partials at which the electronics turn the signs over."""
    wired = 0.0 if own.polarity == "normal" else 180.0
    with np.errstate(invalid="ignore"):
        away = np.abs((own.turn_deg - wired + 180.0) % 360.0 - 180.0)
        over = [int(n) + 1 for n in np.flatnonzero(away > QUARTER) if n < TOLD and own.sign[n]]
    if over:
        most = max(away[n - 1] for n in over)
        yield (
            f"For small motions the electronics of {own.loop} turn {_partials(over)} of {own.string} by more than a quarter period "
            f"(up to {most:.0f} degrees): what the places would feed there is damped, and the other way round."
        )


def _told(numbers: Sequence[int]) -> list[int]:
    return [n for n in numbers if n <= TOLD]


def _partials(numbers: Sequence[int]) -> str:
    if not numbers:
        return f"none of the first {TOLD} partials"
    return f"partial{'s' if len(numbers) > 1 else ''} {listed([str(n) for n in numbers])}"


def listed(words: Sequence[str]) -> str:
    """With commas, and an "and" before the last."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else list(words))
