"""The one error family: the user's input cannot be used. It holds every mistake at once.

AdvisorError            a mistake in the input; the command line prints it and exits with 1
  RulesError            the rule base has mistakes
  CaseError             a case file has mistakes
  ChainError            the rule engine refused or lost a case
"""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import msgspec

from advisor.lazy import lazy

if TYPE_CHECKING:
    import rapidfuzz
else:
    rapidfuzz = lazy("rapidfuzz")  # only a mistake pays for this import


MOST_TEXT, MOST_QUOTED = 2000, 80  # characters of a message, and of a text that one quotes


class Problem(msgspec.Struct, frozen=True, order=True):
    """One mistake: where it is, and one sentence on what is wrong and what would be right.

    `typed` is what to type then, where lines are typed: a page shows its own buttons instead.
    """

    file: str
    line: int
    text: str
    typed: str = ""

    @property
    def whole(self) -> str:
        """The sentence, with what to type then."""
        return with_typed(self.text, self.typed)

    def __str__(self) -> str:
        """`file:line: text`, or `file: text` when it belongs to no line; the middle of an endless text is left out."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        text = self.whole
        if len(text) > MOST_TEXT:  # it quotes what was written, and ends with what would be right
            text = f"{text[: MOST_TEXT // 2]} ... {text[-MOST_TEXT // 2 :]}"
        return f"{place}: {text}" if place else text


class AdvisorError(Exception):
    """The input cannot be used; `problems` holds every mistake found."""

    def __init__(self, problems: Iterable[Problem] | str, typed: str = "") -> None:
        """Take all mistakes, or one sentence when no file is at fault, and what to type then where lines are typed."""
        found = (Problem("", 0, problems, typed),) if isinstance(problems, str) else tuple(problems)
        self.problems: tuple[Problem, ...] = found
        super().__init__("\n".join(str(problem) for problem in found))


class RulesError(AdvisorError):
    """The rule base has mistakes."""


class CaseError(AdvisorError):
    """A case file has mistakes."""


class ChainError(AdvisorError):
    """The rule engine refused the rules, or lost a case."""


def with_typed(says: str, typed: str) -> str:
    """Return what is wrong with what to type then, as one sentence where it can be.

    >>> with_typed("there is no 9", "'list' shows them"), with_typed("On which side?", "write left or right")
    ("there is no 9; 'list' shows them", 'On which side? Write left or right')
    """
    if not typed:
        return says
    return f"{says} {typed[:1].upper()}{typed[1:]}" if says.endswith(("?", ".")) else f"{says}; {typed}"


def shortened(text: str) -> str:
    """Return a text as a message quotes it: whole, or its beginning if it is too long to be read."""
    return text if len(text) <= MOST_QUOTED else f"{text[:MOST_QUOTED]}..."


def nearest(word: str, known: Iterable[str]) -> str:
    """Return ` (did you mean 'x'?)` for the closest known word, or nothing when none is close."""
    names: Sequence[str] = sorted(set(known))
    best = rapidfuzz.process.extractOne(word, names, scorer=rapidfuzz.fuzz.WRatio, score_cutoff=60)
    return did_you_mean([best[0]] if best else [])


def did_you_mean(names: Sequence[str]) -> str:
    """Return ` (did you mean 'x' or 'y'?)`, or nothing when there are no names."""
    return f" (did you mean {' or '.join(repr(one) for one in names)}?)" if names else ""
