"""The help pages name what there is, and only that: commands, settings, actions and refusal codes."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from django.core.management import get_commands

ROOT = Path(__file__).resolve().parents[2]
CODE = re.compile(r"[a-z][a-z_]*\.[a-z][a-z_0-9]*")
DESCRIBED = re.compile(r"^- \*\*([^*]+)\*\* +(\S.*)$", re.MULTILINE)


def text_of(root: Path) -> str:
    """All pages in one text."""
    return "\n".join(file.read_text("utf-8") for file in sorted((root / "inventory/docs").rglob("*.md")))


def modules(root: Path, folder: str) -> Iterator[tuple[Path, ast.Module]]:
    for file in sorted((root / folder).rglob("*.py")):
        yield file, ast.parse(file.read_text("utf-8"))


def commands(root: Path) -> set[str]:
    return {file.stem for file in (root / "inventory/management/commands").glob("[!_]*.py")}


def settings(root: Path) -> set[str]:
    """Names read from the environment."""
    found = set()
    for _, tree in modules(root, "shop"):
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in {"os.environ.get", "os.getenv"}:
                found.add(ast.literal_eval(node.args[0]))
    return found


def actions(root: Path) -> set[str]:
    """What can happen, by topic: the public functions decorated as a happening."""
    return {
        f"{file.stem}.{node.name}"
        for file, tree in modules(root, "inventory/actions")
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        if any(ast.unparse(mark).rpartition(".")[2] == "happening" for mark in node.decorator_list)
    }


def literals(root: Path) -> set[str]:
    """Every text in the code that looks like a code."""
    return {
        node.value
        for _, tree in modules(root, "inventory")
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value)
    }


def given(root: Path) -> Iterator[tuple[str, str]]:
    """Code-like texts handed to a call: the called name and the text."""
    for _, tree in modules(root, "inventory"):
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                name = ast.unparse(node.func).rpartition(".")[2]
                for value in [*node.args, *(keyword.value for keyword in node.keywords)]:
                    text = value.value if isinstance(value, ast.Constant) else None
                    if isinstance(text, str) and CODE.fullmatch(text):
                        yield name, text


def raised(root: Path) -> set[str]:
    """Codes handed to Refused, and codes of the same rooms handed to a helper that refuses with them.

    A `Reason` has a code too; it is no refusal.
    """
    direct = {code for name, code in given(root) if name == "Refused"}
    rooms = {code.partition(".")[0] for code in direct}
    helped = {
        code for name, code in given(root) if "reason" not in name.lower() and code.partition(".")[0] in rooms
    }
    return direct | helped


def described(root: Path) -> list[str]:
    """Codes in the pages of refusals, as often as they stand there."""
    return [
        code
        for file in sorted((root / "inventory/docs/refusals").glob("*.md"))
        for code, _ in DESCRIBED.findall(file.read_text("utf-8"))
    ]


def test_docs_when_a_command_exists_name_it() -> None:
    """Every command of ours stands in the pages as `manage.py NAME`."""
    assert {name for name in commands(ROOT) if f"manage.py {name}" not in text_of(ROOT)} == set()


def test_docs_when_they_name_a_command_it_exists() -> None:
    """Ours or Django's."""
    named = set(re.findall(r"manage\.py ([a-z_]+)", text_of(ROOT)))
    assert named - set(get_commands()) - {"help"} == set()


def test_docs_when_a_setting_exists_name_it() -> None:
    """Everything read from the environment, and at least the two everyone needs."""
    assert {"SHOP_DATA", "DATABASE_URL"} <= settings(ROOT)
    assert {name for name in settings(ROOT) if f"`{name}`" not in text_of(ROOT)} == set()


def test_docs_when_something_can_happen_name_it() -> None:
    """Every action stands in the pages as `topic.function`."""
    assert {name for name in actions(ROOT) if f"`{name}`" not in text_of(ROOT)} == set()


def test_docs_when_they_name_an_action_it_exists() -> None:
    """`topic.function` of a topic that has actions."""
    topics = {file.stem for file in (ROOT / "inventory/actions").glob("[!_]*.py")}
    named = {
        name
        for name in re.findall(r"`([a-z_]+\.[a-z_]+)`", text_of(ROOT))
        if name.partition(".")[0] in topics
    }
    assert named - actions(ROOT) - set(described(ROOT)) == set()


def test_docs_when_a_refusal_exists_describe_it_once() -> None:
    """Every code has one line that says what it means and what to do."""
    counted = Counter(described(ROOT))
    assert raised(ROOT) - set(counted) == set()
    assert [code for code, count in counted.items() if count > 1] == []


def test_docs_when_they_describe_a_refusal_it_exists() -> None:
    """No line for a code that nothing raises."""
    assert set(described(ROOT)) - literals(ROOT) == set()


def test_readme_when_it_leads_somewhere_the_file_exists() -> None:
    """Every link of the two pages at the root, and every file they name in the tree."""
    for page in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / page).read_text("utf-8")
        named = re.findall(r"\]\(([^):#]+)\)", text) + re.findall(
            r"`((?:inventory|tests|shop|compute|models)/[\w/.]*)`", text
        )
        assert named
        for name in named:
            assert (ROOT / name).exists() or (ROOT / "inventory" / name).exists(), f"{page} names {name}"


def test_raised_when_codes_are_in_several_shapes_finds_refusals_only(tmp_path: Path) -> None:
    """Straight, through a helper, and not: a reason, a module's name, a code of another house."""
    (tmp_path / "inventory").mkdir()
    (tmp_path / "inventory" / "x.py").write_text(
        'raise Refused("mix.one", s, w)\nnumber(1, code="mix.two")\ncheck(3, "mix.three")\n'
        'Reason("mix.four", s)\nimport_module("django.conf")\nLOOSE = {"mix.five"}\n'
    )
    assert raised(tmp_path) == {"mix.one", "mix.two", "mix.three"}
    assert "mix.five" in literals(tmp_path)


def test_actions_when_a_function_is_no_happening_leaves_it_out(tmp_path: Path) -> None:
    """A happening is marked as one, by either name; a helper and a private one do not count."""
    (tmp_path / "inventory" / "actions").mkdir(parents=True)
    (tmp_path / "inventory" / "actions" / "stock.py").write_text(
        "@happening\ndef receive(act): ...\n@ledger.happening\ndef move(act): ...\n"
        "@happening\ndef _hidden(act): ...\n@cache\ndef usable(x): ...\n"
    )
    assert actions(tmp_path) == {"stock.receive", "stock.move"}


def test_pictures_of_the_docs_are_there_and_each_is_shown() -> None:
    """README and help name the pictures; none lies about unused, and each says in words what it shows."""
    pages = [ROOT / "README.md", *(ROOT / "inventory" / "docs").rglob("*.md")]
    shown = [found for page in pages for found in re.findall(r"!\[(.*?)\]\((\S+)\)", page.read_text("utf-8"))]
    kept = {file.name for file in (ROOT / "inventory/static/inventory/pictures").glob("*.png")}
    assert {Path(address).name for _, address in shown} == kept
    assert all(len(words) > 10 for words, _ in shown)
