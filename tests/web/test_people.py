"""Who is let in, and who sees which sessions."""

from pathlib import Path

import pytest

from advisor.session.store import Store
from advisor.web.people import CODE_LONG, LETTERS, Browser, People, new_browser


def test_a_code_lets_one_browser_in(store: Store) -> None:
    codes = list[str]()
    people = People(store, codes.append)
    assert people.let_in("") is None
    assert people.let_in("AAAAA-AAAAA") is None
    assert len(codes) == 1
    browser = people.let_in(f" {codes[0].lower()} ")
    assert browser is not None
    assert people.known(browser.secret) == browser
    assert people.let_in(codes[0]) is None, "it was used"
    other = people.let_in(codes[1])
    assert other not in {None, browser}


def test_a_code_is_long_and_of_letters_that_read_as_no_other(store: Store) -> None:
    codes = list[str]()
    people = People(store, codes.append)
    for _ in range(50):
        people.let_in(codes[-1])
    assert len(set(codes)) == 51
    assert {len(one.replace("-", "")) for one in codes} == {CODE_LONG}
    assert len(LETTERS) ** CODE_LONG > 1e14
    assert not set("01OIL") & set("".join(codes))


def test_each_sees_what_it_began_and_a_new_start_changes_nothing(store: Store) -> None:
    codes = list[str]()
    people = People(store, codes.append)
    one, two = people.let_in(codes[-1]), people.let_in(codes[-1])
    assert one
    assert two
    people.began(one, 3)
    people.began(two, 4)
    people.began(one, 7)
    again = People(store, codes.append)
    for at in (people, again):
        assert at.own(one) == frozenset({3, 7})
        assert at.own(two) == frozenset({4})
        assert [at.sees(one, number) for number in (3, 4, 7, 8)] == [True, False, True, False]
        assert at.known(new_browser().secret) is None


def test_what_was_begun_on_a_full_disk_is_seen_until_the_end(store: Store) -> None:
    codes = list[str]()
    people = People(store, codes.append)
    one, two = people.let_in(codes[-1]), people.let_in(codes[-1])
    assert one
    assert two
    store.database.execute("CREATE TRIGGER full BEFORE UPDATE ON habit BEGIN SELECT RAISE(FAIL, 'full'); END")
    people.began(one, 3)
    assert people.sees(one, 3)
    assert not people.sees(two, 3)


def test_shared_sessions_are_seen_by_all_who_were_let_in(store: Store) -> None:
    codes = list[str]()
    people = People(store, codes.append, shared=True)
    browser = people.let_in(codes[-1])
    assert browser
    assert people.own(browser) is None
    assert people.sees(browser, 1)
    assert people.known(new_browser().secret) is None


def test_on_this_machine_alone_no_code_is_asked_for(store: Store) -> None:
    people = People(store)
    browser = new_browser()
    assert people.known(browser.secret) == browser
    assert people.own(browser) is None
    people.began(browser, 1)
    assert store.database.execute("SELECT count(*) FROM habit").fetchone() == (0,)


@pytest.mark.parametrize("secret", ["", "x", "x" * 42, "x" * 44, "\N{POUND SIGN}" * 43, "\0" * 43, "x" * 5000])
def test_what_is_no_secret_of_a_browser_is_none(store: Store, secret: str) -> None:
    codes = list[str]()
    assert People(store, codes.append).known(secret) is None


def test_who_reads_the_store_cannot_pass_for_a_browser(store: Store, kept_at: Path) -> None:
    codes = list[str]()
    people = People(store, codes.append)
    browser = people.let_in(codes[-1])
    assert browser
    kept = b"".join(one.read_bytes() for one in kept_at.parent.iterdir())
    assert browser.name.encode() in kept
    assert browser.secret.encode() not in kept
    assert browser.token.encode() not in kept


def test_a_form_is_of_the_browser_whose_token_it_carries() -> None:
    one, two = new_browser(), new_browser()
    assert one.sent(one.token)
    assert not any(one.sent(token) for token in ("", two.token, one.token[:-1], one.secret, one.name, "\ud800"))
    assert len({one.secret, one.name, one.token}) == 3
    assert Browser(one.secret).token == one.token
