"""On paper: A4 and Letter, nothing cut off, every word there, and none that only a screen needs."""

from pathlib import Path

import pytest
from playwright.sync_api import Page

from advisor.diagnose import Advisor
from advisor.intake.casefile import read_case
from advisor.pages.job_page import page as drawn
from advisor.session.job import Job, job_of, job_of_case
from tests.browser.chromium import PHONE, SIZES, Tab
from tests.browser.conftest import Open
from tests.browser.looking import barriers_by_scheme, misfits, resized, sides
from tests.browser.printed import PAPERS, Sheet, printed, squeezed
from tests.browser.walks import begin
from tests.pages.jobs import DEMO, full
from tests.web.forms import balance

pytestmark = pytest.mark.browser
MARGIN = 15.0  # mm, of both style sheets
MM = 96 / 25.4  # CSS pixels
BALANCED = ("1", "3", "2", "1", "240 205 980", "210 225 1004", "225 225 968")
TEXTS = """(hidden) =>
  [...document.querySelectorAll("h1, h2, h3, h4, p, li, th, td, dt, figcaption, svg text")]
    .filter((one) => one.checkVisibility() && !one.querySelector("li, p, td") && !one.closest(hidden))
    .map((one) => one.textContent)"""


def job(name: str, advisor: Advisor) -> Job:
    """Return a job: everything at once, a demo case, a balance half-way."""
    if name == "balance":
        return job_of(balance(advisor, *BALANCED).session)
    case = full(advisor) if name == "full" else read_case(DEMO[0], advisor.base)
    return job_of_case(case, advisor)


def came_out_whole(sheets: list[Sheet], page: Page, paper: str, hidden: str = "nav") -> None:
    """Hold that sheets are of their size, with white margins, and have every word of the page in its order."""
    for one in sheets:
        assert one.size == pytest.approx(PAPERS[paper], abs=0.5)
        assert min(one.margins) > MARGIN - 1
    on_paper = squeezed("".join(one.text for one in sheets))
    missing = [one for one in page.evaluate(TEXTS, hidden) if squeezed(one) not in on_paper]
    assert missing == []


@pytest.mark.parametrize("name", ["full", "demo", "balance"])
def test_the_job_page_prints_whole_and_is_read_by_everybody(
    name: str, opened: Open, advisor: Advisor, tmp_path: Path
) -> None:
    tab, path = opened(), tmp_path / "job.html"
    path.write_text(drawn(job(name, advisor)), encoding="utf-8")
    tab.go(path.as_uri())
    many = {}
    for paper, (width, height) in PAPERS.items():
        sheets = printed(tab.page, paper, tmp_path / f"{paper}.pdf")
        came_out_whole(sheets, tab.page, paper)
        many[paper] = len(sheets)
        tab.page.emulate_media(media="print")
        resized(tab.page, (round((width - 2 * MARGIN) * MM), round(height * MM)))
        assert [one for one in misfits(tab.page) if "too low" not in one] == []
        tab.page.emulate_media(media="null")
    assert 1 <= many["A4"] <= many["Letter"] <= many["A4"] + 1 <= 8
    on_screen(tab)
    assert tab.asked == [path.as_uri()]


def on_screen(tab: Tab) -> None:
    """Hold that a job page fits every screen, light and dark, and everybody can read it."""
    for size in SIZES:
        resized(tab.page, size)
        assert misfits(tab.page) == []
        assert sides(tab.page)[1] == []
        assert barriers_by_scheme(tab.page) == []


def test_a_session_is_taken_as_a_page_and_its_record_and_sheet_print(opened: Open, tmp_path: Path) -> None:
    tab = opened(PHONE, "dark")
    begin(tab, "I am at the bike", "won't idle evenly since I did the valves")
    tab.press("Workshop")
    tab.press("What is ticked is so")
    tab.press("Not known")
    for name in ("record", "sheet"):
        tab.go(f"/session/1/{name}")
        for paper in PAPERS:
            sheets = printed(tab.page, paper, tmp_path / f"{name}-{paper}.pdf")
            came_out_whole(sheets, tab.page, paper, "nav, footer, .back, .side-by-side")
            on_paper = "".join(one.text for one in sheets)
            for words in ("Back to the question", "As a text file", "Sessions", "Past the top line"):
                assert words not in on_paper
    tab.press("Record")
    with tab.page.expect_download() as coming:
        tab.control("With drawings, to print").click()
    assert coming.value.suggested_filename == "job-1.html"
    coming.value.save_as(tmp_path / "job-1.html")
    tab.go((tmp_path / "job-1.html").as_uri())
    sheets = printed(tab.page, "A4", tmp_path / "job.pdf")
    came_out_whole(sheets, tab.page, "A4")
    assert "won't idle evenly since I did the valves" in sheets[0].text


def test_what_is_looked_for_on_paper_would_be_seen(opened: Open, tmp_path: Path) -> None:
    """What is not printed is missed, and what is printed too near to the edge of the paper is seen."""
    tab = opened()
    tab.page.set_content(
        "<style>@page { margin: 15mm } @media print { p { display: none } }</style><h1>so</h1><p>missing</p>"
    )
    with pytest.raises(AssertionError, match="missing"):
        came_out_whole(printed(tab.page, "A4", tmp_path / "bare.pdf"), tab.page, "A4")
    tab.page.set_content("<h1>at the edge</h1>")
    with pytest.raises(AssertionError, match="margins"):
        came_out_whole(printed(tab.page, "A4", tmp_path / "edge.pdf"), tab.page, "A4")
