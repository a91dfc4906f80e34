"""The look of drawings: seen on white and on black, and no class that nothing is drawn with."""

import re

import pytest

from advisor.rulebase import Rulebase
from advisor.rulebase.look import LOOK

SEEN_FROM = 3.0  # contrast of what must be seen in a picture: WCAG 2.2, success criterion 1.4.11


def _light(colour: str) -> float:
    """Return the relative luminance of `rgb(...)`, as WCAG 2.2 defines it."""
    shares = [int(one) / 255 for one in re.findall(r"\d+", colour)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _of_lines(look: dict[str, str]) -> set[str]:
    """Return the colours that a thing is known by: of its lines, or of all of it if it has none."""
    drawn = look.get("stroke", look["fill"])
    return set(re.findall(r"rgb\([^)]*\)", drawn))


COLOURED = sorted(name for name, look in LOOK.items() if _of_lines(look))


def test_what_flows_has_a_colour() -> None:
    assert {"air", "air head", "flow", "flow head", "live", "hose"} <= set(COLOURED)


@pytest.mark.parametrize("name", COLOURED)
def test_lines_are_seen_on_white_and_on_black(name: str) -> None:
    for colour in _of_lines(LOOK[name]):
        assert 1.05 / (_light(colour) + 0.05) >= SEEN_FROM
        assert (_light(colour) + 0.05) / 0.05 >= SEEN_FROM


@pytest.mark.parametrize("name", sorted(LOOK))
def test_a_page_may_set_each_colour_but_those_of_a_plug(name: str) -> None:
    given = {LOOK[name][one] for one in ("fill", "stroke") if one in LOOK[name]} - {"none", "currentColor"}
    fixed = {one for one in given if not one.startswith("var(--drawing-")}
    assert bool(fixed) == (name in {"soot", "tan", "pale"})


def test_every_class_draws_something(base: Rulebase) -> None:
    used = {name for one in base.sheets.values() for name in re.findall(r'class="([^"]*)"', one.text)}
    assert used == set(LOOK)
