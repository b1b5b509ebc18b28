"""The help pages as they are read: files of the docs, refusals by room, rules from docstrings."""

from pathlib import Path

import pytest

from inventory.queries import help as queries
from inventory.queries.help import Rule
from tests.architecture.test_docs import ROOT, actions


@pytest.fixture
def docs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of docs with a secret beside it."""
    folder = tmp_path / "docs"
    (folder / "decisions").mkdir(parents=True)
    (folder / "refusals").mkdir()
    (folder / "flow.md").write_text(
        "# How it *flows*\n\nSee [why](decisions/0001-x.md#because), [out](https://a.example/b.md).\n\n"
        "| step | after |\n|---|---|\n| split | 3 kg |\n"
    )
    (folder / "decisions" / "0001-x.md").write_text("# X\n\nBack to [flow](../flow.md).\n")
    (folder / "refusals" / "stock.md").write_text(
        "# Stock\n\n- **stock.short** Less is left.\n- **stock.held** [Held](../flow.md) by someone.\n"
    )
    (folder / "untitled-page.md").write_text("Nothing but text.\n")
    (tmp_path / "secret.md").write_text("# Secret\n")
    (folder / "note.txt").write_text("not a page")
    monkeypatch.setattr(queries, "DOCS", folder)
    return folder


def test_pages_when_asked_for_a_folder_gives_its_pages_only(docs: Path) -> None:
    """The top folder by default; another when named; nothing for one that is not there."""
    assert [(entry.path, entry.title) for entry in queries.pages()] == [
        ("flow", "How it *flows*"),
        ("untitled-page", "untitled page"),
    ]
    assert [entry.path for entry in queries.pages("decisions")] == ["decisions/0001-x"]
    assert queries.pages("nowhere") == ()


def test_page_in_a_language_is_read_where_it_was_translated_and_else_in_english(docs: Path) -> None:
    """Its links are those of the English page; the list has its title; the folder is no page of the list."""
    (docs / "nb" / "refusals").mkdir(parents=True)
    (docs / "nb" / "flow.md").write_text("# Hvordan\n\nSe [hvorfor](decisions/0001-x.md#because).\n")
    (docs / "nb" / "refusals" / "stock.md").write_text("# Lager\n\n- **stock.short** For lite igjen.\n")
    page = queries.page("flow", root="/help/", language="nb")
    assert page is not None
    assert (page.path, page.title) == ("flow", "Hvordan")
    assert 'href="/help/decisions/0001-x/#because"' in page.html
    other = queries.page("untitled-page", root="/help/", language="nb")
    assert other is not None
    assert "Nothing but text." in other.html
    assert [entry.title for entry in queries.pages(language="nb")] == ["Hvordan", "untitled page"]
    assert [group.title for group in queries.refusals(root="/help/", language="nb")] == ["Lager"]
    assert [group.title for group in queries.refusals(root="/help/")] == ["Stock"]
    english = queries.page("flow", root="/help/", language="de")
    assert english is not None
    assert english.title == "How it *flows*"


def test_page_when_read_has_its_links_led_to_pages(docs: Path) -> None:
    """Links between files become addresses; links to elsewhere stay; a table becomes a table."""
    page = queries.page("flow", root="/help/")
    assert page is not None
    assert 'href="/help/decisions/0001-x/#because"' in page.html
    assert 'href="https://a.example/b.md"' in page.html
    assert "<table>" in page.html
    assert "<h1" not in page.html
    back = queries.page("decisions/0001-x", root="/help/")
    assert back is not None
    assert 'href="/help/flow/"' in back.html


def test_page_when_served_names_no_function() -> None:
    """A name in brackets is for the file's reader; the sentence around it is for everybody."""
    shown = [queries.page(entry.path, root="/help/") for entry in queries.pages()]
    text = "\n".join(page.html for page in shown if page)
    assert "The trailers leave</td>" in text
    assert "`road.depart`" in (queries.DOCS / "loading-the-road-and-home.md").read_text("utf-8")
    assert {name for name in actions(ROOT) if f"<code>{name}</code>" in text} == set()


@pytest.mark.parametrize(
    "path",
    [
        "../secret",
        "decisions/../../secret",
        "/etc/passwd",
        "flow.md",
        "",
        ".",
        "note",
        "flow/",
        "FLOW",
        "\x00",
        "x" * 10_000,
    ],
)
def test_page_when_the_path_leads_elsewhere_is_none(docs: Path, path: str) -> None:
    """Only a page of the docs is ever opened; the page beside the secret is."""
    assert (docs.parent / "secret.md").exists()
    assert queries.page("decisions/0001-x", root="/help/") is not None
    assert queries.page(path, root="/help/") is None


def test_refusals_when_read_are_sorted_by_code_within_their_room(docs: Path) -> None:
    """Each code with its words in markup, links included."""
    (group,) = queries.refusals(root="/help/")
    assert group.title == "Stock"
    assert [refusal.code for refusal in group.refusals] == ["stock.held", "stock.short"]
    assert 'href="/help/flow/"' in group.refusals[0].html


def test_rules_when_read_hold_what_a_docstring_says() -> None:
    """Formula, source and the rest of one rule known by heart, whatever else is computed."""
    rooms = {room.name: room for room in queries.rules()}
    rules = {rule.name: rule for rule in rooms["codes"].rules}
    parts = dict(rules["check_character"].parts)
    assert parts["Formula"].startswith("c = 0; for each character of value v: c = (2c + v) mod 37")
    assert parts["Source"].startswith("ISO/IEC 7064:2003")
    assert rules["check_character"].does == "Return the check character over `text`."
    assert not any(rule.name.startswith("_") for room in rooms.values() for rule in room.rules)


def test_rule_when_a_docstring_has_no_label_is_its_text_alone() -> None:
    """Labels in another order come out in the one order; a label within a line is text."""
    assert queries._rule("x", "Does it.\n\nNote: Units: are not here.").parts == ()
    rule = queries._rule("x", "Does it.\n\nSource: a book\n    of two lines.\nFormula: a = b")
    assert rule == Rule("x", "Does it.", (("Formula", "a = b"), ("Source", "a book of two lines.")))
