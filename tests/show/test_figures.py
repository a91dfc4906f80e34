"""What a figure says, on a terminal of 80 columns: a few lines, the verdict first."""

from rich.console import Console

from advisor.session.figures_say import FigureSays
from advisor.session.shown import TakenAs
from advisor.show.figures import DEFAULT, means, taken_as

SAYS = FigureSays(
    title="Depression at idle",
    given="left 240 mmHg, right 205 mmHg",
    found="left more by 35 mmHg (30.8 to 39.2); alike is within 10 mmHg",
    first="First what is asked next.",
    do="Open the left idle stop a little.",
    aim="within 10 mmHg of each other",
    default=True,
)


def drawn(one: object) -> list[str]:
    console = Console(width=80, color_system=None)
    with console.capture() as capture:
        console.print(one)
    return [line.rstrip() for line in capture.get().splitlines()]


def test_the_verdict_comes_first_then_what_to_do_and_to_read() -> None:
    lines = drawn(means(SAYS))
    assert len(lines) <= 5
    whole = " ".join(" ".join(lines).split())
    parts = [SAYS.given, "Left more by 35 mmHg", DEFAULT, SAYS.first, SAYS.do, "Then read it again: within 10 mmHg"]
    places = [whole.index(one) for one in parts]
    assert places == sorted(places)


def test_what_there_is_nothing_to_say_of_takes_no_line() -> None:
    assert drawn(means(FigureSays(title="Height", given="600 m", found=""))) == ["Height: 600 m."]


def test_words_are_shown_as_they_were_taken() -> None:
    assert drawn(taken_as(TakenAs(says="It wanders."))) == ["Taken as: It wanders. ('undo' if not)"]
    assert drawn(taken_as(TakenAs(says="", unheard="xyzzy")))[0].startswith("! 'xyzzy' is not understood")
