"""What is refused before anything else is looked at."""

import socket
from http import HTTPStatus

import pytest

from advisor.web.guard import HEADERS, Guard, is_loopback

FORM = "application/x-www-form-urlencoded"
EVERY = "0.0.0.0"  # noqa: S104 - nothing listens here


def refused(guard: Guard, method: str = "GET", **headers: str) -> int:
    found = guard.refuses(method, {name.replace("_", "-"): value for name, value in headers.items()})
    return found[0] if found else 0


@pytest.mark.parametrize("name", ["localhost:8137", "127.0.0.1:8137", "[::1]:8137", "LOCALHOST:8137", "127.0.0.2:8137"])
def test_this_machine_is_served_by_its_own_names(name: str) -> None:
    assert not refused(Guard("127.0.0.1", 8137), Host=name)


@pytest.mark.parametrize(
    "name",
    [
        *("", "localhost", "localhost:8138", "127.0.0.1", "workshop.example:8137", "localhost.example:8137"),
        *("127.0.0.1.example:8137", "192.0.2.7:8137", "evil@localhost:8137", "localhost:8137/x", "localhost:8137\r\n"),
        *("localhost:99999999", "[::1:8137", "::1:8137", "localhost:8137,localhost:8137", "loc\0alhost:8137"),
    ],
)
def test_a_name_that_another_site_may_have_is_not_served(name: str) -> None:
    assert refused(Guard("127.0.0.1", 8137), Host=name) == HTTPStatus.MISDIRECTED_REQUEST


def test_no_host_at_all_is_not_served() -> None:
    assert refused(Guard("127.0.0.1", 8137)) == HTTPStatus.MISDIRECTED_REQUEST


def test_on_a_network_addresses_and_the_own_name_are_served_but_no_other_name() -> None:
    guard, own = Guard(EVERY, 8137), socket.gethostname()
    assert not any(refused(guard, Host=f"{name}:8137") for name in ("192.0.2.7", "[2001:db8::1]", "localhost", own))
    assert refused(guard, Host="rebound.example:8137")
    one = Guard("192.0.2.7", 8137)
    assert not refused(one, Host="192.0.2.7:8137")
    assert all(refused(one, Host=name) for name in ("192.0.2.8:8137", "localhost:8137", "192.0.2.7.example:8137"))


def test_the_usual_port_needs_no_number() -> None:
    assert not refused(Guard("127.0.0.1", 80), Host="localhost")


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 0),
        ({"Origin": "http://localhost:8137"}, 0),
        ({"Origin": "http://localhost:8137", "Sec_Fetch_Site": "same-origin"}, 0),
        ({"Origin": "null"}, 403),
        ({"Origin": ""}, 403),
        ({"Origin": "https://localhost:8137"}, 403),
        ({"Origin": "http://localhost:9000"}, 403),
        ({"Origin": "http://localhost:8137.example"}, 403),
        ({"Origin": "http://example"}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Sec_Fetch_Site": "same-site"}, 403),
        ({"Content_Type": "text/plain"}, 415),
        ({"Content_Type": "multipart/form-data; boundary=x"}, 415),
        ({"Content_Type": "application/json"}, 415),
        ({"Content_Type": f"{FORM}; charset=utf-8"}, 0),
    ],
)
def test_a_form_is_taken_from_these_pages_alone(headers: dict[str, str], status: int) -> None:
    given = {"Host": "localhost:8137", "Content_Type": FORM} | headers
    assert refused(Guard("127.0.0.1", 8137), "POST", **given) == status


def test_a_page_may_be_loaded_from_anywhere_but_not_into_a_frame() -> None:
    assert not refused(Guard("127.0.0.1", 8137), Host="localhost:8137", Sec_Fetch_Site="cross-site")
    assert "frame-ancestors 'none'" in HEADERS["Content-Security-Policy"]
    assert HEADERS["X-Frame-Options"] == "DENY"


def test_the_policy_allows_no_outside_source_and_no_inline_script() -> None:
    policy = dict(one.strip().split(" ", 1) for one in HEADERS["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert {value for name, value in policy.items() if name != "default-src"} <= {"'self'", "'none'"}


def test_loopback_is_what_only_this_machine_reaches() -> None:
    assert [is_loopback(one) for one in ("127.0.0.1", "127.3.2.1", "::1", "localhost")] == [True] * 4
    assert [is_loopback(one) for one in (EVERY, "::", "192.0.2.7", "workshop", "")] == [False] * 5
