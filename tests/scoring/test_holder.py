"""Who holds the bike answers as that bike would: from what was told, then the model, then the pages' strengths."""

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.bike_view import view
from advisor.scoring.as_built import as_built
from advisor.scoring.hidden_bikes import planted
from advisor.scoring.holder import NOBODY_KNOWS, Holder, by_the_pages, drawn, of_account
from advisor.scoring.resolved import Account, read_accounts
from advisor.session.hearing import MayMean
from advisor.session.next_question import CHECK, DONE, Question, options
from advisor.sides import Side, Sided
from tests.scoring.bikes import stand_with
from tests.test_resolved import FOLDER

LEAK: Sided = ("intake-joint-leak", "left")


def _holder(advisor: Advisor, *truth: Sided, told: dict[Sided, bool] | None = None, tells: str = "") -> Holder:
    seen = view(planted([(name, side or "left", 0.8) for name, side in truth]).bike)
    bike = as_built(advisor.base, [one for one, _ in truth])
    telling = dict([tells.split(": ", 1)]) if tells else {}
    return Holder(advisor, truth, 1, words="it hangs", bike=bike, seen=seen, told=told or {}, tells=telling)


def _asks(advisor: Advisor, check: str, side: Side = None, kind: str = CHECK) -> Question:
    page = advisor.base.checks[check]
    return Question(
        kind=kind,
        name=check,
        side=side,
        title=page.title,
        because="",
        minutes=page.minutes,
        engine=page.engine,
        steps=(),
        tools=(),
        cautions=(),
        options=tuple(options(page, side, None, advisor.base)),
        takes=page.takes,
    )


def _says(holder: Holder, asked: Question) -> str:
    return asked.options[int(holder.answer(asked)) - 1].says


def test_the_model_answers_where_it_can(advisor: Advisor) -> None:
    holder = _holder(advisor, LEAK)
    assert holder.is_so("joint-wetting-moves-idle", "left")
    assert not holder.is_so("joint-wetting-moves-idle", "right")
    wet = advisor.base.causes["intake-joint-leak"].settled_by
    sided = advisor.base.checks[wet].sided
    shown = next(
        one for one in _asks(advisor, wet, "left" if sided else None).options if one.says == _wet(advisor, holder, wet)
    )
    assert ("joint-wetting-moves-idle", "left", True) in {(one.sign, one.side, one.seen) for one in shown.reports}


def _wet(advisor: Advisor, holder: Holder, wet: str) -> str:
    return _says(holder, _asks(advisor, wet, "left" if advisor.base.checks[wet].sided else None))


def test_what_was_told_comes_before_the_model(advisor: Advisor) -> None:
    holder = _holder(advisor, LEAK, told={("joint-wetting-moves-idle", "left"): False})
    assert not holder.is_so("joint-wetting-moves-idle", "left")


def test_what_the_model_does_not_have_is_drawn_by_the_pages_and_stays_so(advisor: Advisor) -> None:
    """A broken coil wire is on no virtual bike: its deciding sign shows about as often as its page says."""
    truth: Sided = ("coil-wire-bad", "left")
    bikes = [
        Holder(advisor, (truth,), seed, words="", bike=as_built(advisor.base, []), seen=None, told={})
        for seed in range(40)
    ]
    found = [one.is_so("coil-wire-loose", "left") for one in bikes]
    assert sum(found) > 25
    assert found == [one.is_so("coil-wire-loose", "left") for one in bikes]
    assert sum(one.is_so("coil-wire-loose", "right") for one in bikes) < 3


def test_an_outcome_that_the_account_tells_is_the_answer(advisor: Advisor) -> None:
    asked = _asks(advisor, "look-at-the-air-filter")
    last = asked.options[-1].says
    assert _says(_holder(advisor, LEAK, tells=f"look-at-the-air-filter: {last}"), asked) == last


def test_what_is_no_check_has_no_answer(advisor: Advisor) -> None:
    assert _holder(advisor, LEAK).answer(_asks(advisor, "look-at-the-air-filter", kind=DONE)) == ""


def test_he_agrees_to_what_is_so_and_suspects_nothing(advisor: Advisor) -> None:
    holder = _holder(advisor, LEAK)
    there = MayMean(sign="joint-wetting-moves-idle", side="left", title="")
    gone = MayMean(sign="joint-wetting-moves-idle", side="right", title="")
    assert holder.agrees(there)
    assert not holder.agrees(gone)
    assert holder.agrees(MayMean(sign="joint-wetting-moves-idle", side="right", title="", seen=False))
    assert not holder.agrees(MayMean(side="left", title="", cause="intake-joint-leak"))


def test_figures_are_typed_as_a_user_types_them(advisor: Advisor) -> None:
    asked = _asks(advisor, "compare-columns-at-idle")
    typed = _holder(advisor, LEAK).figures(asked)
    assert typed.startswith("column-idle left ")
    assert " right " in typed
    without = Holder(advisor, (LEAK,), 1, words="", bike=as_built(advisor.base, []), seen=None, told={})
    assert without.figures(asked) == ""


def test_a_screw_that_brings_the_sides_level_stays_turned_and_is_told(advisor: Advisor) -> None:
    holder = _holder(advisor, ("out-of-adjustment", None))
    before = holder.view
    assert holder.answer(_asks(advisor, "turn-a-stop-and-read")) != NOBODY_KNOWS
    assert holder.turned
    assert holder.view is not before
    assert any(seen for (sign, _), seen in holder.told.items() if sign in holder.turned)


def test_a_drawn_bike_complains_in_words_of_the_pages(advisor: Advisor) -> None:
    stand = stand_with(advisor, ("intake-joint-leak", "left", 0.9))
    told = stand.complain()
    holder = drawn(stand, told, 3)
    assert holder.words.count(";") == len(told) - 1
    assert holder.words == drawn(stand, told, 3).words
    assert "{side}" not in holder.words


def test_an_account_without_words_cannot_be_played(advisor: Advisor) -> None:
    account = read_accounts(FOLDER, advisor.base)[0]
    silent = Account(account.name, account.causes, account.stages, account.tells)
    assert of_account(account, advisor, 1).words == account.words
    with pytest.raises(AdvisorError, match="no 'words'"):
        of_account(silent, advisor, 1)


def test_a_bike_of_the_pages_shows_what_they_say_and_complains_of_that(advisor: Advisor) -> None:
    holder = by_the_pages(advisor, 4)
    again = by_the_pages(advisor, 4)
    assert (holder.truth, holder.words, holder.told) == (again.truth, again.words, again.told)
    assert holder.truth
    assert holder.words
    assert holder.view is None
