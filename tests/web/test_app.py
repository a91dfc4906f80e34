"""Safe: whose pages they are, where a form comes from, what hostile text and hostile requests do."""

import random
import re
from http import HTTPStatus
from pathlib import Path

import pytest
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.rulebase import Rulebase
from advisor.session.store import Store
from advisor.visible import HALF
from advisor.web import here
from advisor.web.app import COOKIE
from advisor.web.desk import Desk
from advisor.web.guard import HEADERS, LARGEST_BODY
from tests.attack import hostile
from tests.session.test_dialogue_hostile import BITS, line
from tests.web.conftest import ByCode
from tests.web.forms import PORT, Page, Visitor

MARKUP = (
    *("<script>alert(1)</script>", "<img src=x onerror=alert(1)>", '"><svg onload=alert(1)>', "' onfocus='alert(1)"),
    *("</textarea><script>1</script>", "</title><b>", "{{ 7*7 }}", "{% raw %}", "javascript:alert(1)", "&lt;b&gt;"),
    *("<!-- ", "-->", "]]>", "<a href='//example'>", "\u202e<b>", "%3Cscript%3E", '"', "<", "&"),
)
SHORT = tuple(one for one in BITS if len(one) < 100 and not HALF.search(one))  # no form can hold half a character
TAGS = frozenset(
    (
        *("html", "head", "meta", "title", "link", "script", "body", "nav", "a", "main", "section", "h1", "h2", "h3"),
        *("p", "form", "input", "label", "textarea", "button", "span", "strong", "small", "ul", "ol", "li", "footer"),
        *("details", "summary", "div", "article", "dl", "dt", "dd", "table", "thead", "tbody", "tr", "th", "td"),
        *("svg", "rect", "line", "text", "figure", "figcaption", "polyline", "circle", "g", "br"),
        *("select", "option", "fieldset", "legend"),
        *("q", "noscript"),
        *("defs", "path", "use", "desc", "ellipse", "polygon"),  # of the pictures of parts
    )
)
LOOKS = (
    "",
    "/where",
    "/why",
    "/told",
    "/record",
    "/sheet",
    "/record.txt",
    "/sheet.txt",
    "/case.yaml",
    "/job.html",
    "/events",
)
OURS = re.compile(r"https?:|<style|style=|\son\w+=|<script(?! src=\"/static/pages.js\" defer></script>)")
SCRIPTS = {"/static/pages.js"}


def begin(visitor: Visitor, words: str = "it idles badly", kind: str = "bench") -> Visitor:
    visitor.get("/")
    visitor.press(kind, words=words)
    return visitor


def bare(page: Page) -> bool:
    """Whether a page holds nothing but what templates write: no foreign tag, attribute, script or address."""
    for tag, attributes in page.tags:
        assert tag in TAGS, tag
        assert not any(name.startswith("on") or name in {"style", "srcdoc", "formaction"} for name in attributes), tag
        for name in ("href", "src", "action"):
            assert re.match(r"^(?:/(?!/)|#)", attributes.get(name, "/")), attributes
    assert {one["src"] for tag, one in page.tags if tag == "script"} <= SCRIPTS
    return True


# Hostile text


@given(text=st.lists(st.sampled_from([*MARKUP, *SHORT, "it idles badly"]), min_size=1, max_size=4).map(" ".join))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_typed_in_any_field_stays_text(text: str, app: Flask) -> None:
    visitor = Visitor(app, hostile=True)
    visitor.get("/")
    path, data = visitor.fields("phone", words=text)
    assert bare(visitor.post(path, data))
    assert visitor.status in {200, 422}
    begin(visitor, f"{text} it idles badly <b>", "phone")
    assert bare(visitor.page)
    number = visitor.where.rsplit("/", 1)[1]
    assert bare(visitor.press("Keep it", about="name", words=f"Ann {text}"))
    assert bare(visitor.press("What is ticked is so"))
    for button in ("That is the answer", "Something else"):
        if any(button in one[2] for form in visitor.page.forms for one in form.buttons):
            assert bare(visitor.press(button, words=text))
            assert visitor.status in {200, 422}
            visitor.get(f"/session/{number}")
    for look in ("where", "told", "why", "record", "sheet"):
        assert bare(visitor.get(f"/session/{number}/{look}")), look
        assert visitor.status == HTTPStatus.OK, (look, text)
    for query in ({"words": text}, {"words": text, "kind": text}):
        found = visitor.client.get("/sessions", query_string=query, headers={"Host": visitor.host})
        assert bare(Page(found.get_data(as_text=True)))
    assert bare(visitor.get("/"))


def test_hostile_words_read_as_they_were_typed(visitor: Visitor) -> None:
    for words in MARKUP:
        begin(visitor, f"{words} it idles badly")
        shown = " ".join(words.replace("\u202e", "\\u202e").split())
        assert f"{shown} it idles badly" in visitor.page.text, words
        assert bare(visitor.page)


@pytest.mark.parametrize("name", ["turn", "say", "do", "tick", "about", "words", "number", "form", "kind", "token"])
@pytest.mark.parametrize("value", [*MARKUP[:2], "\0", "9" * 5000, "-1", "\u0661", "x" * 6000])
def test_whatever_stands_in_a_hidden_field_is_said_calmly(visitor: Visitor, name: str, value: str) -> None:
    begin(visitor)
    path, data = visitor.fields("mechanic")
    assert bare(visitor.post(path, data | {name: value}))
    assert visitor.status in {200, 403, 422}
    if name in {"form", "kind", "words", "token"}:
        visitor.get("/")
        path, data = visitor.fields("bench", words="it idles badly")
        assert bare(visitor.post(path, data | {name: value}))
        assert visitor.status in {200, 400, 403, 422}
    assert "Traceback" not in visitor.page.text


# Where a form comes from


def test_a_form_without_its_token_or_with_another_ones_is_refused(app: Flask, visitor: Visitor, store: Store) -> None:
    other = begin(Visitor(app))
    begin(visitor)
    path, data = visitor.fields("mechanic")
    before = store.events(2)
    _, his = other.fields("mechanic")
    for token in ("", "x", str(his["token"])):
        visitor.post(path, data | {"token": token})
        assert visitor.status == HTTPStatus.FORBIDDEN
    visitor.post(path, {name: value for name, value in data.items() if name != "token"})
    assert visitor.status == HTTPStatus.FORBIDDEN
    assert store.events(2) == before


@pytest.mark.parametrize("path", ["/begin", "/session/1", "/session/1/again", "/session/1/before-damage"])
def test_another_site_cannot_send_a_form(visitor: Visitor, store: Store, path: str) -> None:
    begin(visitor)
    _, data = visitor.fields("mechanic")
    before = store.events(1)
    data |= {"kind": "bench", "words": "it stalls", "form": "x"}
    for headers in ({"Origin": "http://example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}):
        visitor.post(path, data, **headers)
        assert visitor.status == HTTPStatus.FORBIDDEN
    visitor.client.delete_cookie(COOKIE, domain="localhost")
    visitor.post(path, data)
    assert visitor.status == HTTPStatus.FORBIDDEN, "without the cookie the token is nobody's"
    assert (store.events(1), len(store.sessions("bench"))) == (before, 1)


def test_a_name_of_another_site_is_not_served(app: Flask) -> None:
    visitor = Visitor(app, f"rebound.example:{PORT}")
    assert "not served here" in visitor.get("/").text
    assert visitor.status == HTTPStatus.MISDIRECTED_REQUEST
    assert not visitor.client.get_cookie(COOKIE, domain="rebound.example")


def test_the_cookie_is_for_this_site_alone_and_for_no_script(app: Flask) -> None:
    answer = app.test_client().get("/", headers={"Host": f"localhost:{PORT}"})
    cookie = answer.headers["Set-Cookie"]
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {part.strip() for part in cookie.split(";")}


def test_who_comes_from_another_site_keeps_his_cookie(app: Flask) -> None:
    """A strict cookie is not sent then: a new one would make a stranger of a browser that was let in."""
    answer = app.test_client().get("/", headers={"Host": f"localhost:{PORT}", "Sec-Fetch-Site": "cross-site"})
    assert "Set-Cookie" not in answer.headers
    assert "Open the sessions" in answer.get_data(as_text=True)


# With a code


def test_without_the_code_nothing_is_shown_and_nothing_taken(by_code: ByCode, store: Store) -> None:
    begin(by_code.let_in())
    stranger = Visitor(by_code.app, f"192.0.2.7:{PORT}")
    for path in (
        "/",
        "/sessions",
        "/session/1",
        "/session/1/record",
        "/session/1/sheet.txt",
        "/session/1/events",
        "/no",
    ):
        stranger.get(path)
        assert stranger.status == HTTPStatus.UNAUTHORIZED, path
        assert "idles" not in stranger.page.text
        stranger.post(path, {"token": "x", "say": "undo"})
        assert stranger.status == HTTPStatus.UNAUTHORIZED, path
    assert stranger.client.get_cookie(COOKIE, domain="192.0.2.7") is None
    stranger.get("/")
    stranger.press("Let me in", code="AAAAA-AAAAA")
    assert stranger.status == HTTPStatus.UNAUTHORIZED
    assert len(store.sessions("bench")) == 1
    assert stranger.get("/static/pages.css")
    assert stranger.status == HTTPStatus.OK


def test_one_browsers_sessions_are_not_read_by_another(by_code: ByCode, store: Store) -> None:
    one, two = begin(by_code.let_in(), "it idles badly at my place"), by_code.let_in()
    before = store.events(1)
    for path in (
        "",
        "/where",
        "/why",
        "/told",
        "/record",
        "/sheet",
        "/record.txt",
        "/sheet.txt",
        "/case.yaml",
        "/events",
    ):
        two.get(f"/session/1{path}")
        assert (two.status, two.page.text) == (HTTPStatus.NOT_FOUND, two.get("/session/99").text), path
    path, data = one.fields("mechanic")
    for target in (path, f"{path}/again", f"{path}/before-damage"):
        two.get("/")
        _, own = two.fields("bench")
        two.post(target, data | {"token": own["token"]})
        assert two.status == HTTPStatus.NOT_FOUND
    assert "at my place" not in two.get("/").text + two.get("/sessions?words=idles").text
    assert "at my place" in one.get("/").text
    assert store.events(1) == before


def test_no_page_of_a_session_is_there_for_another_browser(by_code: ByCode, store: Store) -> None:
    """Whatever pages there are, and will be: each is as absent as that of a session that nobody has begun."""
    begin(by_code.let_in(), "it idles badly at my place")
    two, before = by_code.let_in(), store.events(1)
    _, own = two.fields("bench")
    numbered = [rule for rule in by_code.app.url_map.iter_rules() if "number" in rule.arguments]
    pages = [rule for rule in numbered if not rule.rule.startswith("/practice/lesson/")]  # its stages are for all
    assert len(pages) >= len(LOOKS)
    stranger = Visitor(by_code.app, two.host)
    for rule in pages:
        blanks = dict.fromkeys(rule.arguments, "1")
        _, path = rule.build(blanks) or ("", "")
        _, nobodys = rule.build(blanks | {"number": "99"}) or ("", "")
        for method in rule.methods or ():
            if method in {"GET", "POST"}:
                shown = [_asks(two, method, at, own | {"turn": "x"}).text for at in (path, nobodys)]
                assert shown[0] == shown[1], (method, path)
                assert two.status == HTTPStatus.NOT_FOUND, (method, path)
                _asks(stranger, method, path, own)
                assert stranger.status == HTTPStatus.UNAUTHORIZED, (method, path)
    assert store.events(1) == before


def _asks(visitor: Visitor, method: str, path: str, data: dict[str, str | list[str]]) -> Page:
    return visitor.get(path) if method == "GET" else visitor.post(path, data)


def test_a_browser_that_was_let_in_stays_so_and_a_code_does_not_serve_twice(by_code: ByCode) -> None:
    one = begin(by_code.let_in())
    late = Visitor(by_code.app, one.host)
    late.get("/")
    late.press("Let me in", code=by_code.codes[0])
    assert late.status == HTTPStatus.UNAUTHORIZED
    assert "it idles badly" in one.get("/session/1").text
    forged = Visitor(by_code.app, one.host)
    forged.client.set_cookie(COOKIE, "A" * 43, domain="192.0.2.7")
    forged.get("/session/1")
    assert forged.status == HTTPStatus.UNAUTHORIZED


def test_shared_sessions_are_seen_by_all_who_have_a_code(shared: ByCode) -> None:
    begin(shared.let_in(), "it idles badly at my place")
    assert "at my place" in shared.let_in().get("/session/1").text


# What goes wrong


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/no", 404),
        ("/session/1", 404),
        ("/session/0", 404),
        ("/session/-1", 404),
        (f"/session/{'9' * 30}", 404),
        (f"/session/{2**63}", 404),
        ("/session/x", 404),
        ("/session/1/no", 404),
        ("/session/1e3", 404),
        ("/static/../app.py", 404),
        ("/static/%2e%2e/app.py", 404),
        ("/static/..%2fapp.py", 404),
        ("/static/%2e%2e%2f%2e%2e%2f%2e%2e%2fetc/passwd", 404),
        ("/static//etc/passwd", 404),
        ("/static/", 404),
        ("/../../etc/passwd", 404),
        ("/%00", 404),
        ("/static/%00", 404),
        ("/begin", 405),
        ("/let-in", 405),
    ],
)
def test_what_is_not_there_has_a_clear_page(visitor: Visitor, path: str, status: int) -> None:
    visitor.get(path)
    assert visitor.status == status
    assert bare(visitor.page)
    assert "To the first page" in visitor.page.text


def test_every_answer_has_the_headers(visitor: Visitor) -> None:
    begin(visitor)
    for path in ("/", "/session/1", "/session/1/record.txt", "/no", "/begin", "/static/pages.css", "/static/no"):
        answer = visitor.client.get(path, headers={"Host": visitor.host})
        wanted = {name: value for name, value in HEADERS.items() if name != "Cache-Control"}
        assert {name: answer.headers[name] for name in wanted} == wanted, path
        answer.close()
        if "static" not in path:
            assert answer.headers["Cache-Control"] == "no-store"


def test_what_is_too_long_is_said(visitor: Visitor, store: Store) -> None:
    begin(visitor)
    path, data = visitor.fields("mechanic")
    visitor.post(path, data | {"words": "x" * LARGEST_BODY})
    assert visitor.status == HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    assert "too long" in visitor.page.text
    assert len(store.events(1)) == 1
    visitor.get("/session/1")
    visitor.press("mechanic")
    visitor.press("Send", words="x" * 6000)
    assert "5,000 are taken" in visitor.page.text


def test_other_methods_and_other_bodies_are_refused(visitor: Visitor) -> None:
    begin(visitor)
    host = {"Host": visitor.host}
    for method in ("PUT", "DELETE", "PATCH", "TRACE", "NONSENSE"):
        answer = visitor.client.open("/session/1", method=method, headers=host)
        assert answer.status_code == HTTPStatus.METHOD_NOT_ALLOWED, method
    for kind in ("application/json", "text/plain", "multipart/form-data; boundary=x"):
        answer = visitor.client.post("/session/1", data=b"\xff{", content_type=kind, headers=host)
        assert answer.status_code == HTTPStatus.UNSUPPORTED_MEDIA_TYPE
    answer = visitor.client.post(
        "/session/1", data=b"\xff=%ff&%&=&token", content_type="application/x-www-form-urlencoded", headers=host
    )
    assert answer.status_code == HTTPStatus.FORBIDDEN


def test_a_form_that_lacks_a_part_is_said(visitor: Visitor) -> None:
    begin(visitor)
    path, data = visitor.fields("mechanic")
    visitor.post(path, {"token": data["token"]})
    assert visitor.status == HTTPStatus.BAD_REQUEST
    visitor.post("/begin", {"token": data["token"]})
    assert visitor.status == HTTPStatus.BAD_REQUEST


def test_a_fault_of_our_own_shows_a_sentence_and_no_traceback(
    visitor: Visitor, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(*_: object) -> int:
        msg = "secret \x1b[2J"
        raise ZeroDivisionError(msg)

    monkeypatch.setattr(Desk, "has", fails)
    visitor.get("/session/1")
    assert visitor.status == HTTPStatus.INTERNAL_SERVER_ERROR
    assert "secret" not in visitor.page.text
    assert "is kept" in visitor.page.text
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "ZeroDivisionError" in said
    assert "\x1b" not in said


def test_a_store_that_fails_is_said(visitor: Visitor, store: Store) -> None:
    begin(visitor)
    store.close()
    assert "cannot be kept" in visitor.get("/session/1").text
    assert visitor.status == HTTPStatus.SERVICE_UNAVAILABLE


def test_a_damaged_session_goes_on_before_its_damage(visitor: Visitor, store: Store) -> None:
    begin(visitor)
    visitor.press("mechanic")
    visitor.press("What is ticked is so")
    store.database.execute("UPDATE entry SET event = 'x' WHERE session = 1 AND seq = 2")
    visitor.get("/session/1")
    assert visitor.status == HTTPStatus.CONFLICT
    visitor.press("Go on with what comes before it")
    assert visitor.where == "/session/2"
    assert "it idles badly" in visitor.page.text


def test_hostile_names_of_pages(visitor: Visitor) -> None:
    for word in hostile.WORDS:
        text = word if isinstance(word, str) else word.decode("latin-1")
        for query in ("cause", "answer", "words"):
            for path in ("/session/1/why", "/session/1/what-if", "/sessions"):
                answer = visitor.client.get(path, query_string={query: text}, headers={"Host": visitor.host})
                assert answer.status_code in {200, 404, 422}


def test_the_script_and_the_styles_fetch_nothing_from_outside() -> None:
    for one in (Path(here.__file__).parent / "static").iterdir():
        text = one.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?:|//[a-z]|@import|url\(", text), one.name
    for one in (Path(here.__file__).parent / "templates").iterdir():
        text = one.read_text(encoding="utf-8")
        assert not re.search(
            r"https?:|<style|style=|\son\w+=|<script(?! src=\"/static/pages.js\" defer></script>)", text
        ), one.name
        assert "|safe" not in text, one.name


def test_paper_has_neither_links_nor_buttons() -> None:
    styles = (Path(here.__file__).parent / "static" / "pages.css").read_text(encoding="utf-8")
    on_paper = styles.partition("@media print")[2]
    assert ".top, .skip, footer, .back, .side-by-side { display: none; }" in on_paper
    assert styles.count("{") == styles.count("}")


def walk(visitor: Visitor, base: Rulebase, seed: int, presses: int) -> None:
    """Press and type at random, from the beginning of a session on; whatever it is, there is a page."""
    draw, visitor.hostile = random.Random(seed), True
    visitor.get("/")
    visitor.press(draw.choice(["bench", "phone", "balance", "tune-up"]), words="it idles badly and smells of petrol")
    number = visitor.where.rsplit("/", 1)[1]
    for _ in range(presses):
        forms = [one for one in visitor.page.forms if one.buttons]
        form = draw.choice(forms or [one for one in visitor.get(f"/session/{number}").forms if one.buttons])
        name, value, _ = draw.choice(form.buttons)
        data: dict[str, str | list[str]] = {**dict(form.fields), name: value}
        typed = HALF.sub("", line(draw, base))
        for one in form.free:
            data[one] = typed
        data["tick"] = [one for one, _, _ in form.ticks if draw.random() < 0.5]
        data |= {"say": typed} if draw.random() < 0.1 else {}
        visitor.post(form.action, data) if form.method == "post" else visitor.get(f"{form.action}?words=x&cause=y")
        assert visitor.status in {200, 413, 422}, (seed, visitor.status)
        assert bare(visitor.page)
        if draw.random() < 0.2 or visitor.status != HTTPStatus.OK or f"/session/{number}" not in visitor.where:
            visitor.get(f"/session/{number}{draw.choice(['', '/told', '/where', '/why', '/record', '/sheet'])}")
            assert visitor.status == HTTPStatus.OK, (seed, visitor.where)


@pytest.mark.parametrize("seed", range(4))
def test_no_press_and_no_line_fails(visitor: Visitor, base: Rulebase, seed: int) -> None:
    walk(visitor, base, seed, 15)


@pytest.mark.slow
def test_no_press_and_no_line_fails_in_many(visitor: Visitor, base: Rulebase) -> None:
    for seed in range(100, 160):
        walk(visitor, base, seed, 25)
