"""A report read back as a reader's program would: its elements in order, their attributes, and the text inside each."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "img", "input", "hr"}
CLOSED = {"path", "use", "rect", "circle", "image", "line", "polyline", "polygon"}  # within SVG, closed where they stand


@dataclass
class Element:
    """One element: what stands within it, its text and that of all it holds."""

    name: str
    attributes: dict[str, str]
    inside: list[Element] = field(default_factory=list)
    pieces: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return " ".join("".join(self.pieces).split())

    def all(self, *names: str) -> list[Element]:
        """Elements of these names within this one, in order; of all names if none is given."""
        found = []
        for one in self.inside:
            found += [one] if one.name in names or not names else []
            found += one.all(*names)
        return found

    def one(self, name: str) -> Element:
        (only,) = self.all(name)
        return only

    def of(self, key: str, value: str) -> Element:
        """The only element with this attribute."""
        (only,) = [one for one in self.all() if one.attributes.get(key) == value]
        return only


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open = [Element("", {})]
        self.unmatched = []

    def handle_starttag(self, tag, attrs):
        element = Element(tag, {key: value or "" for key, value in attrs})
        self.open[-1].inside.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.open[-1].inside.append(Element(tag, {key: value or "" for key, value in attrs}))

    def handle_endtag(self, tag):
        if self.open[-1].name == tag:
            self.open.pop()
        else:
            self.unmatched.append(tag)

    def handle_data(self, data):
        for element in self.open:
            element.pieces.append(data)


def page(text: str) -> Element:
    """Read a page; every element must be closed where it belongs."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    assert reader.unmatched == [], reader.unmatched[:5]
    assert len(reader.open) == 1, [element.name for element in reader.open]
    return reader.open[0]


def shape(element: Element) -> list[str]:
    """Names of all elements in order, with the names of their attributes: what a hostile text would change if it were not text."""
    return [f"{one.name} {' '.join(one.attributes)}" for one in element.all()]
