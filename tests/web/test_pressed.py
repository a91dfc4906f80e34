"""No page speaks of a prompt: whatever is pressed and typed, it says what there is to press."""

import random

import pytest

from advisor.errors import AdvisorError, Problem
from advisor.session.events import ALL_HOLDS
from advisor.web.pressed import PRESSED, pressed, said
from tests.web.forms import OF_A_TERMINAL, Visitor

WORDS = (
    "it idles badly",
    "99",
    "left",
    "yes",
    "maybe",
    "the left one",
    "240 205 1000",
    "5 kg",
    "nothing of it",
    "also",
)
LOOKS = ("", "/told", "/where", "/why", "/record", "/sheet")


def test_what_is_said_otherwise_is_of_a_terminal_and_then_not() -> None:
    assert all(OF_A_TERMINAL.search(one) for one in PRESSED)
    assert not any(OF_A_TERMINAL.search(pressed(one)) for one in PRESSED)
    assert pressed(ALL_HOLDS) == ALL_HOLDS


def test_what_to_type_is_left_out() -> None:
    assert said(AdvisorError("there is no answer 9", "choose 1 to 3")) == "there is no answer 9"
    assert said(AdvisorError([Problem("", 0, "one"), Problem("", 0, "two", "x")])) == "one two"


@pytest.mark.parametrize("kind", ["bench", "phone", "balance", "tune-up"])
def test_pressed_and_typed_into_no_page_speaks_of_a_prompt(visitor: Visitor, kind: str) -> None:
    """Each page that comes is looked at by the visitor himself."""
    draw = random.Random(kind)
    visitor.get("/")
    visitor.press(kind, words="the revs hang after a blip")
    number = visitor.where.rsplit("/", 1)[1]
    for _ in range(12):
        form = draw.choice([one for one in visitor.page.forms if one.buttons and one.method == "post"])
        name, value, _ = draw.choice(form.buttons)
        typed = dict.fromkeys(form.free, draw.choice(WORDS))
        ticks = [one for one, _, _ in form.ticks if draw.random() < 0.5]
        visitor.post(form.action, {**dict(form.fields), **typed, "tick": ticks, name: value})
        visitor.get(f"/session/{number}{draw.choice(LOOKS)}")
        if not any(one.buttons and one.method == "post" for one in visitor.page.forms):
            visitor.get(f"/session/{number}")
