"""Refusals by pure modules, which know no language: whoever shows one says in which it is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping


def N_(message: str) -> str:  # noqa: N802  # what gettext's manual calls it
    """Marks a sentence for the catalogues; it is looked up when it is told."""
    return message


class ToldError(ValueError):
    """What is wrong and what to do: sentences with places for ``values``; its text is English."""

    def __init__(
        self, problem: str, remedy: str, values: Mapping[str, object] | None = None
    ) -> None:
        self._told, self._values = (problem, remedy), dict(values or {})
        super().__init__("; ".join(self.told_by(str)))

    def told_by(self, translate: Callable[[str], str]) -> tuple[str, str]:
        """Problem and remedy in the language that ``translate`` speaks."""
        problem, remedy = (translate(text) % self._values for text in self._told)
        return problem, remedy
