"""Whole sessions as somebody at the bench or on the phone goes through them, in a real browser."""

import pytest
from playwright.sync_api import expect

from advisor.session.events import ALL_HOLDS, Answered, HandedOver, PutRight, Told
from advisor.session.next_question import BALANCED
from tests.browser.chromium import DESKTOP, PHONE, Size
from tests.browser.conftest import Open
from tests.browser.served import Pages
from tests.browser.walks import begin, question, to_the_balance, to_the_repair
from tests.web.test_pages import SENTENCE

both_sizes = pytest.mark.parametrize("size", [pytest.param(PHONE, id="phone"), pytest.param(DESKTOP, id="desktop")])


@both_sizes
@pytest.mark.browser
def test_a_fault_is_found_put_right_and_proven(size: Size, opened: Open, pages: Pages) -> None:
    tab = opened(size)
    begin(tab, "I am at the bike", SENTENCE)
    tab.press("Workshop")
    tab.page.get_by_label("Pops back through a carburettor").uncheck()
    tab.press("What is ticked is so")
    (told,) = (one for one in pages.desk.store.events(1) if isinstance(one, Told))
    assert len(told.reports) == 1, "the other one was crossed out"
    for _ in to_the_repair(tab, pages):
        expect(tab.page.locator("h1").first).to_be_in_viewport()
        expect(tab.page.locator("h1").first).to_have_text(question(tab, pages).title)
    cause = question(tab, pages).title
    tab.number(1)
    tab.number(1)
    assert tab.heading == "The fault is put right and proven"
    tab.press("End it here")
    assert tab.heading == "Fixed"
    tab.press("The record")
    expect(tab.page.get_by_role("article")).to_contain_text(cause)
    events = pages.desk.store.events(1)
    assert any(isinstance(one, PutRight) for one in events)
    assert isinstance(events[-1], Answered)
    assert events[-1].says == ALL_HOLDS
    tab.go("/")
    assert tab.page.get_by_text(SENTENCE).count() == 0, "it is not open any more"


@both_sizes
@pytest.mark.browser
def test_what_was_told_is_looked_at_set_right_and_taken_back(size: Size, opened: Open, pages: Pages) -> None:
    tab = opened(size)
    begin(tab, "I am at the bike", "won't idle evenly since I did the valves, but it starts fine")
    tab.press("Workshop")
    tab.press("What is ticked is so")
    first = tab.heading
    tab.press("Not known")
    assert tab.heading != first
    tab.press("Undo the last answer")
    assert tab.heading == first
    tab.press("Told")
    tab.page.get_by_role("listitem").filter(has_text="not: Hard to start").get_by_role(
        "button", name="Forget it"
    ).click()
    expect(tab.page.locator(".so-far")).not_to_contain_text("Hard to start")
    tab.press("Where")
    likely = tab.page.locator(".chances li")
    assert likely.count() > 1
    chances = [int(one.removesuffix("%")) for one in tab.page.locator(".chance").all_inner_texts()]
    assert chances == sorted(chances, reverse=True)
    widths = [box["width"] for one in tab.page.locator(".bar rect").all() if (box := one.bounding_box())]
    assert widths == sorted(widths, reverse=True)
    tab.press("Why this question?")
    assert tab.heading == "Why this is next"
    tab.press("What if")
    expect(tab.page.locator("h1")).to_contain_text(pages.desk.session(1).question.options[0].says)
    tab.press("Back to the question")
    assert tab.heading == first
    tab.go("/session/1/sheet")
    assert tab.heading == "For the workshop"


@both_sizes
@pytest.mark.browser
def test_a_call_goes_to_its_sheet(size: Size, opened: Open, pages: Pages) -> None:
    tab = opened(size)
    begin(tab, "A rider is on the phone", "fuel drips and one exhaust is cold")
    care = tab.page.locator(".care").first
    expect(care).to_be_in_viewport()
    tab.press("What is ticked is so")
    expect(tab.page.locator(".care.stop")).to_be_in_viewport()
    expect(tab.page.locator(".aloud").first).to_contain_text("Say")
    tab.unfold()
    tab.page.get_by_label("What it is").select_option("call back")
    tab.page.get_by_label("What to keep").fill("after six")
    tab.press("Keep it")
    tab.press("End the call")
    tab.press("The sheet for the workshop")
    expect(tab.page.get_by_role("article")).to_contain_text("after six")
    expect(tab.page.get_by_role("article")).to_contain_text("Not to be ridden as it is")
    assert isinstance(pages.desk.store.events(1)[-1], HandedOver)


@pytest.mark.browser
def test_a_balance_is_led_by_figures_and_its_columns_follow_them(opened: Open, pages: Pages) -> None:
    tab = opened()
    begin(tab, "Balance the carburettors")
    for number in (1, 3, 2, 1):
        tab.number(number)
    heights: list[tuple[float, float]] = []
    for _ in to_the_balance(tab, pages):
        expect(tab.page.locator("h1").first).to_be_in_viewport()
        drawn = [tab.page.locator(f"rect.{side}") for side in ("left", "right")]
        if drawn[0].count():
            left, right = (one.bounding_box() for one in drawn)
            assert left
            assert right
            figures = [float(one.split()[1]) for one in tab.page.locator("text.figure").all_text_contents()]
            assert left["height"] / right["height"] == pytest.approx(figures[0] / figures[1], rel=0.02)
            assert left["y"] + left["height"] == pytest.approx(right["y"] + right["height"], abs=1), "on one floor"
            heights.append((left["height"], right["height"]))
    assert question(tab, pages).kind == BALANCED
    assert len(set(heights)) > 3, "they move"
    assert tab.heading.startswith("It is balanced")


@pytest.mark.browser
def test_two_presses_are_one_answer_and_the_page_before_takes_none(opened: Open, pages: Pages) -> None:
    tab = opened()
    begin(tab, "I am at the bike", "it idles badly")
    tab.press("Workshop")
    tab.press("What is ticked is so")
    many = pages.desk.many(1)
    with tab.page.expect_navigation():
        tab.control("Not known").dblclick()
    tab.page.wait_for_load_state()
    assert pages.desk.many(1) == many + 1
    tab.page.go_back()
    tab.page.wait_for_load_state()
    tab.press("Not known")
    assert pages.desk.many(1) <= many + 2


@pytest.mark.browser
def test_the_second_person_is_told_while_the_page_is_open(opened: Open) -> None:
    one, other = opened(), opened(DESKTOP)
    begin(one, "I am at the bike", "it idles badly")
    one.press("Workshop")
    one.press("What is ticked is so")
    other.go("/session/1")
    banner = other.page.locator("#elsewhere")
    expect(banner).to_be_hidden()
    one.press("Not known")
    other.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(banner).to_be_visible()
    other.press("Show it")
    assert other.heading == one.heading
    expect(banner).to_be_hidden()
