"""What a dialogue returns to be shown, one record for each item. Each can be written as JSON and drawn separately."""

import msgspec

from advisor.case import Means
from advisor.report import Conflict, RankedCause
from advisor.session.figures_say import FigureSays
from advisor.session.handover import HandOver
from advisor.session.hearing import MayMean
from advisor.session.next_question import Question
from advisor.session.record import Record

FIXED, KEPT, KEPT_IN_PART, NOT_KEPT = "fixed", "kept", "kept in part", "not kept"
NOTHING_TOLD = "nothing told"


class _Record(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """One thing to show."""


class Trouble(_Record, frozen=True):
    """The session cannot be kept on disk, and why; it goes on in memory."""

    says: str


class Mistake(_Record, frozen=True):
    """What was typed means nothing here; one sentence with what is wrong and what would be right."""

    says: str


class Begins(_Record, frozen=True):
    """A new session begins, and is kept under this number."""

    session: int


class GoesOn(_Record, frozen=True):
    """An earlier session goes on, last touched so many seconds ago (None: not known)."""

    session: int
    complaint: str
    age: float | None = None


class OthersOpen(_Record, frozen=True):
    """So many other sessions of a kind (bench or phone) are open too."""

    kind: str
    many: int


class OtherRules(_Record, frozen=True):
    """The session was written with other rules.

    `begun_with` are the shop's folders that it was begun with (None: that was not kept), `unknown` is what of it is not
    known here, like `the sign 'x'`; `command` goes on with the rules of then (empty if these are the same folders).
    """

    begun_with: tuple[str, ...] | None
    unknown: tuple[str, ...]
    command: str


class AskWords(_Record, frozen=True):
    """Asks what is wrong."""


class AskWho(_Record, frozen=True):
    """Asks who is at the bike: one of these."""

    persons: tuple[str, ...]


class ToolsListed(_Record, frozen=True):
    """The tools to choose from, numbered from 1."""

    titles: tuple[str, ...]


class AskTools(_Record, frozen=True):
    """Asks for the numbers of the tools that are there."""


class Remembered(_Record, frozen=True):
    """Who is there with what, as understood and remembered."""

    means: Means


class Understood(_Record, frozen=True):
    """What words may mean, numbered from 1, the dangerous first; `dangers` is what can hurt then.

    Signs that are there or not, then readings, then causes that are suspected.
    """

    signs: tuple[MayMean, ...]
    dangers: tuple[str, ...]


class Troubles(_Record, frozen=True):
    """The main troubles, numbered from 1: offered if nothing was understood."""

    signs: tuple[MayMean, ...]


class AskNumbers(_Record, frozen=True):
    """Asks which of the list above are so: numbers from 1 to `most`, nothing for none, or other words."""

    most: int


class Caution(_Record, frozen=True):
    """A caution. If it was given in full before (`again`), its first sentence is enough."""

    says: str
    again: bool


class QuestionShown(_Record, frozen=True):
    """The question of a session of a `kind` (bench or phone).

    `dangers` is what can hurt on this bike as it is, `cautions` what can hurt in doing what is asked. `aloud` is the
    sentence to read to a rider; it is empty at the bike, and if no check is asked for.
    """

    kind: str
    question: Question
    dangers: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    may_ride: bool
    aloud: str


class ReadBack(_Record, frozen=True):
    """What to read back to a rider: the answer as understood."""

    says: str


class ToldSoFar(_Record, frozen=True):
    """What was told in a session of a kind and counts, numbered from 1; `listed`: it was asked for."""

    kind: str
    says: tuple[str, ...]
    listed: bool = False


class ReadingsTaken(_Record, frozen=True):
    """The readings that were taken, each as understood."""

    says: tuple[str, ...]


class FigureMeans(_Record, frozen=True):
    """What a reading says, as it was understood."""

    found: FigureSays


class TakenAs(_Record, frozen=True):
    """Which answer words were taken for; `unheard` are words that mean nothing here."""

    says: str
    unheard: str = ""


class TakenBack(_Record, frozen=True):
    """The answers that were taken back."""

    steps: tuple[str, ...]


class Contradiction(_Record, frozen=True):
    """Two signs that cannot both be so; the last answer brought it about."""

    pair: Conflict


class Help(_Record, frozen=True):
    """What may be typed in a session of a kind."""

    kind: str


class Standing(_Record, frozen=True):
    """Where the session stands: the likeliest causes as (title, probability), what was answered, what does not fit."""

    likely: tuple[tuple[str, float], ...]
    taken: tuple[str, ...]
    conflicts: tuple[Conflict, ...]


class WhyAsked(_Record, frozen=True):
    """Why this question is next."""

    question: Question


class Explained(_Record, frozen=True):
    """Why a cause ranks where it does. `reasons` holds the words of each rule that it quotes, by id."""

    cause: RankedCause
    reasons: dict[str, str]


class WouldBe(_Record, frozen=True):
    """What would lead if an answer were given, as (title, probability)."""

    answer: str
    causes: tuple[tuple[str, float], ...]


class SaveAs(_Record, frozen=True):
    """The session as the text of a case file, or its `record`, to be kept under a name. The dialogue writes no file.

    Who writes it and finds a file of that name, without `replace`, calls `Dialogue.there_already` instead.
    """

    name: str
    text: str
    replace: bool = False
    record: bool = False


class AskReplace(_Record, frozen=True):
    """Asks whether what is saved is to replace the file of that name: 1 for yes, 2 for no."""

    name: str


class LeftAlone(_Record, frozen=True):
    """The file of that name stays as it is."""

    name: str


class Sheet(_Record, frozen=True):
    """The hand-over sheet."""

    found: HandOver


class RecordShown(_Record, frozen=True):
    """The record of the session, and as `text` of 80 columns."""

    found: Record
    text: str


class Ended(_Record, frozen=True):
    """The session of a kind is over: fixed, kept, kept in part, not kept, or nothing told.

    `session` is the number of what was kept (0 for nothing), `lost` is how many answers were not; `command` goes on.
    """

    kind: str
    how: str
    session: int = 0
    lost: int = 0
    command: str = ""


Shown = (
    Trouble
    | Mistake
    | Begins
    | GoesOn
    | OthersOpen
    | OtherRules
    | AskWords
    | AskWho
    | ToolsListed
    | AskTools
    | Remembered
    | Understood
    | Troubles
    | AskNumbers
    | QuestionShown
    | ReadBack
    | ToldSoFar
    | ReadingsTaken
    | FigureMeans
    | TakenAs
    | TakenBack
    | Contradiction
    | Help
    | Standing
    | WhyAsked
    | Explained
    | WouldBe
    | SaveAs
    | AskReplace
    | LeftAlone
    | Sheet
    | RecordShown
    | Ended
)
