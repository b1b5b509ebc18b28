"""How long a person takes on a walk through pages, by published models: an estimate, and no stopwatch.

Reading: 238 words a minute, silent reading of plain English by adults. Source: M. Brysbaert, How many words
do we read per minute? A review and meta-analysis of reading rate, Journal of Memory and Language 109 (2019).
Doing: the keystroke-level model. Source: S. K. Card, T. P. Moran, A. Newell, The keystroke-level model for
user performance time with interactive systems, Communications of the ACM 23 (1980) 396-410. K 0.28 s a key,
an average typist; P 1.1 s to point at a target; H 0.4 s to move a hand between pointing and typing; M 1.35 s
to prepare; the press of a button counts as a key. All five numbers from memory.

What a person is taken to do: read everything that stands on a page from its top to the control they use, each
text once on the whole walk; prepare before every control; swipe a screen at a time, each as one pointing.
Waiting is measured. Not counted: making mistakes, asking somebody, looking for a thing on a shelf.
"""

import math
from dataclasses import dataclass, field
from time import perf_counter

from playwright.sync_api import Locator, Page

WORDS_A_MINUTE = 238
KEY_S, POINT_S, HOME_S, PREPARE_S = 0.28, 1.1, 0.4, 1.35

# The texts that can be seen from the top of the page to an element, a line each; of a choice the one shown.
_SEEN = """(last) => {
  const seen = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const around = node.parentElement;
    const after = last.compareDocumentPosition(node) & Node.DOCUMENT_POSITION_FOLLOWING;
    if (after && !last.contains(node)) continue;
    if (around.closest('script, style, noscript, .skip') || !around.checkVisibility()) continue;
    if (around.closest('option') && !around.closest('option').selected) continue;
    if (node.data.trim()) seen.push(node.data.trim().replace(/\\s+/g, ' '));
  }
  return seen;
}"""
_BELOW = "(it) => Math.max(0, it.getBoundingClientRect().bottom - innerHeight) / innerHeight"


@dataclass
class Operator:
    """A person at a page, and what the walk has cost so far."""

    page: Page
    words: int = 0
    keys: int = 0
    points: int = 0
    homes: int = 0
    prepared: int = 0
    waited_s: float = 0.0
    legs: list[tuple[str, float]] = field(default_factory=list)
    _known: set[str] = field(default_factory=set)
    _typing: bool = False

    @property
    def seconds(self) -> float:
        """All of it, in seconds."""
        doing = self.keys * KEY_S + self.points * POINT_S + self.homes * HOME_S + self.prepared * PREPARE_S
        return self.words / WORDS_A_MINUTE * 60 + doing + self.waited_s

    def told(self) -> str:
        """The numbers, for whoever runs the test."""
        return (
            f"{self.seconds:.0f} s: {self.words} words read, {self.keys} keys, {self.points} pointings, "
            f"{self.homes} times a hand moved, {self.prepared} preparations, {self.waited_s:.1f} s waited\n"
            + "\n".join(f"  {seconds:6.0f} s  {what}" for what, seconds in self.legs)
        )

    def reads(self, text: str) -> None:
        """A text that is new to them on this walk: a line of a terminal, a page's."""
        for line in filter(None, map(str.strip, text.splitlines())):
            if line not in self._known:
                self._known.add(line)
                self.words += len(line.split())

    def reads_to(self, last: Locator) -> None:
        """The page from its top to here."""
        self.reads("\n".join(last.evaluate(_SEEN)))

    def types(self, keys: str) -> None:
        """Keys, by hands that may come from pointing."""
        self._hands(typing=True)
        self.keys += len(keys)

    def waits(self, seconds: float) -> None:
        """Looks on."""
        self.waited_s += seconds

    def opens(self, address: str) -> None:
        """Types an address and waits for its page."""
        self.prepared += 1
        self.types(address + "\n")
        began = perf_counter()
        self.page.goto(address, wait_until="load")
        self.waits(perf_counter() - began)

    def taps(self, control: Locator, leads: bool = True) -> None:
        """Reads as far as the control, finds it, taps it; where it `leads` to a page, waits for that."""
        self._gets_to(control)
        began = perf_counter()
        if leads:
            with self.page.expect_navigation(wait_until="load"):
                control.click()
        else:
            control.click()
        self.waits(perf_counter() - began)
        self.legs.append((self.page.url, self.seconds))

    def fills(self, control: Locator, text: str) -> None:
        """Reads as far as the field, taps into it and types."""
        self._gets_to(control)
        self.types(text)
        control.fill(text)

    def chooses(self, control: Locator, label: str) -> None:
        """Reads as far as the list, opens it, looks through its choices as far as the one, taps that."""
        self._gets_to(control)
        names = [name.strip() for name in control.locator("option").all_inner_texts()]
        self.reads("\n".join(names[: names.index(label) + 1]))
        self.prepared += 1
        self._points()
        control.select_option(label=label)

    def _gets_to(self, control: Locator) -> None:
        self.reads_to(control)
        for _ in range(math.ceil(control.evaluate(_BELOW))):
            self._points()
        control.scroll_into_view_if_needed()
        self.prepared += 1
        self._points()

    def _points(self) -> None:
        self._hands(typing=False)
        self.points += 1
        self.keys += 1  # the press itself

    def _hands(self, *, typing: bool) -> None:
        self.homes += self._typing is not typing
        self._typing = typing
