"""Metric units left on a page of a reader of US units, and which of them stay. Knows no page by its links."""

import re
from html.parser import HTMLParser

from django.urls import resolve

UNIT = r"kPa|MPa|mbar|bar|°C|kg/m³|g/m²|g/m|kg|mg|g|t|l/min|l/h|ml|cl|l|mm²|cm²|m²|m³|mm|cm|km|m|kN|kJ"
BESIDE = r"\s\([−\d]"  # 300 kPa (43.5 psi): the reader's own stands behind it
FOUND = re.compile(rf"(?<![\w.,/–-])([−-]?\d[\d\u202f.,]*)\s?({UNIT})(?![\w/²³·])(?!{BESIDE})")
BARE = re.compile(r"(?<!\w)(?<!\d )(kPa|°C)(?!\w)")
PROSE = frozenset({"help-page", "help-rules", "help-parts"})
SKIS = ("bench", "builds", "cutting", "finishing", "laying", "skis", "recalls", "tags", "thing", "artwork")
# What stays metric: the unit with the words around it, and at which addresses, by how they begin. Common
# practice, no source, where nothing else is said.
STAYS = (
    # A ski, and what is made, cut or printed to it: makers give them in millimetres, a sidecut in metres.
    (r"\d mm\b", SKIS),
    (r"[Rr]adius[^.]{0,30} [\d.]+ m\b", SKIS),
    (r"mould|[Tt]emplate", ("trips-trip",)),
    (r"Lengths of skis it takes|length and width|what they cover", ("equipment",)),
    # What a material is called, and what a person wrote, are nobody's to change.
    (r"mm", ("catalogue",)),
    (r"held 75 °C", ("thing", "pressing-cycle")),
    # Scales for resin weigh in grams, and a ratio is grams to 100 g.
    (r"Smallest step of the scale|Scale, to 0.1 g|100 g of resin|Largest cup|such as 20 g", ("",)),
    # A limit as its law writes it, with the law named; 5 l as section 14 of a safety data sheet has it.
    (r"200 kg", ("trips",)),
    (r"Of one inner packaging: 5 l", ("materials",)),
    # A field that quotes a maker's sheet or a plate, as it is kept; its card has the other beside it.
    (r"Density|Cure schedule|enough by itself|one after another do not", ("materials-edit",)),
    (r"\[250 kN\]", ("equipment-edit",)),
    # A pack as its supplier sells it, on what is sent to the supplier.
    (r"packs of|We order", ("orders",)),
    # What a file may be in, and what units there are to choose.
    (r"where the file does not say", ("pressing-log",)),
    (r"Metric: kg, m, °C", ("shop-card", "people-units")),
)


class Words(HTMLParser):
    """The words of a page that a reader of it sees, with what its fields begin with."""

    HIDDEN = frozenset({"script", "style"})
    VOID = frozenset({"input", "img", "br", "hr", "meta", "link", "path", "circle", "rect", "line"})

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "input" and given.get("type") == "text":
            self.words.append(f" [{given.get('value') or ''}] ")
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID and self.open:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if not self.HIDDEN & set(self.open):
            self.words.append(data)


def metric_left(address: str, markup: str) -> list[str]:
    """What a page still says in metric units, with the words around it."""
    name = resolve(address.split("?")[0]).url_name or ""
    if name in PROSE:  # written texts and samples: their numbers are those of a worked example
        return []
    page = Words()
    page.feed(markup)
    text = " ".join("".join(page.words).split())
    found = []
    for match in (*FOUND.finditer(text), *BARE.finditer(text)):
        around = text[max(0, match.start() - 60) : match.end() + 20]
        if not any(name.startswith(begins) and re.search(words, around) for words, begins in STAYS):
            found.append(f"{name}: {match[0]} in “{around}”")
    return found
