"""What a dialogue returns to be shown, one record for each item. Each can be written as JSON and drawn separately."""

import msgspec

from advisor.case import Means
from advisor.report import Conflict, RankedCause
from advisor.session.events import BENCH
from advisor.session.figures_say import FigureSays
from advisor.session.handover import HandOver
from advisor.session.hearing import MayMean
from advisor.session.job import Job
from advisor.session.next_question import Question
from advisor.session.notes import Notes
from advisor.session.record import Record
from advisor.session.room import ANSWERS, BELOW, WHOLE

FIXED, KEPT, KEPT_IN_PART, NOT_KEPT = "fixed", "kept", "kept in part", "not kept"
NOTHING_TOLD = "nothing told"


class _Record(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """One thing to show."""


class Trouble(_Record, frozen=True):
    """The session cannot be kept on disk, and why; it goes on in memory. `typed` keeps it elsewhere."""

    says: str
    typed: str = ""


class Mistake(_Record, frozen=True):
    """What was typed means nothing here; one sentence with what is wrong, and what to type where lines are typed."""

    says: str
    typed: str = ""


class Begins(_Record, frozen=True):
    """A new session of a kind begins, and is kept under this number."""

    session: int
    kind: str = BENCH


class GoesOn(_Record, frozen=True):
    """An earlier session goes on, last touched so many seconds ago (None: not known)."""

    session: int
    complaint: str
    age: float | None = None
    kind: str = BENCH
    notes: Notes = Notes()


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
    """The tools, numbered from 1: each with whether it is there, None if nobody was asked."""

    tools: tuple[tuple[str, bool | None], ...]


class AskTools(_Record, frozen=True):
    """Asks for tools that are there or are not."""


class AskTool(_Record, frozen=True):
    """Asks whether a tool is there, for a step of this title: 1 for yes, 2 for no."""

    tool: str
    step: str


class AskToolRoll(_Record, frozen=True):
    """Asks which of these tools the rider has; `aloud` is the question to read to him."""

    titles: tuple[str, ...]
    aloud: str


class NotedDown(_Record, frozen=True):
    """Something was kept with the call: what it is about, and the words."""

    about: str
    says: str


class Remembered(_Record, frozen=True):
    """Who is there with what, as understood and remembered; `sure` are the tools known to be there (None: all)."""

    means: Means
    sure: frozenset[str] | None = None


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
    """A caution. If it was given in full before, or there is no room for it (`again`), its first sentence stands."""

    says: str
    again: bool


class QuestionShown(_Record, frozen=True):
    """The question of a session of a `kind` (bench or phone).

    `dangers` is what can hurt on this bike as it is, `cautions` what can hurt in doing what is asked. `aloud` is the
    sentence to read to a rider, `words` explain the words of the trade in it; both are empty at the bike. A question
    that is too long for one screen is shown in `parts`, of which this is one (`part`): what can hurt, what to do, the
    answers. `more`: there are cautions that were not given in full so far. `brief` says all of them in a few words,
    where the step is one of many alike and each was heard in full.
    """

    kind: str
    question: Question
    dangers: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    may_ride: bool
    aloud: str
    words: tuple[str, ...] = ()
    part: str = WHOLE
    parts: tuple[str, ...] = (WHOLE,)
    more: bool = False
    brief: str = ""

    @property
    def answers(self) -> bool:
        """Whether this part has the answers."""
        return not self.question.options or self.part in {WHOLE, BELOW, ANSWERS}

    @property
    def cares(self) -> bool:
        """Whether this part says what can hurt."""
        return self.part == self.parts[0]


class Changed(_Record, frozen=True):
    """Another question stands in the place of one that got no answer: `before` is its title.

    It comes later by what is known now, or (`forbidden`) must not be done with the bike as it is.
    """

    before: str
    forbidden: bool


class KeptInWords(_Record, frozen=True):
    """Words are kept as they were said, under a number: they mean nothing here, or (`offered`) nothing that is so."""

    number: int
    offered: bool = False


class ReadBack(_Record, frozen=True):
    """What to read back to a rider: the answer as understood, as a statement."""

    says: str


class ToldSoFar(_Record, frozen=True):
    """What was told in a session of a kind and counts, each with its number.

    `listed`: it was asked for, and holds all that was said, answers and readings too.
    """

    kind: str
    says: tuple[tuple[int, str], ...]
    listed: bool = False


class SetRight(_Record, frozen=True):
    """What was set right in a session of a kind, in words: what is said now, and what is forgotten."""

    kind: str
    says: tuple[str, ...]
    forgotten: tuple[str, ...] = ()


class AnswersShown(_Record, frozen=True):
    """All the answers of the check that was answered under a number, to choose another one."""

    number: int
    title: str
    answers: tuple[str, ...]


class Cautions(_Record, frozen=True):
    """Cautions to be read in full."""

    says: tuple[str, ...]


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
    """Statements that cannot all be so, each with its number and its `mends`: what may be typed to set it right.

    The last answer brought it about.
    """

    says: tuple[tuple[int, str], ...]
    mends: tuple[str, ...]


class Help(_Record, frozen=True):
    """What may be typed in a session of a kind."""

    kind: str


class Standing(_Record, frozen=True):
    """Where the session stands: the likeliest causes as (title, probability), what was said, and what does not fit.

    Each thing said has the number by which it can be set right.
    """

    likely: tuple[tuple[str, float], ...]
    said: tuple[tuple[int, str], ...]
    conflicts: tuple[Conflict, ...]


class LedStands(_Record, frozen=True):
    """Where a led balance or tune-up stands, or `why` it asks what it asks, line by line."""

    says: tuple[str, ...]
    why: bool = False


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
    """The session as the text of a case file, or its record (`wish`), to be kept under a name. It is not written here.

    Who writes it and finds a file of that name, without `replace`, calls `Dialogue.there_already` instead.
    """

    name: str
    text: str
    replace: bool = False
    wish: str = "save"


class SaveSheet(_Record, frozen=True):
    """The hand-over sheet, to be written to a file of this name; else as `SaveAs`."""

    name: str
    found: HandOver
    replace: bool = False


class SaveReport(_Record, frozen=True):
    """The session as a page to print or to send, to be written to a file of this name; else as `SaveAs`."""

    name: str
    found: Job
    replace: bool = False


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
    | AskTool
    | AskToolRoll
    | NotedDown
    | Remembered
    | Understood
    | Troubles
    | AskNumbers
    | QuestionShown
    | Changed
    | KeptInWords
    | ReadBack
    | ToldSoFar
    | SetRight
    | AnswersShown
    | Cautions
    | ReadingsTaken
    | FigureMeans
    | TakenAs
    | TakenBack
    | Contradiction
    | Help
    | Standing
    | LedStands
    | WhyAsked
    | Explained
    | WouldBe
    | SaveAs
    | SaveSheet
    | SaveReport
    | AskReplace
    | LeftAlone
    | Sheet
    | RecordShown
    | Ended
)
