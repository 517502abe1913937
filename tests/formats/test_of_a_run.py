"""A take that was really run, not made up."""

import pytest

from wirebloom.take.store import load, save

from .same import differences


@pytest.mark.slow
@pytest.mark.parametrize("scenario", ["first_note", "two_strings_two_loops"])
def test_run(scenario, tmp_path):
    """The second has strings with different numbers of partials."""
    from wirebloom.compile import compile_rig
    from wirebloom.rig import load as load_rig
    from wirebloom.run import simulate

    take = simulate(compile_rig(*load_rig(scenario, ["run.duration=0.05 s"])))
    save(take, tmp_path / "take.h5")
    assert differences(take, load(tmp_path / "take.h5")) == []
