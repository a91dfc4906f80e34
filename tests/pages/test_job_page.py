"""A job as a page: whole by itself, in order, the same each time, and nothing in it that a text could break."""

import os
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from advisor.case import LogFile
from advisor.diagnose import Advisor
from advisor.pages.job_page import AS_IT_IS, NOT_START, STOP, page
from advisor.rulebase import Rulebase
from advisor.session.events import Noted, PutRight
from advisor.session.job import FIRST, LAST, Job, job_of, job_of_case
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.show.sheet import NOT_RIDE, NOT_RUN
from advisor.visible import visible
from tests.pages.jobs import DEMO, demo, full, shake_csv
from tests.pages.markup import Markup
from tests.session.sessions import cable_put_right, complained, told
from tests.session.test_balance_asked import played

# Fields by which a program chooses: no user's words come into them.
CHOOSES = {
    *("by", "where", "side", "id", "kind", "state", "unit", "engine", "when", "given", "sign", "forbidden", "reading"),
    *("forbids", "warns"),
}
HOSTILE = (
    "<script>alert(1)</script>",
    "</style></svg></table><b a='\">",
    "&lt;b&gt; & <!--",
    "{{ 7 * 7 }}{% raw %}",
    "$\\frac{1}{$",
    "]]>\0\x1b[2J\u202e\ud800",
    "url(http://example.org/x)",
)


def session(advisor: Advisor, *events: object) -> Session:
    journal = Journal(None)
    for one in events:
        journal.add(one)  # type: ignore[arg-type]
    return Session(advisor, journal)


@pytest.fixture(scope="module")
def everything(advisor: Advisor, tmp_path_factory: pytest.TempPathFactory) -> Job:
    """Return a job with everything on it, logs and a balance too."""
    folder = tmp_path_factory.mktemp("logs")
    idle = demo(DEMO[-1], advisor).logs
    shake = LogFile(kind="shake", path=str(shake_csv(folder / "shake.csv")), how="measured")
    found = job_of_case(msgspec.structs.replace(full(advisor), logs=(*idle, shake)), advisor)
    balance = job_of(played(advisor).session)
    return msgspec.structs.replace(found, balances=balance.balances, record=balance.record)


@pytest.mark.parametrize("path", DEMO, ids=lambda one: one.stem)
def test_each_demo_case_is_a_page_whole_by_itself(path: Path, advisor: Advisor) -> None:
    job = job_of_case(demo(path, advisor), advisor)
    whole_by_itself(page(job))


def whole_by_itself(text: str) -> Markup:
    """Check that a page is in order and names nothing outside; return it read."""
    found = Markup(text)
    assert text.startswith("<!DOCTYPE html>")
    assert "http" not in text.replace('xmlns="http://www.w3.org/2000/svg"', "")  # a name, and no reference
    assert "url(" not in text
    assert not {"script", "link", "img", "iframe", "object", "embed", "image"} & set(found.tags)
    assert not found.values("src")
    assert not [one for name, one in found.attributes if name.startswith("on")]
    ids = found.values("id")
    assert len(ids) == len(set(ids))
    assert {one.removeprefix("#") for one in found.values("href")} <= set(ids)
    return found


def test_everything_is_on_it(everything: Job) -> None:
    found = whole_by_itself(page(everything))
    for words in (
        *(everything.title, everything.complaint, everything.name, *everything.bike, *everything.told),
        *("8.1 inHg", "27 kPa", "left more by 12 mmHg", "6 thou", "0.15 mm", "1050 rpm"),  # as typed
        *(everything.shakes[0].do, *everything.idles[0].says, everything.shakes[0].found.owner),
        *("turned left idle stop in 3/8 turn", *everything.cautions),
        *(check.title for check in everything.report.next_checks),
        *("Name", "Date", "Odometer", "Signature", "Before", "After"),
    ):
        assert " ".join(words.split()) in found.text


def test_each_picture_has_its_words_and_they_have_its_figures(everything: Job) -> None:
    figures = Markup(page(everything)).figures
    drawn = [one for one in figures if not one.label.endswith("--title")]
    parts = [one for one in figures if one not in drawn]  # pictures of parts have no figures
    assert len(drawn) >= 9
    assert parts
    assert all(one.caption.strip() for one in parts)
    for one in drawn:
        assert one.label
        assert one.said
        assert all(said in one.caption for said in one.said)


def test_left_stands_on_the_left(everything: Job) -> None:
    row = next(one for one in everything.rows if one.left and one.right)
    text = Markup(page(everything)).text
    assert text.index("Left") < text.index("Right")
    assert text.index(row.left) < text.index(row.right)


def spoilt(value: object, by: str, field: str = "") -> object:
    """Return a record with every text of a user or of a page replaced."""
    if isinstance(value, str):
        return by if value and field not in CHOOSES else value
    if isinstance(value, msgspec.Struct):
        names = [one for one in value.__struct_fields__ if one not in CHOOSES]
        return msgspec.structs.replace(value, **{one: spoilt(getattr(value, one), by, one) for one in names})
    if isinstance(value, tuple):
        return tuple(spoilt(one, by, field) for one in value)
    return value


def spoilt_job(job: Job, by: str) -> Job:
    """Return a job with every text replaced, and its causes still found by their names."""
    found = spoilt(job, by)
    assert isinstance(found, Job)
    lines = tuple(
        msgspec.structs.replace(new, causes=old.causes)
        for new, old in zip(found.report.likely, job.report.likely, strict=True)
    )
    advice = msgspec.structs.replace(found.report.advice, cause=job.report.advice.cause)
    record = found.record and msgspec.structs.replace(found.record, kind=job.record.kind if job.record else "")
    return msgspec.structs.replace(
        found, record=record, report=msgspec.structs.replace(found.report, likely=lines, advice=advice)
    )


@pytest.fixture(scope="module")
def plain(everything: Job) -> Markup:
    """Return the page of everything with plain words, read."""
    return Markup(page(spoilt_job(everything, "words")))


def test_no_text_becomes_markup(everything: Job, plain: Markup) -> None:
    """The tags of a page are those that it has with plain words, and the text stands in it as it was written."""

    @settings(max_examples=4, deadline=None)  # beside those below; each takes a third of a second
    @given(
        st.text(st.sampled_from("<>&\"'/={}%#$\\-;: ab\0\x1b\u202e\ud800\n"), min_size=1, max_size=20).filter(str.strip)
    )
    def as_written(text: str) -> None:
        hostile = page(spoilt_job(everything, text))
        found = Markup(hostile)
        assert found.tags == plain.tags
        assert [name for name, _ in found.attributes] == [name for name, _ in plain.attributes]
        assert " ".join(visible(text).split()) in found.text
        hostile.encode("utf-8")

    for text in HOSTILE:
        as_written = example(text)(as_written)
    as_written()


def test_the_same_job_is_the_same_page_also_in_another_run(advisor: Advisor) -> None:
    job = job_of_case(demo(DEMO[0], advisor), advisor)
    assert page(job) == page(job)
    code = (
        "from tests.pages.jobs import DEMO, demo; from advisor.pages.job_page import page; import advisor, sys;"
        "from advisor.session.job import job_of_case; ready = advisor.Advisor(advisor.load_rules());"
        "sys.stdout.buffer.write(page(job_of_case(demo(DEMO[0], ready), ready)).encode())"
    )
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, env=env)
    assert done.stdout.decode("utf-8") == page(job)


def test_a_session_with_a_balance(advisor: Advisor) -> None:
    at = played(advisor).session
    found = whole_by_itself(page(job_of(at)))
    assert at.question.title in found.text
    assert "turned right idle stop out 1/8 turn" in found.text
    assert "Likely causes" not in found.text  # no fault is looked for
    titles = [one.label for one in found.figures]
    assert any(title.startswith("The balance at idle, by the columns: 5 readings") for title in titles)
    assert any(title.startswith("The balance off idle, by the columns: 2 readings") for title in titles)


def test_a_session_with_a_repair_has_its_readings_before_and_after(advisor: Advisor, base: Rulebase) -> None:
    at = session(advisor, *cable_put_right(base))
    at.answer("left 222 mmHg right 220 mmHg")
    at.answer("1")
    text = Markup(page(job_of(at))).text
    assert "left 240 mmHg, right 205 mmHg left 222 mmHg, right 220 mmHg" in text
    assert f"Depression at idle, {FIRST}" in text
    assert f"Depression at idle, {LAST}" in text
    assert at.question.title in text


def test_a_repair_that_waits_for_its_proof_is_asked_for(advisor: Advisor, base: Rulebase) -> None:
    at = session(advisor, *cable_put_right(base))
    assert any(isinstance(one, PutRight) for one in at.state.known)
    assert at.question.title in Markup(page(job_of(at))).text


@pytest.mark.parametrize(
    ("sign", "heading", "says"),
    [
        ("on-fire", STOP, f"{NOT_RIDE} {NOT_START}"),
        ("cuts-like-a-switch", STOP, NOT_RIDE),
        ("wont-start", AS_IT_IS, NOT_RUN),
    ],
)
def test_what_must_not_be_done_comes_first(
    sign: str, heading: str, says: str, advisor: Advisor, base: Rulebase
) -> None:
    job = job_of(session(advisor, *complained(base, "it is bad", sign)))
    text = Markup(page(job)).text
    assert text.index(f"{heading} {says}") < text.index("Complaint")
    assert job.bans
    assert all(" ".join(one.reason.split()) in text for one in job.bans)


def test_a_call_has_its_rider(advisor: Advisor, base: Rulebase) -> None:
    at = session(advisor, *complained(base, "it hunts", "idle-hangs"), told("spit-back"), Noted("name", "A. Nobody"))
    assert "name: A. Nobody" in Markup(page(job_of(at))).text


def test_too_little_told_has_no_ranking(advisor: Advisor, base: Rulebase) -> None:
    job = job_of(session(advisor, *complained(base, "it is bad")))
    assert job.report.too_little
    found = Markup(page(job))
    assert "Too little is told so far" in found.text
    assert "article" not in found.tags
