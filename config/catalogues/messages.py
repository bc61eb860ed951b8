"""Every message for people in a piece of Python or a template, as gettext will look it up."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.template import engines
from django.templatetags.i18n import BlockTranslateNode, TranslateNode

ONE = {"_", "gettext", "gettext_lazy", "gettext_noop"}
COUNTED = {"ngettext", "ngettext_lazy"}


@dataclass(frozen=True)
class Message:
    """A text, with its plural where it counts something."""

    text: str
    plural: str = ""


def messages_in(source: str, *, is_template: bool) -> Iterator[Message]:
    """Those of one file, in its order."""
    return _in_template(source) if is_template else _in_python(source)


def _in_python(source: str) -> Iterator[Message]:
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    for call in sorted(calls, key=lambda each: (each.lineno, each.col_offset)):
        name = call.func.id if isinstance(call.func, ast.Name) else ""
        wanted = 1 if name in ONE else 2 if name in COUNTED else 0
        texts = [each.value for each in call.args[:wanted] if isinstance(each, ast.Constant)]
        if wanted and len(texts) == wanted:
            yield Message(*map(str, texts))


def _in_template(source: str) -> Iterator[Message]:
    nodes = engines["django"].from_string(source).template.nodelist
    for told in nodes.get_nodes_by_type((TranslateNode, BlockTranslateNode)):
        yield _of_block(told) if isinstance(told, BlockTranslateNode) else _of_line(told)


def _of_line(node: Any) -> Message:
    # looked up with its percent signs doubled, as Django does it
    return Message(str(node.filter_expression.var.literal).replace("%", "%%"))


def _of_block(node: Any) -> Message:
    texts = [node.render_token_list(tokens)[0] for tokens in (node.singular, node.plural) if tokens]
    return Message(*texts)
