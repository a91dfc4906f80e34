"""Checks the rule base as a whole: nothing unused, nothing unreachable, no two causes that no check tells apart."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from itertools import combinations
from pathlib import Path

from advisor.errors import Problem, nearest
from advisor.rulebase import advised, contradicting, phrased_twice
from advisor.rulebase.aloud import aloud, unspoken
from advisor.rulebase.model import Cause, Check, PartIs, ReadingIs, Rulebase, Sign, SignIs
from advisor.rulebase.page_record import Record
from advisor.rulebase.source import FELT
from advisor.sides import Side, Sided, named, other, sides_of

SETTLES_FROM = 0.7  # a deciding check must show its cause at least this often
TOLD_APART_BY = 0.3  # two causes differ on a sign when its chances are this far apart


def problems(base: Rulebase) -> list[Problem]:
    """Return every problem that only shows across pages."""
    found = [
        *_unread(base),
        *_undrawn(base),
        *_unreachable(base),
        *_placeholders(base),
        *_kinds(base),
        *_never_with(base),
        *_places(base),
        *_deciding(base),
        *_opened(base),
        *_asked_of_riders(base),
        *_on_the_phone(base),
        *unspoken(base),
        *_on_both_sides(base),
        *_results(base),
        *_not_told_apart(base),
        *advised.problems(base),
        *contradicting.problems(base),
        *phrased_twice.problems(base),
    ]
    return sorted(set(found))


def _note(record: Record, text: str) -> Problem:
    return Problem(record.file, record.line, text)


def conditions(base: Rulebase) -> Iterator[SignIs | ReadingIs | PartIs]:
    """Yield every condition of every rule and check."""
    for rule in base.rules.values():
        yield from rule.when
        yield from rule.unless
    for check in base.checks.values():
        yield from check.needs
        yield from check.unless


def _unread(base: Rulebase) -> Iterator[Problem]:
    """Find what is in the pages but is never used."""
    asked = list(conditions(base))
    linked = {link.sign for cause in base.causes.values() for link in cause.links}
    vague = {sign.kind_of for sign in base.signs.values()}
    ordered = {sign for area in base.areas for item in area.items for sign in item.wrong}
    added = {name for reading in base.readings.values() for name in (*reading.adds, reading.zeroed_by)}
    cautions = [name for check in base.checks.values() for name in check.cautions]
    cautions += [name for cause in base.causes.values() for name in cause.cautions]
    cautions += [name for rule in base.rules.values() for name in rule.warns]
    everything: tuple[tuple[str, Mapping[str, Record], set[str]], ...] = (
        ("sign", base.signs, {one.sign for one in asked if isinstance(one, SignIs)} | {*linked, *ordered, *vague}),
        ("reading", base.readings, {one.reading for one in asked if isinstance(one, ReadingIs)} | added),
        ("limit", base.limits, {one.limit for one in asked if isinstance(one, ReadingIs)}),
        ("part", base.parts, {one.part for one in asked if isinstance(one, PartIs)}),
        ("figure of the bike", base.figures, {limit.figure for limit in base.limits.values()}),
        ("cover", base.covers, {check.opens for check in base.checks.values()}),
        ("tool", base.tools, {tool for check in base.checks.values() for tool in check.tools}),
        ("caution", base.cautions, set(cautions)),
    )
    for kind, records, used in everything:
        for name, record in records.items():
            if name not in used:
                yield _note(record, f"no rule, cause or check uses the {kind} '{name}'")


def _undrawn(base: Rulebase) -> Iterator[Problem]:
    """Find drawings that no check uses, and sheets and states that no drawing shows.

    Only in the uppermost folder: a check that replaces another need not show that one's picture.
    """
    top = {Path(folder) for folder in base.folders[-1:]}
    used = {check.drawing for check in base.checks.values()}
    shown = {(one.sheet, one.state) for one in base.drawings.values()}
    for drawing in (one for one in base.drawings.values() if top & {*Path(one.file).parents}):
        if drawing.id not in used:
            yield _note(drawing, f"no check uses the drawing '{drawing.id}'")
    for sheet in (one for one in base.sheets.values() if top & {*Path(one.file).parents}):
        for state in (one for one in sheet.states or ("",) if (sheet.id, one) not in shown):
            yield _note(sheet, f"no drawing shows the sheet '{sheet.id}'{state and f' in the state {state!r}'}")


def _unreachable(base: Rulebase) -> Iterator[Problem]:
    """Find what can never become known."""
    shown = {one.sign for check in base.checks.values() for outcome in check.outcomes for one in outcome.shows}
    for sign in base.signs.values():
        if sign.id not in shown:
            yield _note(sign, f"no check reveals the sign '{sign.id}'")
    for area in base.areas:
        for item in area.items:
            told = {one.sign for outcome in base.checks[item.check].outcomes for one in outcome.shows}
            if not told & set(item.wrong):
                yield _note(item, f"'{item.id}' in the order: '{item.check}' shows none of its signs")
    taken = {reading for check in base.checks.values() for reading in check.takes}
    for reading in base.readings.values():
        if reading.id not in taken:
            yield _note(reading, f"no check takes the reading '{reading.id}'")


def _placeholders(base: Rulebase) -> Iterator[Problem]:
    """Find sides named where there are none, or not named where there are."""
    sided: list[tuple[Record, str, bool]] = [(sign, sign.title, sign.sided) for sign in base.signs.values()]
    sided += [(cause, cause.title, cause.sided) for cause in base.causes.values()]
    sided += [(check, check.title, check.sided) for check in base.checks.values()]
    for page, title, has_sides in sided:
        if ("{side}" in title) != has_sides:
            wanted = "exists on each side; its title must say {side}" if has_sides else "has no side; {side} must go"
            yield _note(page, f"'{page.id}' {wanted}")


def _kinds(base: Rulebase) -> Iterator[Problem]:
    """Find signs that are a kind of an unknown sign, of themselves, or of a sided sign when they have no side."""
    for sign in base.signs.values():
        if not sign.kind_of:
            continue
        vaguer = base.signs.get(sign.kind_of)
        if vaguer is None:
            yield _note(
                sign,
                f"'{sign.id}' is a kind of '{sign.kind_of}', which is not a sign{nearest(sign.kind_of, base.signs)}",
            )
        elif vaguer.sided and not sign.sided:
            yield _note(sign, f"'{sign.id}' has no side, so it cannot be a kind of '{vaguer.id}', which has")
        else:
            name, met = sign.kind_of, {sign.id}
            while name in base.signs and name not in met:
                met.add(name)
                name = base.signs[name].kind_of
            if name in met:
                yield _note(sign, f"'{sign.id}' is a kind of itself: {' -> '.join([*met, name])}")


def _never_with(base: Rulebase) -> Iterator[Problem]:
    """Find signs that never go with or without an unknown sign, themselves, or one that is sided differently."""
    for sign in base.signs.values():
        sided = sign.sided
        alike, none, not_more = {sided}, {False} if sided else set[bool](), {False, sided}
        yield from _set_against(sign, "with", sign.never_with, alike, base)
        yield from _set_against(sign, "with", sign.other_side_never_with, {True} if sided else set(), base)
        yield from _set_against(sign, "without", sign.never_without, not_more, base)
        yield from _set_against(sign, "without", sign.both_never_without, none, base)


def _set_against(
    sign: Sign, how: str, names: Sequence[str], sided: AbstractSet[bool], base: Rulebase
) -> Iterator[Problem]:
    """Find the names that are no signs, this sign itself, or signs that are on a side where they must not be."""
    for name in names:
        twin = base.signs.get(name)
        if twin is None:
            yield _note(sign, f"'{sign.id}' never goes {how} '{name}', which is not a sign{nearest(name, base.signs)}")
        elif twin.sided not in sided or (twin is sign and name not in sign.other_side_never_with):
            yield _note(sign, f"'{sign.id}' cannot be set against '{name}': it takes another sign, sided alike")


def _places(base: Rulebase) -> Iterator[Problem]:
    known = [place for area in base.areas for place in area.places]
    placed: list[tuple[Record, str]] = [(cause, cause.place) for cause in base.causes.values()]
    placed += [(check, check.place) for check in base.checks.values()]
    for page, place in placed:
        if place == FELT and isinstance(page, Check):
            yield _note(
                page, f"'{page.id}': a check in {FELT}/ tells its stage: add 'place:', one of: {', '.join(known)}"
            )
        elif place not in known:
            yield _note(page, f"'{page.id}': '{place}' is not a place; one of: {', '.join(known)}")


def _deciding(base: Rulebase) -> Iterator[Problem]:
    """Find causes that their deciding check does not settle."""
    for cause in base.causes.values():
        shown = {one.sign for outcome in base.checks[cause.settled_by].outcomes for one in outcome.shows}
        best = max((base.words.shows[link.shows] for link in cause.links if link.sign in shown), default=0.0)
        if best < SETTLES_FROM:
            yield _note(
                cause,
                f"'{cause.id}' is settled by '{cause.settled_by}', which shows none of its signs at least usually",
            )
        if len({link.sign for link in cause.links}) < 2:  # noqa: PLR2004 - one sign alone cannot be checked against another
            yield _note(cause, f"'{cause.id}' can only be reached by one sign")


def _on_both_sides(base: Rulebase) -> Iterator[Problem]:
    """Find causes whose chances, on both sides together, of a sign that compares the sides add up to too much."""
    for cause in base.causes.values():
        shows: dict[str, float] = {}
        for link in cause.links:
            if base.signs[link.sign].exclusive:
                shows[link.sign] = shows.get(link.sign, 0.0) + link.strength(base.words)
        for sign, chance in shows.items():
            if chance > 1.0:
                yield _note(cause, f"'{sign}' compares the sides: it can be there on one only, so not so often on each")


def _asked_of_riders(base: Rulebase) -> Iterator[Problem]:
    """Find checks and readings asked of a rider on the phone that have no words to ask with."""
    for check in [one for one in base.checks.values() if one.who == base.persons[0]]:
        if "?" not in aloud(check, "left" if check.sided else None, base):
            yield _note(check, f"'{check.id}' is done by a rider and asks nothing on the phone; add 'say: ...?'")
        for name in check.takes:
            if not base.readings[name].question:
                yield _note(
                    base.readings[name],
                    f"'{check.id}' asks a rider for '{name}', which has no 'question' to read aloud",
                )


def _on_the_phone(base: Rulebase) -> Iterator[Problem]:
    """Find looks that are not safe while a rule forbids cranking, and cautions that include what there is not."""
    for rule in base.rules.values():
        if rule.looks and "cranking" not in rule.forbids:
            yield _note(rule, f"'{rule.id}' does not forbid cranking, so it needs no 'safe looks'")
        for check in (base.checks[name] for name in rule.looks):
            if check.involves or check.who != base.persons[0]:
                yield _note(rule, f"'{check.id}' is no safe look: a {base.persons[0]} does those, with the engine off")
    for caution in base.cautions.values():
        for name in caution.includes:
            if name not in base.cautions:
                yield _note(caution, f"'{caution.id}' includes '{name}', which is no caution")


def _opened(base: Rulebase) -> Iterator[Problem]:
    """Find checks that take no longer than opening their cover, on both sides if they are done once for both."""
    for check in base.checks.values():
        if not check.opens:
            continue
        cover = base.covers[check.opens]
        least = cover.minutes * (2 if cover.each_side and not check.sided else 1)
        if check.minutes <= least:
            yield _note(
                check, f"'{check.id}' takes {check.minutes:g} min, and to open '{check.opens}' alone takes {least:g}"
            )


def _results(base: Rulebase) -> Iterator[Problem]:
    for check in base.checks.values():
        if len({outcome.shows for outcome in check.outcomes}) < 2:  # noqa: PLR2004 - one result tells nothing
            yield _note(check, f"'{check.id}' has fewer than two different outcomes, so it tells nothing")
        if len({outcome.says for outcome in check.outcomes}) < len(check.outcomes):
            yield _note(check, f"'{check.id}' has two outcomes in the same words")


def _not_told_apart(base: Rulebase) -> Iterator[Problem]:
    """Find pairs of causes with different remedies that no check tells apart and whose pages give no reason."""
    known = chances_by_check(base, tuple(base.checks.values()))
    said = {(one.id, other) for one in base.causes.values() for other in one.not_told_from}
    for (one, side), (two, their_side) in combinations(known, 2):
        cause, twin = base.causes[one], base.causes[two]
        if (one, two) in said or (two, one) in said or (cause.remedy, side) == (twin.remedy, their_side):
            continue
        if not told_apart(known[one, side], known[two, their_side]):
            yield _note(cause, f"no check tells '{named(one, side)}' from '{named(two, their_side)}'")


def chances_by_check(base: Rulebase, checks: Iterable[Check]) -> dict[Sided, dict[Sided, float]]:
    """Return how often each cause, on its side, shows each sign that these checks reveal."""
    shown = {one.sign for check in checks for outcome in check.outcomes for one in outcome.shows}
    return {
        (cause.id, side): _chances(cause, side, shown, base)
        for cause in base.causes.values()
        for side in sides_of(cause.sided)
    }


def told_apart(mine: Mapping[Sided, float], theirs: Mapping[Sided, float]) -> bool:
    """Whether one sign at least tells two causes apart; mostly the first does."""
    return any(abs(chance - theirs.get(key, 0.0)) >= TOLD_APART_BY for key, chance in mine.items()) or any(
        chance >= TOLD_APART_BY for key, chance in theirs.items() if key not in mine
    )


def _chances(cause: Cause, side: Side, shown: set[str], base: Rulebase) -> dict[Sided, float]:
    here: Side = side or "left"
    where = {"this": here, "other": other(here), "none": None}
    return {
        (link.sign, where[link.bearing]): base.words.shows[link.shows] for link in cause.links if link.sign in shown
    }
