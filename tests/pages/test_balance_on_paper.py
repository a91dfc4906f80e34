"""How a balance came, one reading below the other."""

import re

from advisor.pages.balance_on_paper import balance_drawn
from advisor.session.job_balance import Balance, Point, Way
from tests.pages.markup import svg_of


def test_a_reading_lies_where_it_was_and_below_the_one_before() -> None:
    leads = (35.0, -8.0, 1.0)
    points = tuple(
        Point(number=number, left_more=lead, within=4.2, sides=None, revs=None) for number, lead in enumerate(leads, 2)
    )
    way = Way(where="at idle", by="columns", unit="mmHg", alike=10.0, points=points)
    (found,) = balance_drawn(Balance(ways=(way,), steps=(), mixture=()), "b")
    assert found.lines == (
        "Alike is within 10 mmHg, the band in the picture.",
        "2: left 35 mmHg higher (give or take 4.2).",
        "3: right 8 mmHg higher (give or take 4.2).",
        "4: left 1 mmHg higher (give or take 4.2).",
    )
    root = svg_of(found.svg)
    uses = [one for one in root.iter("use") if "var(--mark)" in one.get("style", "")]
    at = [(float(one.get("x", "0")), float(one.get("y", "0"))) for one in uses]
    across = [x for x, _ in at]
    assert across[0] < across[2] < across[1]  # left more lies on the left
    assert (across[1] - across[2]) / (across[2] - across[0]) == (8 + 1) / (35 - 1) or abs(
        (across[1] - across[2]) / (across[2] - across[0]) - 9 / 34
    ) < 0.01
    assert [y for _, y in at] == sorted(y for _, y in at)
    numbers = [one.text for one in root.iter("text") if re.fullmatch(r"[234]", one.text or "")]
    assert numbers == ["2", "3", "4"]


def test_many_readings_stay_on_one_page() -> None:
    points = tuple(
        Point(number=one, left_more=float(60 - one), within=4.2, sides=None, revs=None) for one in range(1, 61)
    )
    way = Way(where="at idle", by="columns", unit="mmHg", alike=10.0, points=points)
    (found,) = balance_drawn(Balance(ways=(way,), steps=(), mixture=()), "b")
    root = svg_of(found.svg)
    assert float(root.get("viewBox", "").split()[3]) < 500  # points: A4 is 842 high
    assert len(found.lines) == 61
    named = [text.text for one in root.iter("g") if one.get("class") == "said" for text in one.iter("text")]
    assert named == ["59", "0"]  # the first and the last


def test_drops_say_more_and_columns_higher() -> None:
    point = Point(number=1, left_more=-5.0, within=28.0, sides=(210.0, 215.0), revs=1020.0)
    way = Way(where="at idle", by="drops", unit="rpm", alike=None, points=(point,))
    (found,) = balance_drawn(Balance(ways=(way,), steps=(), mixture=()), "b")
    assert found.lines == ("1: left 210, right 215 rpm: right 5 rpm more (give or take 28), at 1020 rpm.",)
