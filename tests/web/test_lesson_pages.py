"""The lesson as pages: each stage leads to its check on a bike, and that to the next."""

from advisor.diagnose import Advisor
from advisor.practice.lesson_dialogue import ExampleShown, Lesson
from tests.web.forms import Visitor


def test_one_goes_through_all_stages(visitor: Visitor, advisor: Advisor) -> None:
    visitor.get("/practice")
    assert "/practice/lesson/1" in visitor.page.links
    for number, area in enumerate(advisor.base.areas, start=1):
        page = visitor.get(f"/practice/lesson/{number}")
        assert area.reason in page.text
        assert f"/practice/lesson/{number}/bike" in page.links
        lesson = Lesson(advisor.base, str(number))
        lesson.opening()
        shown = lesson.take("")[0]
        page = visitor.get(f"/practice/lesson/{number}/bike")
        if isinstance(shown, ExampleShown):
            assert shown.fault in page.text
            assert shown.says in page.text
        following = f"/practice/lesson/{number + 1}"
        assert (following in page.links) == (number < len(advisor.base.areas))
    assert "That is the whole order" in page.text
