"""A sentence cut into clauses: what is said, denied or praised in one has no say in the next."""

import re
from collections.abc import Container, Iterable, Iterator, Sequence
from functools import lru_cache

import msgspec

from advisor.intake.figure_topics import SHORTED
from advisor.intake.told_side import sides_at, sides_of_bike
from advisor.rulebase.phrasebook import Phrasebook
from advisor.rulebase.speech import LIGHT, PARTS, SMALL
from advisor.rulebase.wording import (
    HARDLY,
    NOT,
    SAME_AS_BEFORE,
    VANISHED,
    WELL,
    WITHOUT,
    WORD,
    in_order,
    nearly,
    plain,
    root,
)
from advisor.sides import Side

ENDS_CLAUSE = re.compile(
    r"(?P<mark>[.;:!?]+(?!\d)|,(?!\d)|\s[\u2013\u2014-]+\s|\.\.\.|\()"
    r"|\b(?P<word>but|though|although|except|apart from|however|yet|otherwise|then|because|and|since|now"
    r"|whereas|despite|plus|with(?= not\b)|while(?= the (?:left|right)\b)"
    r"|so(?= (?:i|it|that|we|he|she|now|the|they|this|when|my)\b))\b"
)
AND, KEPT = "and", frozenset(["since", "otherwise"])  # these say something in the clause that they begin
DENIAL_ENDS = frozenset(["when", "if", "unless", "until", "while", "once", "whenever", "before", "after", "as"])
PAST = frozenset(["was", "were", "used", "had", "ran"])
ONCE = re.compile(
    r"\b(?:before|until|ago|last|yesterday|once|when i|while i|for (?:a|an|about|the|years|weeks|months|ages)|at first"
    r"|in (?:the|january|february|march|april|may|june|july|august|september|october|november|december))\b"
)
SINCE_THEN = re.compile(
    r"\b(?:since|after|ever|back|just|new|newly|recent\w*|last|ago|been|has|have|got|came|put|stood|laid|sat|left|\w+ed)\b"
)
USED_TO = re.compile(r"\b(?:used to|before that)\b")
SUPPOSES = re.compile(
    r"\b(?:think|thought|thinking|reckon|suspect|guess|guessing|maybe|perhaps|probably|possibly|could|might|must be|bet"
    r"|betting|wonder|wondering|suppose|fear|looks like|is it|would it be|blame|points to|pointing to|would say|d say"
    r"|id say|id bet|im guessing|seems to be|sounds like|presume|assume|convinced|told me its|says its|has to be"
    r"|(?:wants?|needs?) (?:a good |a proper |to be )?"
    r"(?:clean|set|sett|balanc|sync\w*|adjust|replac|chang|strip|check|rebuild"
    r"|overhaul|renew|do|see|look)(?:ed|ing|n|one)(?: to| at| to)?)\b"
)
WHO = r"(?:i|we|he|she|they|ve|have|had|has)"
SINCE = r"(?:(?:just|already|also|even|then|only|re) )*"
DID = re.compile(
    rf"^{SINCE}(?:{WHO} {SINCE})+(?:\w+ed|set|put|got|done|did|swept|bought|fit|cut|took|taken|been|made|brought)\b"
    r"|^\w+ed\b|\b(?:have|has|had|need|needs) to (?!be\b)\w+"
)
DID_NOT = re.compile(r"(?:^|\b(?:i|we|he|she|they) )not (?:\w+ed|set|been|had|done)\b")
OR = "or"
WHERE = frozenset(["at", "on", "in", "both", "all", "up", "from", "through", "over", "under", "to"])
MOST_WHERE = 6  # words that say only where or when something is
LIKEWISE = frozenset(["same", "too", "likewise", "ditto", "also", "similar"])
MOST_CARRIED = 2  # names of parts
PARTS_SAID = frozenset(root(word) for word in PARTS)
ANSWERS = frozenset([NOT, SAME_AS_BEFORE])
TWO_PRAISED = re.compile(
    rf"(?P<one>\s*(?:[a-z]+ ){{1,3}})and "
    rf"(?P<two>(?:(?!{WELL}\b)[a-z]+ ){{1,5}}(?:(?:both|all|each|is|are) )+{WELL}\b.*|(?!{WELL}\b)[a-z]+ {WELL}\s*$)"
)
SHORT = 2  # telling words of one of a list
FEW = 2  # words: what stands alone beside an 'and' is one of two nouns


@lru_cache(maxsize=1024)
def _tells(what: re.Pattern[str], text: str) -> bool:
    """Whether a text has what tells something; asked again and again for each clause."""
    return bool(what.search(text))


class Word(msgspec.Struct, frozen=True):
    """One telling word of a sentence: its plain form, its place, and in which part of which clause it stands."""

    says: str
    exact: str
    root: str
    place: int
    clause: int
    part: int


class Clause(msgspec.Struct, frozen=True):
    """One clause: its telling words, the sides that it names, and how it is said."""

    number: int
    text: str
    words: tuple[Word, ...]
    sides: tuple[Side, ...]
    raw: tuple[str, ...]
    order: tuple[tuple[int, str], ...]
    asked: bool
    supposed: bool
    shorted: bool = False
    carried: tuple[Word, ...] = ()

    @property
    def past(self) -> bool:
        """Whether it tells how it was."""
        return bool(PAST & set(self.raw))

    @property
    def after(self) -> bool:
        """Whether it tells what was done, or since when something is so."""
        return self.past or self.did or _tells(SINCE_THEN, self.text)

    @property
    def denials(self) -> list["Clause"]:
        """The parts of a clause that denies several things, each as a clause; none if it does not."""
        parts: dict[int, list[Word]] = {}
        for word in self.words:
            parts.setdefault(word.part, []).append(word)
        denying = [tuple(words) for words in parts.values() if words[0].says == NOT and len(words) > 1]
        return [msgspec.structs.replace(self, words=words) for words in denying] if len(denying) > 1 else []

    @property
    def did(self) -> bool:
        """Whether it tells what somebody did."""
        return _tells(DID, self.text)

    @property
    def did_not(self) -> bool:
        """Whether it tells what nobody did."""
        return _tells(DID_NOT, self.text)

    @property
    def used_to(self) -> bool:
        """Whether it tells what is no more."""
        return _tells(USED_TO, self.text)

    @property
    def of_then(self) -> bool:
        """Whether it says when it was as it tells."""
        return self.used_to or (self.past and _tells(ONCE, self.text))


def clauses(sentence: str, known: Phrasebook) -> list[Clause]:
    """Return the clauses of a sentence, with misspelt words put right."""
    found: list[Clause] = []
    place = 0
    for text, asked in _each_denied(_each_praised(_cut(plain(sentence)))):
        raw = [known.spelt(word) for word in WORD.findall(text)]
        # a slip that was put right may make a phrase whole
        raw = WORD.findall(plain(" ".join(raw)))
        clause = _clause(len(found), text, raw, place, asked)
        if clause.raw:
            place += len(raw) + MOST_CARRIED
            found.append(_carried(found[-1], clause) if found else clause)
            if found[1:] and clause.words and all(word.says in ANSWERS for word in clause.words) and not clause.sides:
                found[-2:] = [_answered(found[-2], clause)]
    return _listed(_after_a_test(found))


def _after_a_test(told: list[Clause]) -> list[Clause]:
    """Return clauses with those marked that tell of a cylinder cut out, and the one after each."""
    cut_out = [SHORTED.search(clause.text) is not None for clause in told]
    return [
        msgspec.structs.replace(clause, shorted=True) if cut_out[at] or (at and cut_out[at - 1]) else clause
        for at, clause in enumerate(told)
    ]


def _carried(before: Clause, clause: Clause) -> Clause:
    """Return a clause about one side with the part named for the other: 'left slide fine, right one sticks'."""
    if not (len(clause.sides) == len(before.sides) == 1 and clause.sides != before.sides and clause.words):
        return clause
    says = {word.root for word in clause.words}
    if says & PARTS_SAID or LIKEWISE & set(clause.raw) or not says - {NOT, WELL, SAME_AS_BEFORE} - LIGHT:
        return clause
    parts = [word for word in before.words if word.root in PARTS_SAID][:MOST_CARRIED]
    near = clause.words[0]
    carried = [
        msgspec.structs.replace(word, place=near.place - len(parts) + at, clause=clause.number, part=near.part)
        for at, word in enumerate(parts)
    ]
    return msgspec.structs.replace(clause, carried=tuple(carried))


def _each_praised(pieces: Iterable[tuple[str, bool]]) -> list[tuple[str, bool]]:
    """Return pieces of a sentence with what is praised of several things praised of each: 'A, B and C are fine'."""
    found = list[tuple[str, bool]]()
    for text, asked in pieces:
        two = None if {NOT, OR} & set(text.split()) else TWO_PRAISED.match(text)
        if two:
            listed = len(found)
            while listed and _is_short(found[listed - 1][0]) and not {NOT, WELL} & set(found[listed - 1][0].split()):
                listed -= 1
            found[listed:] = [(f"{one} {WELL}", asked) for one, _ in found[listed:]]
            found += [(f"{two['one']} {WELL}", asked), (two["two"], asked)]
        else:
            found.append((text, asked))
    return found


def _each_denied(pieces: list[tuple[str, bool]]) -> list[tuple[str, bool]]:
    """Return pieces of a sentence with what is denied of a whole list denied of each: 'no A, B or C'."""
    found = list(pieces)
    for number, (text, _) in enumerate(pieces):
        if OR not in text.split():
            continue
        first = number
        while first and _is_short(pieces[first - 1][0]) and not {NOT, WELL} & set(pieces[first - 1][0].split()):
            first -= 1
        if first and pieces[first - 1][0].split()[:1] == [NOT] and _is_short(pieces[first - 1][0]):
            found[first : number + 1] = [(f"{NOT} {one}", asked) for one, asked in found[first : number + 1]]
    return found


def _is_short(text: str) -> bool:
    return 0 < len([word for word in WORD.findall(text) if word not in SMALL and word != NOT]) <= SHORT


def _listed(told: list[Clause]) -> list[Clause]:
    """Return clauses with what is praised of a whole list praised of each: 'A, B and C are fine'."""
    found = list(told)
    for number, clause in enumerate(told):
        if AND in clause.raw[1:] and WELL in {word.says for word in clause.words}:
            first = number
            while (
                first
                and _is_short(told[first - 1].text)
                and not {NOT, WELL} & {one.says for one in told[first - 1].words}
            ):
                first -= 1
            found[first:number] = [_praised(one) for one in told[first:number]]
    return found


def _praised(clause: Clause) -> Clause:
    """Return a clause with one more word, that praises."""
    if not clause.words:
        return clause
    near = clause.words[-1]
    word = Word(WELL, WELL, WELL, near.place, clause.number, near.part)
    return msgspec.structs.replace(clause, words=(*clause.words, word))


def _answered(asked: Clause, answer: Clause) -> Clause:
    """Return a clause that the next one denies: 'Smoke? No, never' is one."""
    part = asked.words[-1].part if asked.words else 0
    word = answer.words[0]
    return msgspec.structs.replace(
        asked, words=(*asked.words, Word(word.says, word.exact, word.root, word.place, asked.number, part)), asked=False
    )


def _cut(text: str) -> Iterator[tuple[str, bool]]:
    """Yield each clause of a text, and whether it is a question."""
    start = 0
    cuts = [*ENDS_CLAUSE.finditer(text)]
    for number, cut in enumerate(cuts):
        end = cuts[number + 1].start() if number + 1 < len(cuts) else len(text)
        after = WORD.findall(text[cut.end() : end])
        if cut["word"] == AND and (_few(text[start : cut.start()]) or _few(text[cut.end() : end]) or _goes_on(after)):
            continue
        yield text[start : cut.start()], bool(cut["mark"]) and "?" in cut["mark"]
        start = cut.start() if cut["word"] in KEPT else cut.end()
    yield text[start:], False


def _goes_on(after: Sequence[str]) -> bool:
    """Whether what follows a praise says only where and when: 'the timing is good at idle and full advance'."""
    return 0 < len(after) <= MOST_WHERE and after[0] in WHERE


def _few(text: str) -> bool:
    return len(WORD.findall(text)) < FEW


def _clause(number: int, text: str, raw: list[str], place: int, asked: bool) -> Clause:
    where = sides_at(raw)
    order = tuple((place + at, word) for at, word in in_order(raw) if at not in where)
    words = tuple(_words(number, raw, place, where))
    supposed = bool(SUPPOSES.search(" ".join(raw)))
    return Clause(number, text.strip(), words, sides_of_bike(where, raw), tuple(raw), order, asked, supposed)


def _words(number: int, raw: list[str], place: int, where: Container[int]) -> list[Word]:
    """Return the telling words of a clause, each in its part: what denies or praises reaches no further."""
    part, kept, fresh = 0, list[Word](), True
    for at, word in enumerate(raw):
        if word in DENIAL_ENDS:
            part, fresh = part + 1, True
        if word == OR and kept and any(one.says == NOT and one.part == part for one in kept):
            part += 1
            kept.append(Word(NOT, OR, NOT, place + at, number, part))
        if word == NOT and {one.says == NOT for one in kept if one.part == part} == {True, False}:
            part += 1  # neither pops nor hangs
        if word == HARDLY:  # hardly warm: not warm, unless what is looked for is said with it
            kept.append(Word(NOT, HARDLY, NOT, place + at, number, part))
        if word not in SMALL and not word[0].isdigit() and at not in where:
            kept.append(
                Word(
                    nearly(root(word)),
                    word if word in {WITHOUT, VANISHED} else root(word),
                    root(word),
                    place + at,
                    number,
                    part,
                )
            )
            if (
                word == WELL and not fresh and not _goes_on(raw[at + 1 :])
            ):  # 'starts well dies hot': praise after its thing ends there
                part, fresh = part + 1, True
            elif word not in {WELL, NOT}:
                fresh = False
    return kept
