"""Units chosen once: every page, sheet, record and drawing is in them, and what was typed stays as typed."""

from urllib.parse import urlsplit

import pytest

from advisor.session.events import Read
from advisor.session.store import Store
from advisor.web.desk import Desk
from tests.web.forms import Visitor

SET_UP = ("1", "3", "2", "1")  # it is ready, gauges, no cross-check, mixtures stay


def test_the_inch_family_is_asked_for_shown_and_kept_as_typed(visitor: Visitor, store: Store, desk: Desk) -> None:
    visitor.press("balance")
    for line in SET_UP:
        visitor.press(line)
    visitor.get("/units")
    visitor.press("Inch")
    visitor.get("/session/1")
    assert "Left inHg" in visitor.page.text
    visitor.press("Take these figures", left="10", right="8", revs="1000")
    read = store.events(1)[-1]
    assert isinstance(read, Read)
    assert [one.given for one in read.readings[:2]] == ["10 inHg", "8 inHg"]
    units = desk.advisor.base.units
    in_mmhg = [one.values[0] * units["kPa"].factor / units["mmHg"].factor for one in read.readings[:2]]
    assert in_mmhg == pytest.approx([254.0, 203.2], rel=1e-4)  # 1 inHg is 25.4 mmHg
    assert "left 10.0" in visitor.page.text
    assert "mmHg" not in visitor.page.text
    job = visitor.client.get("/session/1/job.html", headers={"Host": visitor.host}).get_data(as_text=True)
    assert "10 inHg" in job
    assert "mmHg" not in job
    for path in ("record", "sheet", "where", "told"):
        assert "mmHg" not in visitor.get(f"/session/1/{path}").text
    visitor.get("/units")
    visitor.press("Metric")
    assert "left 10 inHg" not in visitor.get("/session/1/record").text
    assert "34 kPa" in visitor.page.text
    visitor.get("/units")
    visitor.press("As typed")
    assert "left 10 inHg" in visitor.get("/session/1/record").text


def test_what_was_said_stays_as_it_was_said(visitor: Visitor) -> None:
    visitor.get("/units")
    visitor.press("Inch")
    visitor.press("bench", words="it idles badly since I set 0.15 mm")
    assert "it idles badly since I set 0.15 mm" in visitor.page.text
    case = visitor.client.get("/session/1/case.yaml", headers={"Host": visitor.host}).get_data(as_text=True)
    assert "0.15 mm" in case


def test_practice_and_its_handbook_are_in_them_too(
    visitor: Visitor, tmp_path: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert " mm" in visitor.get("/practice/bike/easy-7/known").text
    visitor.get("/units")
    visitor.press("Inch")
    text = visitor.get("/practice/bike/easy-7/known").text
    assert "Plug gap: 24 to 31 thou" in text  # 0.6 to 0.8 mm
    assert " mm" not in text


@pytest.mark.parametrize("back", ["//evil.example/x", "https://evil.example", "/\\evil.example", "\n/x", "/units"])
def test_the_way_back_is_one_of_these_pages(visitor: Visitor, back: str) -> None:
    visitor.get("/units")
    path, data = visitor.fields("Metric")
    answer = visitor.client.post(
        path, data=data | {"back": back}, headers={"Host": visitor.host, "Origin": f"http://{visitor.host}"}
    )
    assert urlsplit(answer.headers["Location"]).path == "/"
