"""Refusals by pure modules, which know no language: whoever shows one says in which it is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field


def N_(message: str) -> str:  # noqa: N802  # what gettext's manual calls it
    """Marks a sentence for the catalogues; it is looked up when it is told."""
    return message


@dataclass(frozen=True, slots=True)
class Said:
    """What is wrong and what to do: sentences with places for ``values``; as a text, English."""

    problem: str
    remedy: str
    values: Mapping[str, object] = field(default_factory=dict)

    def told_by(self, translate: Callable[[str], str]) -> tuple[str, str]:
        """Problem and remedy in the language that ``translate`` speaks."""
        problem, remedy = (translate(text) % self.values for text in (self.problem, self.remedy))
        return problem, remedy

    def __str__(self) -> str:
        return "; ".join(self.told_by(str))


class ToldError(ValueError):
    """A refusal that can be told in another language than its text."""

    def __init__(
        self, problem: str, remedy: str, values: Mapping[str, object] | None = None
    ) -> None:
        self.said = Said(problem, remedy, dict(values or {}))
        super().__init__(str(self.said))

    def told_by(self, translate: Callable[[str], str]) -> tuple[str, str]:
        """Problem and remedy in the language that ``translate`` speaks."""
        return self.said.told_by(translate)
