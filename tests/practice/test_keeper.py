"""A round left half-way is brought back as it was, or it is said why not; how it went is kept once it is over."""

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.practice.keeper import Keeper, as_kept, brought_back, half_way_path, last_half_way
from advisor.practice.levels import BikeId
from advisor.practice.replies import LeftBefore, Mistake
from advisor.practice.round import Round
from advisor.practice.verdict import Verdict, verdict
from tests.practice.rounds import PLUG, bike_with

BIKE = BikeId(seed=7, level="easy")
# As it was written before the files had a module of their own.
OLD = (
    '{"seed":7,"level":"easy","area":"","steps":[{"kind":"check","id":"look-under-the-rocker-cover","side":"left","both":false,'
    '"minutes":12.0,"says":"Everything is in its place and oily."}]}'
)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "tuneup-advisor"


def written(text: str) -> None:
    path = half_way_path(BIKE)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def test_a_round_is_brought_back_as_it_was_left(advisor: Advisor) -> None:
    left = Round.drawn(advisor, 7, "easy")
    keeper = Keeper(left)
    assert keeper.left_before() == []
    assert keeper.kept is False
    left.do("look-under-the-rocker-cover", "left")
    left.fix("throttle-spindle-worn", "left", both=True)
    assert keeper.keep_steps() == []
    assert Keeper(Round.drawn(advisor, 7, "easy")).left_before() == [LeftBefore(bike=BIKE)]
    for which in (None, BIKE):
        back = brought_back(advisor, which)
        assert back.steps == left.steps
        assert (back.minutes, back.complaint, back.bike) == (left.minutes, left.complaint, left.bike)
        assert Keeper(back).kept
        assert Keeper(back).left_before() == []
    look = left.do("look-under-the-rocker-cover", "right")
    again = back.do("look-under-the-rocker-cover", "right")
    assert (again.says, again.minutes) == (look.says, look.minutes)
    assert set(again.cautions) == {*look.cautions, *look.as_before}  # who goes on another day reads them again


def test_files_of_before_are_still_read(advisor: Advisor) -> None:
    written(OLD)
    assert [(one.id, one.side) for one in brought_back(advisor, BIKE).steps] == [
        ("look-under-the-rocker-cover", "left")
    ]


def test_the_bike_left_last_is_the_one_to_go_on_with(advisor: Advisor) -> None:
    with pytest.raises(AdvisorError, match=r"^no bike was left half-way"):
        brought_back(advisor, None)
    with pytest.raises(AdvisorError, match=r"^no such bike was left half-way"):
        brought_back(advisor, BIKE)
    with pytest.raises(AdvisorError, match="no fault to practise on lies there"):
        brought_back(advisor, BikeId(seed=7, level="easy", area="sidecar"))
    assert last_half_way() is None
    written(OLD)
    assert last_half_way() == half_way_path(BIKE)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda text: text.replace("oily", "dry"), "the rules have changed since"),
        (lambda text: text.replace("12.0", "5.0"), "the rules have changed since"),
        (lambda text: text.replace("look-under-the-rocker-cover", "no-such-check"), "the rules have changed since"),
        (lambda text: text.replace('"left"', "null"), "the rules have changed since"),
        (
            lambda text: text.replace("look-under-the-rocker-cover", "measure-the-compression"),
            "the rules have changed since",
        ),
        (lambda text: text.replace('"check"', '"fix"'), "the rules have changed since"),
        (lambda text: text.replace('"check"', '"dance"'), "this file is damaged"),
        (lambda text: text.replace("easy", "silly"), "this file is damaged"),
        (lambda text: text.replace("7", "-7"), "this file is damaged"),
        (lambda text: text[:-9], "this file is damaged"),
        (lambda _: "", "this file is damaged"),
    ],
)
def test_what_cannot_be_brought_back_is_said(advisor: Advisor, change: Callable[[str], str], says: str) -> None:
    written(change(OLD))
    with pytest.raises(AdvisorError, match=says):
        brought_back(advisor, BIKE)


def test_both_sides_of_what_has_none_are_no_step(advisor: Advisor) -> None:
    step = '{"kind":"fix","id":"fuel-stale-or-wrong","side":null,"both":true,"minutes":1.0,"says":""}'
    written(OLD.replace(OLD[OLD.index('{"kind') : -2], step))
    with pytest.raises(AdvisorError, match=f"from the start: {BIKE.command}"):
        brought_back(advisor, BIKE)


def test_what_cannot_be_kept_is_said_once(advisor: Advisor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/proc/nowhere")
    round_ = bike_with(advisor, PLUG)
    keeper = Keeper(round_)
    round_.do("look-under-the-rocker-cover", "left")
    (trouble,) = keeper.keep_steps()
    assert isinstance(trouble, Mistake)
    assert "these steps cannot be kept" in trouble.text
    assert (keeper.keep_steps(), keeper.kept) == ([], False)


@pytest.fixture
def guess(advisor: Advisor, monkeypatch: pytest.MonkeyPatch) -> tuple[Round, Verdict]:
    """Return a round that ended with a right guess, and how it went."""
    monkeypatch.setattr("advisor.practice.verdict.play", lambda _: ())
    round_ = bike_with(advisor, PLUG)
    round_.name([("plug-dead", "right")])
    return round_, verdict(round_)


def test_the_line_kept_says_where_the_fault_lay_and_how_it_went(guess: tuple[Round, Verdict]) -> None:
    round_, found = guess
    kept = as_kept(found, round_)
    assert (kept.bike, kept.area, kept.found, kept.guessed) == (BIKE, "ignition", False, True)
    wrong = as_kept(msgspec.structs.replace(found, outcome="wrong"), round_)
    assert (wrong.found, wrong.guessed) == (False, False)
    right = as_kept(msgspec.structs.replace(found, guessed=False, minutes=12.0, plan_minutes=51.0), round_)
    assert (right.found, right.minutes, right.planner) == (True, 12.0, 51.0)


def test_at_its_end_its_steps_are_let_go_of(guess: tuple[Round, Verdict], home: Path) -> None:
    round_, found = guess
    written(OLD)
    assert Keeper(round_).end(found) == []
    assert [path.name for path in home.iterdir()] == ["practice.jsonl"]
