"""Practice by forms alone: whatever the terminal's round can do, pages can, and each keeps what it did in one place."""

import random
from http import HTTPStatus
from pathlib import Path

import pytest

from advisor.practice.describe import stages
from advisor.practice.dialogue import resume
from advisor.practice.keeper import HalfWay, StepKept, half_way_path
from advisor.practice.levels import BikeId
from advisor.practice.round import Round
from advisor.practice.storage import write_whole
from advisor.scoring.hidden_bikes import Fault
from advisor.visible import HALF
from advisor.web.desk import Desk
from tests.attack import hostile
from tests.practice.rounds import PLUG, SLIDE, bike_with
from tests.web.conftest import ByCode
from tests.web.forms import Visitor
from tests.web.test_app import bare

BIKE = "/practice/bike/easy-7"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "tuneup-advisor"


@pytest.fixture(autouse=True)
def with_plug(monkeypatch: pytest.MonkeyPatch, desk: Desk) -> None:
    """Bring bikes whose right plug is dead."""
    plant(monkeypatch, desk, PLUG)


def plant(monkeypatch: pytest.MonkeyPatch, desk: Desk, *faults: Fault) -> None:
    def drawn(_: object, seed: int, level: str, area: str = "") -> Round:  # noqa: ARG001 - as the other is called
        return bike_with(desk.advisor, *faults, level=level)

    monkeypatch.setattr(Round, "drawn", drawn)


def test_a_bike_is_brought_and_its_stages_are_opened(visitor: Visitor, desk: Desk) -> None:
    visitor.get("/practice")
    visitor.press("Easy", seed="7", area="")
    assert visitor.where == BIKE
    assert "hidden fault" in visitor.page.text
    shown = stages(bike_with(desk.advisor, PLUG)).stages
    for one in shown:
        assert one.title[1:] in visitor.page.text
        assert f"{BIKE}/stage/{one.number}" in visitor.page.links
    for one in shown:
        listed = visitor.get(f"{BIKE}/stage/{one.number}")
        lines = [value for form in listed.forms for _, value, _ in form.buttons]
        assert len({value.split()[1] for value in lines}) == one.checks
        visitor.get(BIKE)


def test_what_a_button_says_needs_no_list_before_it(visitor: Visitor) -> None:
    """Each is the check of its own title, on the side of its own button, whatever page was looked at before."""
    visitor.get(f"{BIKE}/stage/1")
    sided = next(value for form in visitor.page.forms for _, value, text in form.buttons if text == "Left")
    visitor.get(f"{BIKE}/stage/4")
    form = visitor.page.forms[0]
    visitor.post(form.action, dict(form.fields) | {"say": sided})
    assert "left" in visitor.page.text
    assert "on the clock" in visitor.page.text


def test_words_look_measure_ask_for_a_side_and_find_several(visitor: Visitor) -> None:
    visitor.get(BIKE)
    visitor.press("Look", words="rocker cover")
    assert "on which side?" in visitor.page.text
    visitor.press("Right")
    assert "12 min on the clock" in visitor.page.text
    visitor.press("Measure", words="slack")
    assert "Which of these?" in visitor.page.text
    visitor.press("Measure both cables' slack")
    assert "mm" in visitor.page.text
    assert "15 min on the clock" in visitor.page.text
    visitor.press("Look", words="rocker cover right")
    assert "Done already" in visitor.page.text
    visitor.press("Once more")
    assert "on the clock" in visitor.page.text
    known = visitor.get(f"{BIKE}/known").text
    assert known.count("rocker cover") == 2
    assert "The handbook of this bike" in known


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("xyzzy", "finds no check; try other words."),
        ("undo", "minutes that are spent are spent"),
        ("left", "Left of what?"),
        ("99", "no such stage"),
        ("", "Write something first"),
    ],
)
def test_a_mistake_is_said_without_a_word_of_the_terminal(visitor: Visitor, words: str, says: str) -> None:
    visitor.get(BIKE)
    visitor.press("Look", words=words)
    assert says in visitor.page.text
    assert "'list'" not in visitor.page.text
    assert "'help'" not in visitor.page.text


def test_a_fault_is_put_right_and_it_is_told_how_it_went(visitor: Visitor) -> None:
    visitor.get(f"{BIKE}/fix")
    assert f"{BIKE}/stage/2?to=fix" in visitor.page.links
    visitor.press("Put it right", words="slide sticking left")
    assert "It is not gone" in visitor.page.text
    visitor.get(f"{BIKE}/stage/2?to=fix")
    visitor.press("fix plug-dead right")
    text = visitor.page.text
    assert "Right" in text
    assert "It was: The right plug is dead" in text
    assert "Put right, though it was sound: 'The left slide sticks'" in text
    assert "To the cause" in text
    assert "advisor practice" not in text
    assert "0 of 1 found. Last: ?" in visitor.get("/practice/progress").text, "a guess: nothing was looked at"


def test_two_faults_are_ticked_and_named(visitor: Visitor, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    plant(monkeypatch, desk, PLUG, SLIDE)
    visitor.get("/practice/bike/hard-7/name")
    visitor.press("It is what is ticked, and end")
    assert "Tick first what it is" in visitor.page.text
    visitor.get("/practice/bike/hard-7/name")
    path, data = visitor.fields("It is what is ticked, and end")
    visitor.post(path, data | {"tick": ["plug-dead right", "slide-sticking left"]})
    assert visitor.page.text.count("It was: ") == 2
    assert "you found it" in visitor.page.text


def test_words_that_name_it_are_asked_about(visitor: Visitor) -> None:
    visitor.get(f"{BIKE}/name")
    visitor.press("That is it", words="dead plug right")
    assert "Is it this?" in visitor.page.text
    visitor.press("Yes, and end with that")
    assert "It was: The right plug is dead" in visitor.page.text


def test_it_is_given_up_and_begun_again(visitor: Visitor) -> None:
    visitor.get(BIKE)
    visitor.press("Give up, and be shown what it was")
    assert "Given up" in visitor.page.text
    for page in ("known", "fix", "name", "stage/1"):
        assert "Given up" in visitor.get(f"{BIKE}/{page}").text, "it is over"
    visitor.press("The same bike again")
    assert "nothing done yet" in visitor.page.text


def test_the_terminal_goes_on_with_what_a_page_left(visitor: Visitor, desk: Desk) -> None:
    visitor.get(BIKE)
    visitor.press("Look", words="rocker cover left")
    talk = resume(desk.advisor, BikeId(seed=7, level="easy"))
    assert talk.round.minutes == 12
    visitor.get("/practice")
    assert "Bike 7, easy" in visitor.page.text
    visitor.press("Easy", seed="7")
    assert "12 min on the clock" in visitor.page.text


def test_a_bike_that_goes_otherwise_under_other_rules_begins_again(visitor: Visitor) -> None:
    step = StepKept(kind="check", id="rocker-cover-look", side="left", both=False, minutes=1.0, says="nothing such")
    write_whole(half_way_path(BikeId(seed=7, level="easy")), HalfWay(seed=7, level="easy", area="", steps=(step,)))
    visitor.get(f"{BIKE}/stage/1")
    assert visitor.where == BIKE
    assert visitor.status == HTTPStatus.CONFLICT
    assert "The rules have changed since" in visitor.page.text
    visitor.press("The same bike from the start")
    assert "nothing done yet" in visitor.page.text


@pytest.mark.parametrize(
    "path",
    [
        *("bike/easy-", "bike/hardest-7", "bike/easy-7-moon", "bike/easy-1234567890", "bike/easy-7/stage/9"),
        *("lesson/8", "bike/easy-7/stage/1?to=name", "bike/..%2f..%2fetc"),
    ],
)
def test_what_is_no_bike_is_not_there(visitor: Visitor, path: str) -> None:
    visitor.get(f"/practice/{path}")
    assert visitor.status == HTTPStatus.NOT_FOUND


def test_a_number_that_is_none_is_said(visitor: Visitor) -> None:
    visitor.get("/practice")
    visitor.press("Easy", seed="seven")
    assert "The number of a bike is a whole one" in visitor.page.text


def test_on_a_network_each_has_a_practice_of_its_own(by_code: ByCode) -> None:
    hers, his = by_code.let_in(), by_code.let_in()
    hers.get(BIKE)
    hers.press("Look", words="rocker cover left")
    assert "nothing done yet" in his.get(BIKE).text
    assert "Left half-way" not in his.get("/practice").text
    assert "Left half-way" in hers.get("/practice").text


def test_hostile_words_stay_words(visitor: Visitor) -> None:
    visitor.hostile = True
    for word in random.Random(3).sample(hostile.WORDS, 8):
        text = HALF.sub("", word if isinstance(word, str) else word.decode("latin-1"))
        for button in ("Look", "Measure"):
            visitor.get(BIKE)
            if "The same bike again" in visitor.page.text:  # it was named by chance
                visitor.press("The same bike again")
            assert bare(visitor.press(button, words=text))
            assert visitor.status in {HTTPStatus.OK, HTTPStatus.UNPROCESSABLE_ENTITY}
        form = visitor.page.forms[0]
        for data in ({"say": text, "steps": text}, {"do": "ticked", "tick": text}, {"do": text, "words": text}):
            visitor.post(form.action, dict(form.fields) | data)
            assert visitor.status in {HTTPStatus.OK, HTTPStatus.UNPROCESSABLE_ENTITY}, (text, data)
            assert bare(visitor.page)
        visitor.post("/practice", dict(form.fields) | {"level": "easy", "seed": text})
        assert visitor.status in {HTTPStatus.OK, HTTPStatus.UNPROCESSABLE_ENTITY}
        answer = visitor.client.get(f"/practice/bike/{text}", headers={"Host": visitor.host})
        assert answer.status_code in {200, 404}, text
