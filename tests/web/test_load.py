"""Fifty people at once on one machine: pytest -m bench -n 0 -s tests/web/test_load.py."""

import random
import statistics
import threading
import time
from pathlib import Path

import pytest

from advisor.session.events import FIXED, Event
from advisor.session.store import Store
from tests.bench.test_figures import say
from tests.web.served import Caller, Served

pytestmark = pytest.mark.bench
CLIENTS, SECONDS, PAUSE = 50, 20.0, 0.5  # a person answers no faster than he reads; judgement
SENTENCES = ("it idles badly", "the balance won't hold", "one exhaust is cold", "it hunts at idle", "the revs hang")


class Client(threading.Thread):
    """One person who answers at random: any answer, or that it is not known, or that it cannot be done."""

    def __init__(self, number: int, port: int, until: list[float]) -> None:
        super().__init__()
        self.random = random.Random(number)
        self.at = Caller(port)
        self.until = until
        self.taken: list[float] = []
        self.wrong: list[str] = []
        self.session = 0

    def run(self) -> None:
        """Begin a session and answer until the time is over."""
        try:
            self.at.get("/")
            self._press("bench", words=self.random.choice(SENTENCES))
            self.session = int(self.at.where.rsplit("/", 1)[1])
            while time.monotonic() < self.until[0]:
                self._press(self.random.choice(self._answers()))
                time.sleep(self.random.uniform(0, 2 * PAUSE))
        except Exception as error:  # noqa: BLE001 - told by the test
            self.wrong.append(repr(error))
        finally:
            self.at.line.close()

    def _answers(self) -> list[str]:
        values = [value for form in self.at.page.forms for name, value, _ in form.buttons if name in {"say", "do"}]
        for own in ("mechanic", "ticked", "not known"):  # who is there; what was understood; a question
            if own in values:
                return [one for one in values if one.isdecimal()] + [own] if own == "not known" else [own]
        return [one for one in values if one.isdecimal()] or ["undo"]

    def _press(self, text: str, **typed: str) -> None:
        begins = time.perf_counter()
        self.at.press(text, None, **typed)
        self.taken.append(time.perf_counter() - begins)
        if self.at.status != 200 or "was not taken" in self.at.page.text:
            self.wrong.append(f"{self.at.status}: {self.at.page.text[:300]}")


def test_fifty_people_answer_and_nothing_is_lost(tmp_path: Path) -> None:
    """Every press has its page, no page says that it was not taken, and the store has the answers of each.

    Asked is that nothing fails; the times depend on the machine: an answer takes a tenth of a second of a processor.
    """
    with Served(tmp_path / "s.sqlite") as served:
        until = [time.monotonic() + SECONDS]
        clients = [Client(number, served.port, until) for number in range(CLIENTS)]
        for one in clients:
            one.start()
        for one in clients:
            one.join(120)
        code, _, errors = served.end()
    taken = sorted(seconds for one in clients for seconds in one.taken)
    middle, slow = statistics.median(taken), taken[int(0.95 * len(taken))]
    say(f"{len(taken)} presses of {CLIENTS} people in {SECONDS:.0f} s: p50 {middle:.2f} s, p95 {slow:.2f} s")
    assert [wrong for one in clients for wrong in one.wrong] == []
    assert errors == ""
    assert code
    store = Store(tmp_path / "s.sqlite")
    for one in clients:
        assert _answers(store.events(one.session)) > 0
        assert len(store.events(one.session)) >= len(one.taken) - 3, "one event a press, but for the first steps"
    store.close()
    assert len({one.session for one in clients}) == CLIENTS


def _answers(events: list[Event]) -> int:
    return sum(not isinstance(one, FIXED) for one in events)
