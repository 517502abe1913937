"""Letters that act instead of being seen."""

import unicodedata

import pytest

from wirebloom.views.report.shown import visible


@pytest.mark.parametrize("code", range(0x20))
def test_controls_are_written_out_but_for_tab_and_end_of_line(code):
    assert visible(chr(code)) == (chr(code) if chr(code) in "\t\n" else f"⟨U+{code:04X}⟩")


def test_every_letter_that_turns_others_round_is_written_out():
    """By its class in the Unicode Character Database, as Python has it: all but isolates that follow what they hold."""
    turning = [
        chr(code) for code in range(0x3000) if unicodedata.bidirectional(chr(code)) in {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI"}
    ]
    marks = ["\u061c", "\u200e", "\u200f"]
    assert len(turning) == 7
    assert all(visible(letter).startswith("⟨U+") for letter in [*turning, *marks])
    assert visible("\u2068אב\u2069") == "\u2068אב\u2069"


def test_what_has_no_form_in_utf_8_gets_one():
    assert visible("\ud800\udfff\uffff").encode("utf-8")


def test_ordinary_text_in_any_script_stays():
    text = "naïve 30 µm ≥ Ω, шум, 音, شكل, 🎻 e\u0301"
    assert visible(text) == text
    assert visible("one\r\ntwo") == "one\ntwo"
