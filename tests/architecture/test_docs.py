"""The documents name what the code has: variables, commands, folders, files; links lead on."""

import ast
import re
import tomllib
from pathlib import Path

import pytest
from django.core.management import get_commands

OUR_APPS = ("config", "fleet", "visits", "schedules")
READERS = re.compile(r"(read|require)_[a-z]+")
LOCKS = ("run.txt", "hosts.txt", "test.txt", "lint.txt")
ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = ("README.md", "DEVELOPERS.md", *(
    str(path.relative_to(ROOT)) for app in OUR_APPS for path in sorted((ROOT / app).rglob("*.md"))
))  # fmt: skip
LONGEST_PAGE = 60_000
"""Bytes; our choice, for what is longer is not read: a theme moves beside its code."""
LINK = re.compile(r"\]\((?!https?:)([^)#]*)(?:#([^)]+))?\)")
NAMED_FILE = re.compile(r"`([\w.-]+(?:/[\w.-]+)*(?:\.(?:py|js|css|toml|html|csv|jsonl|md)|/))`")


@pytest.fixture(scope="module")
def developers(root: Path) -> str:
    """DEVELOPERS.md."""
    return (root / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def path_ends(root: Path) -> set[str]:
    """Whatever a file or folder of ours may be called: its path from any of its folders on."""
    folders = (*OUR_APPS, "tests", "fixtures")
    found = (path for folder in folders for path in (root / folder).rglob("*"))
    paths = ((path.relative_to(root), path.is_dir()) for path in (*root.iterdir(), *found))
    there = {f"/{path}{'/' * is_folder}" for path, is_folder in paths}
    return {path[at:] for path in there for at, sign in enumerate(path) if sign == "/"}


def find_variables(settings_file: Path) -> set[str]:
    """Names of the environment variables that a settings file reads."""
    return {
        node.args[0].value
        for node in ast.walk(ast.parse(settings_file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and READERS.fullmatch(node.func.id)
        and isinstance(node.args[0], ast.Constant)
    }


def test_developers_when_settings_read_a_variable_then_it_is_named(
    root: Path, developers: str
) -> None:
    variables = find_variables(root / "config" / "settings.py")
    assert "DATABASE_URL" in variables
    assert {name for name in variables if f"`{name}`" not in developers} == set()


def test_developers_when_a_command_exists_then_it_is_named(developers: str) -> None:
    ours = {name for name, app in get_commands().items() if app in OUR_APPS}
    assert {name for name in ours if f"`{name}`" not in developers} == set()


def test_developers_when_a_top_folder_exists_then_it_is_named(root: Path, developers: str) -> None:
    folders = {path.parent.name for path in root.glob("*/*") if path.parent.name[0] not in "._"}
    assert {name for name in folders if f"{name}/" not in developers} == set()


def headings(document: Path) -> set[str]:
    """Anchors of a document's headings, as GitHub makes them."""
    text = re.sub(r"^```.*?^```$", "", document.read_text("utf-8"), flags=re.DOTALL | re.MULTILINE)
    titles = re.findall(r"^#+ (.+)$", text, re.MULTILINE)
    return {re.sub(r"[^\w -]", "", title).strip().lower().replace(" ", "-") for title in titles}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_document_when_it_grows_then_it_stays_readable(root: Path, name: str) -> None:
    assert (root / name).stat().st_size <= LONGEST_PAGE


@pytest.mark.parametrize("name", DOCUMENTS)
def test_document_when_it_links_then_file_and_heading_are_there(root: Path, name: str) -> None:
    here = root / name
    links = [
        ((here.parent / file if file else here), anchor)
        for file, anchor in LINK.findall(here.read_text(encoding="utf-8"))
    ]
    assert [
        (str(file), anchor)
        for file, anchor in links
        if not file.is_file() or (anchor and anchor not in headings(file))
    ] == []


@pytest.mark.parametrize("name", DOCUMENTS)
def test_document_when_it_names_a_file_or_folder_then_one_ends_so(
    root: Path, path_ends: set[str], name: str
) -> None:
    named = NAMED_FILE.findall((root / name).read_text(encoding="utf-8"))
    assert {each for each in named if f"/{each}" not in path_ends} == set()


def test_readme_when_starting_then_two_blocks_of_one_line(root: Path) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    start = re.search(r"^## Start\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    assert start
    blocks = re.findall(r"^```\w*\n(.*?)^```$", start[1], re.MULTILINE | re.DOTALL)
    assert [len(block.splitlines()) for block in blocks] == [1, 1]


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_when_read_then_every_pin_has_a_hash_and_no_address(root: Path, lock: str) -> None:
    text = (root / "config" / "lock" / lock).read_text(encoding="utf-8")
    pins = re.split(r"\n(?=\S)", text.strip())
    assert [pin for pin in pins if "--hash=sha256:" not in pin or "://" in pin] == []


def test_lock_when_compared_with_the_project_then_each_dependency_is_pinned(root: Path) -> None:
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    asked = project["dependencies"] + extras["hosts"] + extras["test"] + extras["lint"]
    pinned = re.findall(r"^([\w.-]+)==", (root / "config/lock/lint.txt").read_text(), re.MULTILINE)
    assert {re.match(r"[\w.-]+", line)[0] for line in asked} - set(pinned) == set()
