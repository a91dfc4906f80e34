"""What a page says in the place of what is typed: it has buttons and fields, and no prompt.

A mistake has what to type apart (`typed`), and a page leaves that out. What stands in a step of a question is said
otherwise here, by its whole wording.
"""

from advisor.errors import AdvisorError
from advisor.session.next_question import IF_NOT, LATER, NOT_NOW

PRESSED = {
    NOT_NOW: "If none of it can be told now, press 'Cannot be told now'. Nothing is lost.",
    IF_NOT: "If something is not as it should be, say it below as something else.",
    LATER: "It is kept. Leave it for now; once it was ridden, come back to this page and answer.",
}


def pressed(text: str) -> str:
    """Return a text as a page says it."""
    return PRESSED.get(text, text)


def said(error: AdvisorError) -> str:
    """Return what is wrong, without what to type then."""
    return " ".join(problem.text for problem in error.problems)
