"""Which of two answers a rider's plain 'yes' or 'no' is: the one that says what he was asked, or the other."""

import re
from collections.abc import Sequence

from advisor.rulebase.wording import NOT, SIDES, WELL, spoken_words, telling
from advisor.session.next_question import Option

YES = frozenset(["yes", "y", "yeah", "yep", "aye", "it does", "it is", "it did", "they do", "they are", "it has"])
NO = frozenset(
    ["no", "n", "nope", "it does not", "it doesn't", "it is not", "it isn't", "it did not", "it didn't", "they don't"]
)
SENTENCE = re.compile(r"(?<=[.:?])\s+")
OPEN = re.compile(r"^(?:what|how|where|when|which|who|why)\b", re.IGNORECASE)  # neither yes nor no answers it
PAIR = 2


def meant_by(line: str, asked: str, options: Sequence[Option]) -> Option | None:
    """Return the answer that a line says by yes or no; None if it says neither, or if it could be either answer.

    `asked` is what was read aloud. Its question says one of the two answers: with more of its words than the other, or
    with as many where the other denies it.
    """
    low = line.lower().strip(" .!,")
    if low not in YES | NO or len(options) != PAIR:
        return None
    question = SENTENCE.split(asked)[-1]
    if OPEN.match(question):
        return None
    said = _words(question)
    one, two = (len(said & _words(each.says)) for each in options)
    denies = [NOT in telling(spoken_words(each.says)) for each in options]
    if denies[0] == denies[1]:
        yes = None if min(one, two) else 0 if one else 1 if two else None
    else:
        plain = denies.index(False)
        yes = plain if (one, two)[plain] >= max(1, (one, two)[1 - plain]) else None
    return None if yes is None else options[yes if low in YES else 1 - yes]


def _words(text: str) -> frozenset[str]:
    return frozenset(telling(spoken_words(text))) - {NOT, WELL, *SIDES}
