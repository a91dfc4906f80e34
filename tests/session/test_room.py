"""What of a question fits on a screen: cautions shortened before anything else, then shown in parts."""

import pytest

from advisor.session.room import ANSWERS, BELOW, CARE, DOING, WHOLE, Block, above, in_short, lines, listed, parts

CAUTIONS = [f"Mind part {number}. {'It hurts because of what it does. ' * 8}".strip() for number in range(4)]


def text(many: int) -> list[Block]:
    """Return a block of so many lines on a screen of any width."""
    return [Block(0, ("x",) * many)]


@pytest.mark.parametrize(
    ("doing", "answers", "names"),
    [
        (3, 3, (WHOLE,)),
        (3, 0, (WHOLE,)),
        (9, 9, (DOING, ANSWERS)),
        (13, 2, (CARE, BELOW)),
        (14, 9, (CARE, DOING, ANSWERS)),
        (14, 0, (CARE, BELOW)),
        (40, 0, (CARE, DOING)),
    ],
)
def test_a_question_is_shown_in_as_few_parts_as_fit(doing: int, answers: int, names: tuple[str, ...]) -> None:
    found = parts([], CAUTIONS, CAUTIONS, care=[], doing=text(doing), answers=text(answers) if answers else [])
    assert found.names == names
    assert not found.full  # all were heard


def test_what_was_not_heard_is_in_full_as_far_as_there_is_room() -> None:
    found = parts([], CAUTIONS, CAUTIONS[:1], care=[], doing=text(3), answers=text(3))
    assert found.names == (WHOLE,)
    assert found.full == {CAUTIONS[1], CAUTIONS[2]}
    assert parts([], CAUTIONS, (), care=[], doing=text(1), answers=[]).full > found.full


def test_for_a_danger_of_the_bike_room_is_made() -> None:
    """It is in full the first time, though the question must then be shown in parts."""
    asked = {"care": text(1), "doing": text(6), "answers": text(5)}
    assert parts([], CAUTIONS[:2], CAUTIONS, **asked).names == (WHOLE,)
    found = parts(CAUTIONS[:2], [], (), **asked)
    assert found.names == (DOING, ANSWERS)
    assert found.full == set(CAUTIONS[:2])


def test_a_list_is_cut_where_the_screen_ends() -> None:
    assert listed([], ["one"] * 40)[0] == 15
    assert listed(CAUTIONS, ["one"] * 40)[0] < 15
    assert listed(CAUTIONS[:1], ["one"] * 3) == (3, frozenset(CAUTIONS[:1]))
    assert listed([], ["one " * 500])[0] == 1  # at least one, whatever its length


def test_a_caution_in_short_is_its_first_sentence() -> None:
    assert in_short("Keep away. It burns.") == "Keep away."
    assert in_short("Keep away.") == "Keep away."


def test_lines_are_broken_at_blanks_alone() -> None:
    assert lines("a" * 30 + " " + "b" * 30, 40) == 2
    assert lines("well-known " * 4, 22) == 2
    assert lines("", 40) == 1


def test_headings_take_their_room() -> None:
    assert above(dangers=False, rides=True, phone=False) == []
    rides, stops = (above(dangers=True, rides=rides, phone=True) for rides in (True, False))
    assert sum(one.lines(80) for one in stops) > sum(one.lines(80) for one in rides) == 1
