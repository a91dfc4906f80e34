"""Played sessions drawn: shares, spreads, and a session without an end is none of those that found something."""

import io

from rich.console import Console

from advisor.scoring.played import FOUND, LOST, Played
from advisor.show.played import sessions


def _played(kind: str, how: str = FOUND, checks: int = 4, *, order: float = 100.0, place: int = 1) -> Played:
    return Played(
        kind=kind,
        name="7",
        truth=(("plug-dead", "left"),),
        how=how,
        checks=(("look-at-the-plug", "left"),) * checks,
        minutes=20.0,
        in_vain=(),
        proven=how == FOUND,
        heard=1,
        place=place,
        order=order,
    )


def _drawn(*played: Played, each: bool = False) -> str:
    text = io.StringIO()
    out = Console(width=80, file=text, force_terminal=False)
    for part in sessions(played, each=each):
        out.print(part)
    return text.getvalue()


def test_a_session_that_found_nothing_is_not_counted_as_short() -> None:
    text = _drawn(_played("bench"), _played("bench", LOST), _played("phone", place=5))
    assert "fault put right      50%" in text
    assert "checks until then                median -, nine of ten within -" in text
    assert "in the first 3       under 1%" in text
    assert "0.20 at the median" in text


def test_without_a_readiness_order_nothing_is_said_of_it() -> None:
    assert "readiness" not in _drawn(_played("bench", order=0.0), _played("phone", order=0.0))


def test_each_session_has_its_line() -> None:
    text = _drawn(_played("bench"), _played("phone"), each=True)
    assert "plug-dead left" in text
