"""Which of a question's answers the figures and words of a line are, and what else they say."""

import re
from collections.abc import Mapping, Sequence

from advisor.case import SignReport
from advisor.errors import AdvisorError
from advisor.intake.sentence import Heard, understand
from advisor.intake.told_figures import told_readings
from advisor.rank.network import vaguer_than
from advisor.rulebase.model import Rulebase
from advisor.session.answer_in_words import InWords
from advisor.session.events import Answered, Event, Read, Told
from advisor.session.in_own_words import against, another_is_named, in_own_words, nearest_in_words
from advisor.session.next_question import CHECK, Option, Question
from advisor.sides import Side, Sided

FIGURE = re.compile(r"\d")


def meant(said: InWords, question: Question, known: Mapping[Sided, bool], base: Rulebase) -> tuple[Event, str]:
    """Return the event that a line of figures and words is, and the words of it that mean nothing here.

    `known` are the signs that the figures settle. An answer is chosen by its number; by words, if they say one of the
    answers and no figure is against it; by figures alone, if they leave only one. Then the check is done.
    """
    heard = _heard(said.words, base)
    numbered = _numbered(said, question)
    chosen = numbered or _by_words(said.words, heard, _options(question), question.side, known, base)
    if chosen is not None:
        unheard = said.words if numbered and not heard else ""
        return _answered(question, chosen, chosen.reports, heard, said, base), unheard
    unheard = "" if heard else said.words
    chosen = _by_figures(_options(question), known)
    if chosen is not None:
        open_yet = tuple(one for one in chosen.reports if (one.sign, one.side) not in known)
        return _answered(question, chosen, open_yet, heard, said, base), unheard
    return (Told(_reports(heard, base), said.readings) if heard else _read(said, question)), unheard


def _read(said: InWords, question: Question) -> Read:
    """Return the readings of a line; of the check that is asked for, if it takes any of them."""
    if question.kind != CHECK or not any(one.reading in question.takes for one in said.readings):
        return Read(said.readings)
    return Read(said.readings, question.name, question.side)


def answer_said(words: str, question: Question, base: Rulebase) -> Event | None:
    """Return the answer that words alone say; None if they say none.

    Where they say no sign either, it is the one whose words they share.
    """
    heard, options = _heard(words, base), _options(question)
    chosen = _by_words(words, heard, options, question.side, {}, base)
    if chosen is None and not heard:
        chosen = nearest_in_words(words, options, question.side)
    return _answered(question, chosen, chosen.reports, heard, InWords(), base) if chosen else None


def said_in_own_words(line: str, question: Question, base: Rulebase) -> InWords | None:
    """Return the answer that a line says in the answer's own words, with its figures and what else it says; or None.

    A time in seconds may be of anything: it counts only if it is asked for.
    """
    options = _options(question)
    chosen, rest = in_own_words(line, options, question.side)
    if chosen is None:
        return None
    told = told_readings(line, base)
    readings = tuple(one for one in told if one.reading in question.takes or base.readings[one.reading].unit != "s")
    left = [one for one in rest.split(", ") if not (readings and FIGURE.search(one))]
    return InWords(option=options.index(chosen) + 1, readings=readings, words=", ".join(left))


def _heard(words: str, base: Rulebase) -> list[Heard]:
    return list(understand(words, base).signs) if words else []


def _options(question: Question) -> tuple[Option, ...]:
    return question.options if question.kind == CHECK else ()


def _answered(
    question: Question,
    chosen: Option,
    settles: tuple[SignReport, ...],
    heard: Sequence[Heard],
    said: InWords,
    base: Rulebase,
) -> Answered:
    """Return an answer with what else was heard."""
    settled = {(one.sign, one.side) for one in chosen.reports}
    more = (one for one in _reports(heard, base) if (one.sign, one.side) not in settled)
    reports = (*settles, *(one for one in more if not _covered(one, chosen, base)))
    return Answered(question.name, question.side, chosen.says, reports, said.readings)


def _numbered(said: InWords, question: Question) -> Option | None:
    if not said.option:
        return None
    if question.kind != CHECK:
        msg = "write the number of the answer alone here"
        raise AdvisorError(msg)
    return question.options[said.option - 1]


def _reports(heard: Sequence[Heard], base: Rulebase) -> tuple[SignReport, ...]:
    return tuple(SignReport(sign=one.sign, side=one.side, seen=one.seen, how=base.words.opening) for one in heard)


def _covered(one: SignReport, option: Option, base: Rulebase) -> bool:
    """Whether an answer says a sign, or a kind of it, already."""
    return one.seen and any(two.seen and (one.sign, one.side) in _implied(two, base) for two in option.reports)


def _implied(one: SignReport, base: Rulebase) -> set[Sided]:
    return {(one.sign, one.side), *vaguer_than(one.sign, one.side, base)}


def _by_words(
    words: str,
    heard: Sequence[Heard],
    options: Sequence[Option],
    side: Side,
    known: Mapping[Sided, bool],
    base: Rulebase,
) -> Option | None:
    """Return the answer that words say: the one that says least besides; None if several do, or none does."""
    in_its_words, _ = in_own_words(words, options, side, known)
    if in_its_words is not None or not heard:
        return in_its_words
    fits = [
        one
        for one in options
        if not (against(one, known) or another_is_named(words, one, options)) and _agrees(heard, one, base)
    ]
    least = min((_seen_in(one) for one in fits), default=0)
    best = [one for one in fits if _seen_in(one) == least]
    return best[0] if len(best) == 1 else None


def _seen_in(option: Option) -> int:
    return sum(one.seen for one in option.reports)


def _agrees(heard: Sequence[Heard], option: Option, base: Rulebase) -> bool:
    """Whether an answer says all of the signs that were heard, as they were heard."""
    there = {key for one in option.reports if one.seen for key in _implied(one, base)}
    absent = {(one.sign, one.side) for one in option.reports if not one.seen}
    return all((one.sign, one.side) in (there if one.seen else absent) for one in heard)


def _by_figures(options: Sequence[Option], known: Mapping[Sided, bool]) -> Option | None:
    """Return the only answer that figures leave, if they speak for it; or the only one of which they settle all.

    Such a one is not the answer where others say more of the same: how much air is lost leaves open where it goes.
    """
    left = [one for one in options if one.reports and not against(one, known)]
    whole = [one for one in left if all((report.sign, report.side) in known for report in one.reports)]
    if len(left) == 1:
        return left[0] if any((report.sign, report.side) in known for report in left[0].reports) else None
    if len(whole) != 1 or any(_seen(one) >= _seen(whole[0]) > set() for one in left if one is not whole[0]):
        return None
    return whole[0]


def _seen(option: Option) -> set[Sided]:
    return {(one.sign, one.side) for one in option.reports if one.seen}
