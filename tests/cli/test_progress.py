"""Progress goes to stderr in simulated time: plain lines at most every two seconds without a terminal."""

import io
import itertools

from wirebloom.cli import progress as module


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_plain_lines_tell_simulated_time_and_what_is_left(monkeypatch, capsys):
    clock = itertools.count(100.0, 1.5)  # every look at the clock is 1.5 s later
    monkeypatch.setattr(module.time, "monotonic", lambda: next(clock))
    with module.progress("first_note", 4.0) as report:
        for reached in (0.0, 0.5, 1.0, 1.5, 2.0, 2.5):
            report(reached)
    said = capsys.readouterr()
    assert said.out == ""
    # 0.5 s take 1.5 s of waiting (compiling, before the first 0.5 s, does not count): 2.5 s take 7.5 s, 1.5 s take 4.5 s.
    assert said.err.splitlines() == [
        "first_note: 1.50 of 4 s simulated, about 8 s left",
        "first_note: 2.50 of 4 s simulated, about 4 s left",
    ]


def test_a_quick_run_says_nothing(capsys):
    with module.progress("first_note", 1.0) as report:
        for reached in (0.0, 0.5, 1.0):
            report(reached)
    assert capsys.readouterr() == ("", "")


def test_a_terminal_gets_a_bar_that_goes_away(monkeypatch):
    screen = Terminal()
    monkeypatch.setattr(module.sys, "stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    with module.progress("first_note", 4.0) as report:
        report(1.0)
        report(4.0)
    assert "first_note" in screen.getvalue()
    assert "4.00 of 4 s" in screen.getvalue()
