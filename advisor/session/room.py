"""What of a question fits on one screen: which cautions in full, and which part of it if it is too long for one.

A screen is taken to have 24 lines at 80 columns or 30 at 60, a few of which hold what was typed before. A question is
never cut: one that is too long is shown in parts, what can hurt, what to do, and the answers, one after the other.
"""

import textwrap
from collections.abc import Collection, Sequence
from functools import lru_cache

import msgspec

from advisor.session.next_question import CHECK, HOLDS, REPAIR, Question

SIZES = ((80, 20), (60, 26))  # columns, and lines for one question with its prompt
DO_NOT_RIDE = "Do not ride on. Leave it where it stands, or have it carried."
WHOLE, CARE, DOING, ANSWERS = "whole", "care", "doing", "answers"  # what is shown of a question
BELOW = "below"  # doing and answers
MARK, NUMBER, WORD = 4, 5, 7  # columns before a text that has a mark, a number or a word in front
MOST_TEXTS = 4096  # whose lines are kept: a question is fitted several times
AROUND = 4  # lines: a blank one above, what else may be typed (two at most), and the prompt


Blocks = Sequence["Block"]


class Block(msgspec.Struct, frozen=True):
    """Texts below each other, each with so many columns before it."""

    before: int
    texts: tuple[str, ...]

    def lines(self, columns: int) -> int:
        """Return how many lines it takes on a screen of this width."""
        return sum(lines(text, columns - self.before) for text in self.texts)


@lru_cache(MOST_TEXTS)
def lines(text: str, columns: int) -> int:
    """Return how many lines a text takes, broken at its blanks."""
    return len(textwrap.wrap(text, max(columns, 20), break_on_hyphens=False)) or 1


def in_short(caution: str) -> str:
    """Return a caution's first sentence, for who has seen all of it, or has no room for more."""
    first, _, rest = caution.partition(". ")
    return f"{first}." if rest else caution


def at_the_bike(asked: Question) -> tuple[list[Block], list[Block]]:
    """Return what a question says to do, and its answers, as they stand on a mechanic's screen."""
    price = [f"{asked.minutes:g} min"] if asked.minutes else []
    price += [f"engine {asked.engine}"] if asked.engine != "any" else []
    title = Block(0, (f"{asked.title} ({', '.join(price)})",))
    need = [Block(WORD, (", ".join(asked.tools),))] if asked.tools else []
    why = [Block(WORD, ("why",))] if asked.because else []
    drawn = [Block(2, (asked.drawn,))] if asked.drawn else []
    return [title, *drawn, Block(MARK, asked.steps), *need, *why], _answers(asked, title)


def on_the_phone(asked: Question, aloud: str, explained: Sequence[str] = ()) -> tuple[list[Block], list[Block]]:
    """Return what to say to a rider, with the words explained to him, and his answers, as they stand on a screen."""
    say = Block(2, (f"“{aloud}”",)) if aloud else Block(0, (asked.title,))
    ends = aloud and asked.kind not in {CHECK, REPAIR, HOLDS}
    how = Block(WORD, (" ".join(asked.steps),)) if aloud and not ends else Block(MARK, asked.steps)
    words = [Block(WORD, tuple(f"“{one}”" for one in explained))] if explained else []
    title = [Block(0, (asked.title,))] if ends else []
    return [Block(0, ("SAY",)), say, *words, *title, how], _answers(asked, Block(0, ("THE ANSWER IS LIKE",)))


def _answers(asked: Question, title: Block) -> list[Block]:
    return [title, Block(NUMBER, tuple(one.says for one in asked.options))] if asked.options else []


class Parts(msgspec.Struct, frozen=True):
    """What of a question is shown one after the other, and the cautions that are given in full with it."""

    names: tuple[str, ...]
    full: frozenset[str]


def above(*, dangers: bool, rides: bool, phone: bool) -> list[Block]:
    """Return what stands with the cautions: their headings, and on the phone that he must not ride."""
    if not phone:
        return [Block(0, ("TAKE CARE",))] if dangers else []
    return [Block(0, ("SAY FIRST",))] if rides else [Block(0, ("STOP", "SAY FIRST")), Block(MARK, (DO_NOT_RIDE,))]


def parts(
    dangers: Sequence[str],
    cautions: Sequence[str],
    heard: Collection[str],
    *,
    care: Blocks,
    doing: Blocks,
    answers: Blocks,
) -> Parts:
    """Return the fewest parts that fit: with cautions in full that were not heard yet, as far as there is room.

    For the dangers of the bike as it is room is made; those of the step are shortened first.
    """
    least = [one if one in dangers and one not in heard else in_short(one) for one in (*dangers, *cautions)]
    short = [*care, Block(MARK, tuple(least))]
    cautions = (*dangers, *cautions)
    last = (ANSWERS,) if answers else ()
    layouts: tuple[tuple[tuple[str, ...], Blocks], ...] = (
        ((WHOLE,), (*doing, *answers)),
        ((DOING, *last), doing),
        ((CARE, BELOW) if _fit([*doing, *answers]) else (CARE, DOING, *last), doing[:1]),
    )
    names, below = next((one for one in layouts if _fit([*short, *one[1]])), layouts[-1])
    return Parts(names, _in_full(cautions, heard, [*care, *below]))


def listed(cautions: Sequence[str], items: Sequence[str]) -> tuple[int, frozenset[str]]:
    """Return how many items of a list to choose from fit on a screen, and the cautions in full above them."""
    care = [Block(0, ("TAKE CARE", ""))] if cautions else []
    many = len(items)
    while many > 1 and not _fit([*care, Block(MARK, tuple(map(in_short, cautions))), *_list(items[:many])]):
        many -= 1
    return many, _in_full(cautions, (), [*care, *_list(items[:many])])


def _list(items: Sequence[str]) -> Blocks:
    return Block(0, ("heading",)), Block(NUMBER, tuple(items))


def _fit(blocks: Blocks) -> bool:
    return all(AROUND + sum(one.lines(columns) for one in blocks) <= most for columns, most in SIZES)


def _in_full(cautions: Sequence[str], heard: Collection[str], below: Blocks) -> frozenset[str]:
    full: set[str] = set()
    for fresh in cautions:
        says = tuple(one if one in full or one == fresh else in_short(one) for one in cautions)
        if fresh not in heard and _fit([Block(MARK, says), *below]):
            full.add(fresh)
    return frozenset(full)
