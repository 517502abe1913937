"""Scenarios from Python: the same words, changes and refusals as on the command line."""

import pytest

import wirebloom as wb
from wirebloom.rig import load as load_rig
from wirebloom.workbench.inventory import inventory


def test_changes_add_up_and_later_ones_win():
    setup = wb.load("first_note", "heads.sense.gap=1.2 mm", "heads.drive.gap=2 mm", duration="3 s", seed=7)
    again = setup.changed("heads.drive.gap=1.5 mm")
    assert [1e3 * head.gap for head in again.rig.heads] == pytest.approx([1.2, 1.5])
    assert (again.plan.duration, again.plan.seed) == (3.0, 7)
    assert again.changes == (
        "heads.sense.gap=1.2 mm", "heads.drive.gap=2 mm", "run.duration=3 s", "run.seed=7", "heads.drive.gap=1.5 mm",
    )  # fmt: skip
    assert setup.rig.heads[1].gap == pytest.approx(2e-3)  # the first one stays as it was


def test_it_is_what_the_gate_makes_of_the_same_words():
    setup = wb.load("overtones", "loops.main.phase.capacitor=5 uF", duration="2 s")
    assert (setup.rig, setup.plan) == load_rig("overtones", ["loops.main.phase.capacitor=5 uF", "run.duration=2 s"])
    assert (setup.name, setup.title) == ("overtones", "Overtones")


def test_a_file_a_setup_and_a_name_are_all_taken(tmp_path):
    text = wb.load("first_note").rig.text
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    assert wb.load(path).name == wb.load(str(path)).name == "mine"
    assert wb.load(wb.load(path), seed=3).plan.seed == 3


@pytest.mark.parametrize(
    ("change", "kind", "said"),
    [
        ("heads.sense.gap=1.2", wb.errors.ScenarioError, "heads"),
        ("nothing.here=1", wb.errors.ScenarioError, "nothing"),
        ("strings.pier.pitch=C7", wb.errors.RigError, "pier|strings"),
    ],
)
def test_refusals_are_one_sentence_that_names_the_key(change, kind, said):
    with pytest.raises(kind, match=said) as found:
        wb.load("first_note").changed(change)
    assert "\n" not in str(found.value)


def test_every_scenario_that_comes_with_it_is_listed_and_stands_on_the_bench():
    for name, title in wb.scenarios().items():
        setup = wb.load(name)
        table = inventory(setup)
        kinds = [row[0].split(" ")[0] for row in table.rows]
        assert title == setup.title
        assert kinds.count("string") == len(setup.rig.strings)
        assert kinds.count("head") == sum(len(head.places) for head in setup.rig.heads)
        assert kinds.count("loop") == len(setup.rig.loops)
