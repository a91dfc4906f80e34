"""Which of the ranked causes somebody means by a name or by plain words."""

from collections.abc import Sequence

from advisor.errors import AdvisorError, nearest
from advisor.report import RankedCause
from advisor.rulebase.search import stems
from advisor.session.hearing import Hearing
from advisor.sides import BOTH, named


def cause_called(words: str, causes: Sequence[RankedCause], hearing: Hearing) -> RankedCause:
    """Return the cause of this name or title, else the one that the words mean. Raises AdvisorError.

    `causes` stand likeliest first. Of several the likeliest is taken, on the side that is said if the cause has sides.
    """
    plain = words.lower().strip()
    called = [
        {named(one.id, one.side): one for one in causes},
        {one.title.lower(): one for one in causes},
        {one.id: one for one in reversed(causes)},
    ]
    for names in called:
        if plain in names:
            return names[plain]
    return _by_words(plain.split(), causes, hearing)


def _by_words(words: list[str], causes: Sequence[RankedCause], hearing: Hearing) -> RankedCause:
    sides, plain = {one for one in words if one in BOTH}, " ".join(one for one in words if one not in BOTH)
    wanted = set(stems(plain))
    found = [one for one in causes if wanted and wanted <= set(stems(f"{one.title} {one.id}"))]
    if not found:
        pages = hearing.index.search(plain, ["cause"])
        found = [one for one in causes if pages and one.id == pages[0].id]
    if not found:
        said = " ".join(words)
        msg = f"no cause is called '{said}'{nearest(said, [named(one.id, one.side) for one in causes])}"
        raise AdvisorError(msg)
    return next((one for one in found if one.side in sides), found[0])
