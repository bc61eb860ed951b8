"""The shape of the code: short files that say what they are for, clockless pure packages."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("config", "fleet", "visits", "schedules", "tests")
PURE = (
    "fleet/units.py",
    "fleet/quantities.py",
    "fleet/failure_terms.py",
    "fleet/plates.py",
    "visits/limits",
    "visits/pictures.py",
    "schedules/engine",
)
CLOCK_CALL = re.compile(r"\.(now|utcnow|today)$|^time\.")
LONGEST_FILE = 350


@cache
def list_files() -> tuple[Path, ...]:
    """Every Python file of ours, migrations left out: Django writes those."""
    found = (path for folder in FOLDERS for path in (ROOT / folder).rglob("*.py"))
    return (ROOT / "manage.py", *(path for path in found if "migrations" not in path.parts))


@cache
def parse(path: Path) -> ast.Module:
    """The file as a tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def name(path: Path) -> str:
    """The path as people write it."""
    return path.relative_to(ROOT).as_posix()


def find_clock_calls(path: Path) -> Iterator[str]:
    """Where a clock is read, as file and line."""
    for node in ast.walk(parse(path)):
        if isinstance(node, ast.Call) and CLOCK_CALL.search(ast.unparse(node.func)):
            yield f"{name(path)}:{node.lineno}"


def is_pure(path: Path) -> bool:
    """Whether the file belongs to a package that may know no clock."""
    return any(name(path) == part or name(path).startswith(f"{part}/") for part in PURE)


def test_files_when_measured_then_none_is_too_long() -> None:
    lengths = {name(path): len(path.read_text().splitlines()) for path in list_files()}
    assert {file: count for file, count in lengths.items() if count > LONGEST_FILE} == {}


def test_files_when_opened_then_each_says_what_it_is_for() -> None:
    wordless = [name(path) for path in list_files() if not ast.get_docstring(parse(path))]
    assert wordless == []


def test_pure_packages_when_read_then_no_clock_is_asked() -> None:
    pure = [path for path in list_files() if is_pure(path)]
    assert pure
    assert [place for path in pure for place in find_clock_calls(path)] == []


def test_clock_when_read_in_code_then_found() -> None:
    tree = ast.parse("date.today()\ntime.monotonic()\nvisit.time(3)\nwhen.replace()")
    calls = [ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)]
    assert [bool(CLOCK_CALL.search(call)) for call in calls] == [True, True, False, False]


def test_web_process_when_started_then_heavy_packages_stay_out() -> None:
    code = (
        "import sys, config.wsgi; from django.urls import get_resolver; "
        "get_resolver().url_patterns; print(*sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert {"scipy.stats", "pyvrp"} & set(done.stdout.split()) == set()
