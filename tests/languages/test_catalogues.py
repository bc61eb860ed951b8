"""The Spanish catalogues: nothing missing, doubtful or left over, and compiled as they stand.

The formats are those of the GNU gettext manual (chapters 3 and 10.3); .mo files are read here by
Python's own gettext, which is not what wrote them.
"""

from __future__ import annotations

import gettext
import re
import string
from pathlib import Path

import pytest

from config.catalogues import po
from config.catalogues.messages import Message, messages_in
from config.catalogues.places import PLACES, catalogue_path, said_in

PERCENT = re.compile(r"%\(\w+\)s|%%")
HEDGED = re.compile(r"\b((?<!nobody )may|perhaps|possibl[ey]|likely|probably)\b", re.IGNORECASE)
HEDGED_IN_SPANISH = re.compile(r"pued|pod[er]|quizá|posibl|probabl", re.IGNORECASE)
places = pytest.mark.parametrize("place", PLACES, ids=" ".join)
REMEDY = "run manage.py catalogues, then translate what it lists"


def entries(place: tuple[str, str]) -> list[po.Entry]:
    path = catalogue_path(*place).with_suffix(".po")
    return po.read(path.read_text("utf-8")) if path.exists() else []


@places
def test_catalogue_then_holds_what_its_files_say_and_no_more(place: tuple[str, str]) -> None:
    assert {each.message for each in entries(place)} == set(said_in(*place)), REMEDY


@places
def test_catalogue_then_everything_is_translated_and_nothing_doubtful(
    place: tuple[str, str],
) -> None:
    assert [each.message.text for each in entries(place) if not each.is_translated] == []


def holes(text: str) -> list[str]:
    """What is filled in: ``{name}`` and ``%(name)s``; for a plain text none."""
    names = [f"{name}:{form}" for _, name, form, _ in string.Formatter().parse(text) if name]
    return sorted({*names, *PERCENT.findall(text)})


@places
def test_translation_then_fills_in_the_same_names(place: tuple[str, str]) -> None:
    wrong = [
        (english, told)
        for each in entries(place)
        for english, told in zip((each.message.text, each.message.plural), each.told, strict=False)
        if holes(english) != holes(told)
    ]
    assert wrong == []


@places
def test_translation_when_the_english_hedges_then_no_more_certain(place: tuple[str, str]) -> None:
    certain = [
        (english, told)
        for each in entries(place)
        for english, told in zip((each.message.text, each.message.plural), each.told, strict=False)
        if HEDGED.search(english) and not HEDGED_IN_SPANISH.search(told)
    ]
    assert certain == []


def test_catalogues_when_two_say_the_same_then_alike_in_spanish() -> None:
    """Django lays them over one another; what differs by place needs a context."""
    told: dict[Message, set[tuple[str, ...]]] = {}
    for place in PLACES:
        for each in entries(place) if place[1] == "django" else ():
            told.setdefault(each.message, set()).add(each.told)
    assert {message.text: texts for message, texts in told.items() if len(texts) > 1} == {}


@places
def test_compiled_catalogue_then_says_what_its_source_says(place: tuple[str, str]) -> None:
    path = catalogue_path(*place).with_suffix(".mo")
    if not entries(place):
        pytest.skip("no file says anything there yet")
    with path.open("rb") as file:
        told = gettext.GNUTranslations(file)
    for each in entries(place):
        message = each.message
        if message.plural:
            counted = [told.ngettext(message.text, message.plural, count) for count in (1, 2)]
            assert tuple(counted) == each.told, REMEDY
        elif message.context:
            assert told.pgettext(message.context, message.text) == each.told[0], REMEDY
        else:
            assert told.gettext(message.text) == each.told[0], REMEDY


@pytest.mark.parametrize(
    ("name", "source", "found"),
    [
        ("a.py", '_("One {a}" "two"); ngettext("x", "xs", 2); _(name)', ["One {a}two", "x"]),
        ("a.html", '{% load i18n %}{% if a %}{% translate "5 %" as b %}{% endif %}'
         "{% blocktranslate count n=a with d=b %}one{% plural %}{{ n }} of {{ d }}"
         "{% endblocktranslate %}", ["5 %%", "one"]),
        ("a.js", 'told = gettext("He said \\"go\\""); pgettext("state", "open")',
         ['He said "go"', "open"]),
    ],
)  # fmt: skip
def test_file_then_its_messages_are_found(
    tmp_path: Path, name: str, source: str, found: list[str]
) -> None:
    (tmp_path / name).write_text(source, "utf-8")
    assert [each.text for each in messages_in(tmp_path / name)] == found


def test_entry_when_written_and_read_then_the_same() -> None:
    rows = [
        po.Entry(Message('a "b"\n', "c"), ("x.py", "y.py"), ("d", "e\\"), is_fuzzy=True),
        po.Entry(Message("open", context="state"), ("x.py",), ("abierto",)),
    ]
    assert po.read(po.written(rows)) == rows
