"""Which stage of the readiness order, or which place of the bike, a number or a word means."""

import re

from advisor.errors import AdvisorError
from advisor.rulebase.model import Rulebase
from advisor.rulebase.search import stems
from advisor.rulebase.table_records import Area
from advisor.virtual_bike.faults import CAUSES

NUMBER, WORD = re.compile(r"^\d{1,9}$"), re.compile(r"[a-z]+")
SHORTEST_BEGINNING = 3  # letters that stand for a whole word


def stage_called(words: str, base: Rulebase) -> int | None:
    """Return the stage (0 first) with this number, or with these words in its title or places; None for none."""
    if NUMBER.match(words):
        return int(words) - 1 if 1 <= int(words) <= len(base.areas) else None
    wanted = set(stems(words))
    return next((at for at, area in enumerate(base.areas) if wanted and wanted <= set(stems(_names(area)))), None)


def stage_meant(words: str, base: Rulebase) -> int | None:
    """Return the stage as `stage_called`, or by the beginnings of words of its title or places; None for none."""
    called = stage_called(words, base)
    begun = words.lower().split()
    if called is not None or not begun:
        return called
    return next((at for at, area in enumerate(base.areas) if all(_begins_in(area, one) for one in begun)), None)


def _names(area: Area) -> str:
    return f"{area.id} {area.title} {' '.join(area.places)}"


def _begins_in(area: Area, begun: str) -> bool:
    known = WORD.findall(_names(area).lower())
    return len(begun) >= SHORTEST_BEGINNING and any(word.startswith(begun) for word in known)


def places_with_faults(base: Rulebase) -> list[str]:
    """Return the places of the bike in which the virtual bike can have a fault."""
    return sorted({base.causes[one].place for one in set(base.causes) & set(CAUSES)})


def place_meant(words: str, base: Rulebase) -> str:
    """Return the place that is meant, by its beginning or by a stage ('' for the whole bike).

    Raises AdvisorError when the virtual bike has no fault in that place.
    """
    said = words.strip().lower()
    places = places_with_faults(base)
    if said in {"", *places}:
        return said
    begun = [one for one in places if len(said) >= SHORTEST_BEGINNING and one.startswith(said)]
    if len(begun) == 1:
        return begun[0]
    stage = stage_meant(said, base)
    if stage is not None:
        area = base.areas[stage]
        found = [one for one in (area.id, *area.places) if one in places]
        if found:
            return found[0]
    msg = (
        f"--area {words}: no fault to practise on lies there; choose one of {', '.join(places)}, "
        "or a word of a stage's title"
    )
    raise AdvisorError(msg)
