"""The look: colours by the published formula, nothing inline, and the frame of every page and paper."""

import re
from datetime import UTC, datetime
from itertools import product
from pathlib import Path

import pytest
from django.template.base import Lexer, TokenType

from inventory.errors import Refused, say
from inventory.templatetags import parts
from inventory.views.samples import samples
from tests.views.markup import URLS, page, read

INVENTORY = Path(parts.__file__).resolve().parents[1]
TEMPLATES = sorted((INVENTORY / "templates").rglob("*.html"))
LOOK = (INVENTORY / "static" / "inventory" / "look.css").read_text()
RULES = re.sub(r"/\*.*?\*/", "", LOOK, flags=re.DOTALL)

TEXTS = {"ink", "faint", "do", "look", "stop"}
GROUNDS = {"paper", "sheet", "wash", "look-wash", "stop-wash"}
LEAST = 4.5  # WCAG 2.2, success criterion 1.4.3, level AA
LEAST_FOR_EDGES = 3.0  # WCAG 2.2, success criterion 1.4.11


@pytest.fixture(autouse=True)
def addresses(settings):
    """The few addresses the parts lead to, so that this file needs no page of the shop."""
    settings.ROOT_URLCONF = URLS


# --- colours --------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance. Source: W3C, WCAG 2.2, definition "relative luminance"
    (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance)."""
    full = "".join(2 * digit for digit in colour[1:]) if len(colour) == 4 else colour[1:]
    channels = [int(full[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio. Source: W3C, WCAG 2.2, definition "contrast ratio"
    (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio)."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def themes() -> dict[str, dict[str, str]]:
    """The colour tokens of every theme, as a browser would have them."""
    blocks = re.findall(r":root(?:, \.[a-z-]+)* \{([^}]*--paper[^}]*)\}", RULES)
    assert len(blocks) == 3, "light, dark and print, in this order"
    light, dark, paper = (dict(re.findall(r"--([\w-]+): (#\w+);", block)) for block in blocks)
    return {"light": light, "dark": light | dark, "print": light | paper}


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000", "#ffffff", 21.0),  # WCAG 2.2: contrast ratios range from 1 to 21
        ("#123456", "#123456", 1.0),
        # The grey at which checkers disagreed until rounding was ruled out (w3c/wcag, "Rounding and color
        # contrast", 2016): 4.48 fails, one step darker 4.54 passes.
        ("#777777", "#fff", 4.48),
        ("#767676", "#fff", 4.54),
    ],
)
def test_contrast_of_published_pairs_is_as_published(one, other, ratio):
    """The formula gives what its publishers and checkers say."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize(("text", "ground"), [*sorted(product(TEXTS, GROUNDS)), ("on-do", "do")])
def test_text_colour_on_any_ground_reaches_the_least_contrast(theme, text, ground):
    """Every text colour can stand on every ground, in every theme."""
    tokens = themes()[theme]
    assert contrast(tokens[text], tokens[ground]) >= LEAST


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_edges_of_controls_on_any_ground_reach_the_least_contrast(theme):
    """Fields and buttons are edged in ink, faint, do or stop, which can be seen on every ground."""
    tokens = themes()[theme]
    pairs = product(("ink", "faint", "do", "stop", "look"), GROUNDS)
    assert all(contrast(tokens[edge], tokens[ground]) >= LEAST_FOR_EDGES for edge, ground in pairs)


def test_stylesheet_outside_its_tokens_names_no_other_colour():
    """Text is drawn in text colours on grounds, so that the pairs above are all pairs there are."""
    body = re.sub(r":root[^{]*\{[^}]*\}", "", RULES)
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b(?![^{;]*\{)", body)
    assert not re.search(r"\b(?:rgb|hsl|oklch|lab|color-mix)\(", body)
    used = dict.fromkeys(("color", "background"), frozenset())
    for name, value in re.findall(r"(?<![\w-])(color|background): ([^;}]+)", body):
        used[name] |= {value.strip()}
    assert used["color"] <= {f"var(--{name})" for name in TEXTS | {"on-do"}} | {"inherit"}
    assert used["background"] <= {f"var(--{name})" for name in GROUNDS | {"do"}} | {"none"}


def test_stylesheet_where_the_ground_is_do_sets_its_own_text_colour():
    """Nothing else than on-do stands on spruce, and on-do stands nowhere else."""
    for body in re.findall(r"\{([^{}]*)\}", RULES):
        assert ("background: var(--do)" in body) == ("color: var(--on-do)" in body)


# --- nothing inline -------------------------------------------------------------------------------------

INLINE = re.compile(
    r"<style|\sstyle\s*=|<script(?![^>]*\ssrc=)|<script[^>]*>\s*[^\s<]|\son[a-z]+\s*=\s*[\"']|javascript:",
    re.I,
)


def test_templates_hold_no_inline_style_and_no_inline_script():
    """The content policy allows none, so a page with one would be broken."""
    found = [str(file) for file in TEMPLATES if INLINE.search(file.read_text())]
    assert TEMPLATES
    assert not found


@pytest.mark.parametrize(
    "line",
    [
        '<p style="color: red">',
        "<STYLE>",
        "<script>go()</script>",
        '<script src="a.js">go()</script>',
        '<a onclick="go()">',
        '<a href="javascript:go()">',
    ],
)
def test_inline_search_of_a_bad_line_finds_it(line):
    """The search above can fail."""
    assert INLINE.search(line)


def test_inline_search_of_a_good_line_leaves_it_alone():
    """A script of its own file and words that only look alike are fine."""
    assert not INLINE.search('<script src="{% static "inventory/scan.js" %}" defer></script> <p>on = one</p>')


@pytest.mark.parametrize("file", TEMPLATES, ids=lambda file: file.stem)
def test_template_asks_nothing_of_another_machine(file):
    """The laptop has no network: no page may wait for one."""
    assert not re.search(r"(?:src|href|action)=[\"']?(?:https?:)?//", file.read_text())


def swallowed(source: str) -> list[str]:
    """The parts `{% empty ... %}` that a loop would take for its own `{% empty %}` and show nothing of."""
    open_blocks, found = [], []
    for token in Lexer(source).tokenize():
        if token.token_type is not TokenType.BLOCK:
            continue
        word, *rest = token.split_contents()
        if word == "for":
            open_blocks.append("for")
        elif word == "endfor":
            open_blocks.pop()
        elif word == "empty" and open_blocks and open_blocks[-1] == "for":
            open_blocks[-1] = "for, after its empty"
            found += [token.contents] if rest else []
    return found


@pytest.mark.parametrize("file", TEMPLATES, ids=lambda file: file.stem)
def test_template_with_an_empty_part_in_a_loop_does_not_lose_it(file):
    """Inside a loop the word belongs to the loop first."""
    assert swallowed(file.read_text()) == []


def test_swallowed_search_finds_only_what_a_loop_would_take():
    """The search above can fail, and passes the way that works."""
    loop = "{% for a in b %}x"
    assert swallowed(loop + '{% empty "Nothing." %}{% endfor %}') == ['empty "Nothing."']
    assert swallowed(loop + '{% empty %}{% empty "Nothing." %}{% endfor %}{% empty "No." %}') == []


MARKUP = '<script>alert(1)</script><b onclick="x">&amp;\''

# --- whole pages ----------------------------------------------------------------------------------------


def test_parts_page_nests_and_shows_every_part():
    """The page of parts is the place to look at all of them."""
    found = read(page("help/parts.html", **samples()))
    assert {"table", "form", "fieldset", "details", "figure", "nav"} <= found.seen


def test_refused_page_says_what_and_what_to_do_and_leads_to_the_words():
    """A refusal is a sentence, what to do, its code in the help, and a way back."""
    refused = Refused("stock.short", say("{left} g is left.", left=640), say("Take {what}.", what=MARKUP))
    found = page("refused.html", refused=refused, back="/stock/")
    assert 'href="/help-refusals/?code=stock.short#stock.short"' in found
    assert 'href="/stock/" data-back' in found
    words = read(found).words
    assert "640 g is left." in words
    assert f"Take {MARKUP}." in words


def test_base_page_for_a_stranger_has_no_doors_and_no_scan_line():
    """A page open to all shows a stranger nothing that leads inside; a signed-in person has all of it."""
    inside = page("base.html")
    stranger = page("base.html", doors=[], person=None)
    assert 'id="scan-line"' in inside
    assert inside.count("<a href") > stranger.count("<a href")
    assert 'id="scan-line"' not in stranger
    assert 'class="doors"' not in stranger


def test_base_page_marks_the_door_one_is_in_and_lets_one_skip_to_the_page():
    """Where one is can be heard as well as seen."""
    found = page("base.html")
    assert '<a href="/trips/" aria-current="true">Trips</a>' in found
    assert found.index('href="#main"') < found.index("<nav")
    assert '<html lang="en" dir="ltr">' in found


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sheet_on_a_known_paper_asks_for_it(paper):
    """A4 and US Letter are asked for by name; anything else is left to the printer."""
    at = datetime(2026, 12, 4, 13, 10, tzinfo=UTC)
    found = page("sheet.html", paper=paper, printed_at=at)
    assert f"paper-{paper}" in found
    assert "As known here on 4 Dec 2026, 14:10." in read(found).words
    assert "paper-x" not in page("sheet.html", paper="x")
    assert re.search(rf"@page {paper} \{{ size: {paper}", LOOK, re.I)
