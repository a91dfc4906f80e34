"""The sheet for the workshop."""

from msgspec.structs import replace

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.session.events import Answered, Noted, Skipped, Told
from advisor.session.handover import hand_over, spent
from advisor.session.next_question import CHECK
from advisor.session.session import Session
from advisor.sides import fill
from tests.session.sessions import RIDER, Says, session


def test_what_forbids_riding_is_on_the_sheet(advisor: Advisor) -> None:
    at = session(advisor, kind="phone")
    at.journal.add(Told((SignReport(sign="fuel-drips", side="left", seen=True, how="told"),)))
    at = Session(advisor, at.journal)
    assert not hand_over(at).may_ride
    assert hand_over(at).cautions


def test_words_that_mean_nothing_here_are_on_the_sheet_as_they_were_said(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad", kind="phone", means=RIDER)
    at.told_words("it sulks  in fog")
    assert 'own words: "it sulks in fog"' in hand_over(at).found


def test_the_workshop_is_not_told_to_ask_again_what_the_rider_could_not_say(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad", kind="phone", means=RIDER)
    skipped = set()
    for _ in range(8):
        if at.question.kind == CHECK and advisor.base.checks[at.question.name].how == "told":
            skipped.add(at.question.title)
        at.answer("not known")
    assert skipped
    assert not skipped & {one.title for one in hand_over(at).open}


def test_the_sheet_says_what_was_found_how_sure_and_what_is_still_open(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", "spit-back", kind="phone", means=RIDER)
    tools = (("gauge", "meter"), ("meter",), (), ("lamp",), ("hammer",))
    checks = zip(at.report.next_checks, tools, strict=True)
    chances = (0.4, 0.2, 0.051, 0.049)
    report = replace(
        at.report,
        next_checks=tuple(replace(check, tools=needs) for check, needs in checks),
        likely=tuple(replace(at.report.likely[0], probability=chance) for chance in chances),
    )
    found = hand_over(Session(Says(advisor, report), at.journal))
    assert (found.complaint, found.may_ride) == ("it will not settle", True)
    assert found.found == ("Revs hang after a blip", "Pops back through a carburettor")
    assert [(one.title, one.tools) for one in found.open] == [
        (check.title, needs) for check, needs in zip(report.next_checks[:4], tools, strict=False)
    ]
    assert [one.probability for one in found.likely] == [0.4, 0.2, 0.051]
    assert found.likely[0].remedy
    more = Says(advisor, replace(report, likely=report.likely[:1] * 6))
    assert len(hand_over(Session(more, at.journal)).likely) == 4


def test_what_a_rider_could_not_do_is_open_for_a_workshop_with_everything(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", kind="phone", means=RIDER)
    looked = next(check for check in advisor.base.checks.values() if check.how != "told" and check.who == "rider")
    at.journal.add(Skipped(looked.id, "left" if looked.sided else None, "can't"))
    at.journal.add(Skipped("a check of last year", None, "can't"))
    says = Says(advisor, at.report)
    hand_over(Session(says, at.journal))
    assert (looked.id, "left" if looked.sided else None) not in says.cases[-1].not_again
    assert all(advisor.base.checks[name].how == "told" for name, _ in says.cases[-1].not_again)
    assert (says.cases[-1].means.person, says.cases[-1].means.tools) == (advisor.base.persons[-1], None)


def test_the_sheet_tells_a_workshop_who_rang_what_is_banned_and_why_and_what_is_done_now(advisor: Advisor) -> None:
    at = session(advisor, kind="phone", means=RIDER)
    at.noted(Noted("name", "Ada Moss"))
    at.noted(Noted("note", "rings at six"))
    at.journal.add(Told((SignReport(sign="fuel-drips", side="left", seen=True, how="told"),)))
    at.journal.add(
        Answered(
            "ask-about-fire", None, "Nothing burns.", (SignReport(sign="on-fire", side=None, seen=False, how="told"),)
        )
    )
    at.journal.add(Skipped("smell-the-oil", None, "can't"))
    at = Session(advisor, at.journal)
    found = hand_over(at)
    assert (found.notes.name, found.notes.notes, found.call) == ("Ada Moss", ("rings at six",), 0)
    assert found.bans == ("Fuel drips from the left carburettor.",)
    assert not found.may_ride
    assert found.now == advisor.base.cautions["fuel-leak"].now
    assert found.denied == (f"{advisor.base.checks['ask-about-fire'].title}: Nothing burns.",)
    assert found.not_known == (advisor.base.checks["smell-the-oil"].title,)
    assert found.likely[0].remedy
    titles = {fill(one.title, side): one for one in advisor.base.checks.values() for side in (None, "left", "right")}
    for one in found.open:  # none asks a rider who is not there, none starts the engine
        assert titles[one.title].how != "told"
        assert not titles[one.title].involves


def test_the_minutes_on_the_phone_leave_out_long_pauses_and_what_is_not_known() -> None:
    assert spent([0.0, 60.0, None, 180.0, 90_000.0, 90_060.0]) == 4.0
    assert spent([5.0]) is spent([]) is spent([None, None]) is None


def test_beside_what_no_check_of_its_own_has_found_stands_the_next_likeliest(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", kind="phone", means=RIDER)
    first, second, *_ = at.report.likely
    sure, unlikely = replace(first, probability=0.99, found=False), replace(second, probability=0.01, found=False)
    for found, lines in ((False, 2), (True, 1)):
        report = replace(at.report, likely=(replace(sure, found=found), unlikely))
        one = Session(Says(advisor, report), at.journal)
        assert len(hand_over(one).likely) == lines


def test_a_check_that_has_found_something_is_not_next_on_the_sheet(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs", kind="phone", means=RIDER)
    title = hand_over(at).open[0].title
    name = next(one.id for one in advisor.base.checks.values() if one.title == title and not one.sided)
    in_part = SignReport(sign="idle-hangs", side=None, seen=True, how="told")  # it leaves other signs of the check open
    at.journal.add(Answered(name, None, "", (in_part,)))
    assert title not in {one.title for one in hand_over(Session(advisor, at.journal)).open}
