"""Every message for people in a file of the code, as gettext will look it up."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.template import Template
from django.templatetags.i18n import BlockTranslateNode, TranslateNode

ASKS = {
    "_": ("text",),
    "N_": ("text",),
    "gettext": ("text",),
    "gettext_lazy": ("text",),
    "ngettext": ("text", "plural"),
    "ngettext_lazy": ("text", "plural"),
    "pgettext": ("context", "text"),
    "pgettext_lazy": ("context", "text"),
}
"""Functions that ask for a message, and what of it each tells first."""
_LITERAL = r'"(?:[^"\\]|\\.)*"'
_CALL = re.compile(rf"\b([np]?gettext)\(\s*({_LITERAL})(?:\s*,\s*({_LITERAL}))?")


@dataclass(frozen=True)
class Message:
    """A text, with its plural where it counts something; ``context`` tells it from its like."""

    text: str
    plural: str = ""
    context: str = ""


def messages_in(path: Path) -> Iterator[Message]:
    """Those of one file, in its order: Python, a script of the browser's, else a template."""
    source = path.read_text("utf-8")
    match path.suffix:
        case ".py":
            return _in_python(source)
        case ".js":
            return _in_script(source)
        case _template:
            return _in_template(source)


def _in_python(source: str) -> Iterator[Message]:
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    for call in sorted(calls, key=lambda each: (each.lineno, each.col_offset)):
        told = ASKS.get(call.func.id, ()) if isinstance(call.func, ast.Name) else ()
        texts = [each.value for each in call.args[: len(told)] if isinstance(each, ast.Constant)]
        if told and len(texts) == len(told):
            yield Message(**dict(zip(told, map(str, texts), strict=True)))


def _in_script(source: str) -> Iterator[Message]:
    """Literals stand in double quotes there, whole, as JSON reads them too."""
    for call in _CALL.finditer(source):
        told = ASKS[call[1]]
        texts = [json.loads(text) for text in call.groups()[1 : 1 + len(told)]]
        yield Message(**dict(zip(told, texts, strict=True)))


def _in_template(source: str) -> Iterator[Message]:
    nodes: Any = Template(source).nodelist
    for told in nodes.get_nodes_by_type((TranslateNode, BlockTranslateNode)):
        yield _of_block(told) if isinstance(told, BlockTranslateNode) else _of_line(told)


def _of_line(node: Any) -> Message:
    # looked up with its percent signs doubled, as Django does it
    return Message(str(node.filter_expression.var.literal).replace("%", "%%"))


def _of_block(node: Any) -> Message:
    texts = [node.render_token_list(tokens)[0] for tokens in (node.singular, node.plural) if tokens]
    return Message(*texts)
