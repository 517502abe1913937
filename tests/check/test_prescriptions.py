"""What `check` prescribes against a failure, carried out: the rig with the named change passes in a time run."""

from typing import NamedTuple

import pytest

from random_rigs import FAILING, PLUCKED, random_text
from settled import LOUD, Observed, observed
from wirebloom.analysis.prescribe import advise
from wirebloom.compile import Compiled, compile_rig
from wirebloom.rig import load, loads
from wirebloom.take.check_prescriptions import Prescription

SCENARIOS = {"too_far": "silent", "reversed": "silent", "too_close": "touches"}
FAST, ALL = (2019,), range(2000, 2090)
ENOUGH, CURED = 30, 0.9
LONGEST = 40.0  # s


class Tried(NamedTuple):
    """A rig whose run fails, what was prescribed, and how the run with that ends."""

    number: int
    before: Observed
    cure: Prescription | None
    after: Observed | None

    @property
    def cured(self) -> bool:
        return self.after is not None and passes(self.after)


def passes(run: Observed) -> bool:
    """It sounds and meets no face; levels that still wander are no failure."""
    return run.end in ("steady", "unsettled") and run.output > LOUD


def cure_of(compiled: Compiled) -> Prescription | None:
    """The first prescription that leaves nothing failing."""
    advice = advise(compiled, sensitive=False)
    return next((own for own in advice.prescriptions if not own.leaves), None)


def tried(number: int) -> Tried | None:
    """None for a rig whose run neither meets a face nor stays silent."""
    text, file = random_text(number, FAILING), f"random_{number}.toml"
    compiled = compile_rig(*loads(text, file=file, overrides=[PLUCKED]))
    before = observed(compiled, LONGEST)
    if before.end not in ("touches", "silent"):
        return None
    cure = cure_of(compiled)
    after = None if cure is None else observed(compile_rig(*loads(text, file=file, overrides=[PLUCKED, *cure.overrides])), LONGEST)
    return Tried(number, before, cure, after)


@pytest.mark.long
@pytest.mark.parametrize("name", SCENARIOS)
def test_failing_scenarios(name: str) -> None:
    compiled = compile_rig(*load(name))
    advice = advise(compiled, sensitive=False)
    assert [own.kind for own in advice.failures] == [SCENARIOS[name]]
    cure = advice.least(advice.failures[0])
    assert cure is not None
    assert passes(observed(compile_rig(*load(name, cure.overrides)), LONGEST)), cure.words


@pytest.mark.parametrize("number", FAST)
def test_a_random_failing_rig(number: int) -> None:
    found = tried(number)
    assert found is not None
    assert found.cure is not None
    assert found.cured, found.cure.words


@pytest.mark.long
def test_random_failing_rigs() -> None:
    """Nine named changes in ten, or more, do in a run what they promise."""
    failing: list[Tried] = []
    for number in ALL:
        failing += [found for found in (tried(number),) if found is not None]
        with_cure = [found for found in failing if found.cure is not None]
        if len(with_cure) == ENOUGH:
            break
    missed = [(found.number, found.cure.words, found.after) for found in with_cure if found.cure and not found.cured]
    print(f"\n{len(failing)} rigs fail in a run, {len(with_cure)} have a cure, {len(with_cure) - len(missed)} of these pass with it")
    assert len(with_cure) == ENOUGH
    assert len(missed) <= (1.0 - CURED) * len(with_cure), missed
