"""What a user wrote, as it may stand in a page: escaped by the templates, and without letters that act instead of being seen."""

from __future__ import annotations

import re

# Controls but for tab and end of line, separators of lines, halves of pairs, and what is no letter at all. Of the Unicode Bidirectional
# Algorithm (UAX #9, 2; from memory) marks, embeddings, overrides and isolates that turn their neighbours round; first-strong isolates
# (U+2068, U+2069) keep letters from that, and stay.
ACTING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff"  # controls and what has no form in UTF-8
    "\u061c\u200e\u200f\u202a-\u202e\u2066\u2067]"
)


def visible(text: str) -> str:
    """Return the text with every letter that would act instead of being seen written out by its number.

    Right-to-left letters stay as they are: the page keeps them apart from what stands beside them.

    Examples
    --------
    >>> visible("pier\\u202e\\x00"), visible("שיר"), visible("a\\r\\nb")
    ('pier⟨U+202E⟩⟨U+0000⟩', 'שיר', 'a\\nb')
    """
    if text.isascii() and text.isprintable():  # most of it, and the longest
        return text
    return ACTING.sub(lambda found: f"⟨U+{ord(found.group()):04X}⟩", text.replace("\r\n", "\n"))
