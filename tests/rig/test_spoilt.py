"""Scenarios spoilt at random, a line or two at a time: a rig or one sentence in our own words, never anything else."""

import random
import re

import pytest

from wirebloom.errors import WirebloomError
from wirebloom.rig import loads
from wirebloom.rig.starter import STARTER

from .conftest import SCENARIO

SENTENCE = re.compile(r"f.* must be .+; instead received .+\.")
FOREIGN = re.compile(r"Input should|validation|pydantic|Traceback|\n")
VALUES = ["3", "-1", '"x"', '""', "true", "[]", "{}", "[[]]", "[{}]", "{ a = 1 }", '"1 mm"', '"0.5 L"', "nan", "inf", "1979-05-27"]
VALUES += ['["sense", "sense"]', "[1, 2, 3]", '[["1 mm", "1 N/A", "1 N"]]', '"9 V"', '"\\u0000"', "99999999999999999999", "12:00:00"]
ALL_KEYS = re.sub(r"(?m)^# (?=[a-z_]+ = )", "", STARTER)


def _spoil(text, rng):
    lines = text.split("\n")
    for _ in range(rng.randint(1, 2)):
        place = rng.randrange(len(lines))
        way = rng.random()
        if way < 0.5 and "=" in lines[place]:
            lines[place] = f"{lines[place].split('=')[0]}= {rng.choice(VALUES)}"
        elif way < 0.7:
            del lines[place]
        elif way < 0.85:
            lines.insert(place, rng.choice(lines))
        else:
            cut = rng.randrange(len(lines[place]) + 1)
            lines[place] = lines[place][:cut] + rng.choice('"[].= z{#0') + lines[place][cut:]
    return "\n".join(lines)


@pytest.mark.parametrize("text", [SCENARIO, STARTER, ALL_KEYS], ids=["small", "starter", "all keys"])
def test_spoilt_scenario(text):
    rng = random.Random(2)
    refused = 0
    for _ in range(250):
        spoilt = _spoil(text, rng)
        try:
            loads(spoilt, file="f")
        except WirebloomError as problem:
            refused += 1
            said = str(problem)
            assert SENTENCE.match(said), spoilt
            assert not FOREIGN.search(said), said
    assert refused > 25
