"""Many technicians at the pages at once, each with a session of his own, over real sockets.

    python -m tests.web.crowd --people 50 --seconds 60 --pause 2 6
    python -m tests.web.crowd --people 50 --seconds 60 --pause 0 0 --kills 3

The first is a workshop that answers far quicker than people work, the second is nobody reading anything while the
server is killed. A press is a form sent and the page that follows, as a browser does it. An answer counts as
acknowledged once the server has answered the form. It asks nothing of the package but the store, at the end.
"""

import argparse
import html
import http.client
import os
import random
import re
import resource
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from urllib.parse import urlencode

import msgspec

from advisor.session.acceptance import NOT_YET
from advisor.session.events import BENCH, FIXED, Answered, Event, Skipped
from advisor.session.store import Store

SENTENCES = (
    *("it idles badly", "the balance won't hold", "one exhaust is cold", "it hunts at idle", "the revs hang"),
    *("it spits back", "it dies at stops", "hard to start when cold", "it shakes at cruise", "flat spot off idle"),
    *("uneven drops", "it misfires on the left", "black plugs", "it pops when the throttle is closed"),
)
BUTTON = re.compile(r'<button name="(say|do)" value="([^"]*)"[^>]*>(.*?)</button>', re.DOTALL)
FIELD = r'name="{}" value="([^"]*)"'
TICKED = re.compile(r'name="tick" value="(\d+)" checked')
EVENTS = re.compile(r'data-events="(\d+)"')
NUMBER, TAG = re.compile(r'<span class="number">\d+</span>'), re.compile(r"<[^>]+>")
UNKNOWN = "not known"
GONE = (OSError, http.client.HTTPException)
PROCESSORS = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
BACK = 60.0  # s that people wait for a server that was killed


class Answer(msgspec.Struct, frozen=True):
    """An answer that the server has acknowledged: after so many events of a session, by its words."""

    session: int
    seen: int
    says: str


class Server:
    """`advisor serve` as processes of its own, which can be killed and started again at the same address."""

    def __init__(self, store: Path) -> None:
        self.store, self.port = store, 0
        self.up = threading.Event()
        self.errors = ""
        self.start()

    def start(self) -> None:
        """Start it, and wait until it listens."""
        command = [sys.executable, "-m", "advisor", "serve", "--port", str(self.port), "--store", str(self.store)]
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
        )
        said = ""
        while "The sessions are at" not in said:
            said = self.process.stdout.readline() if self.process.stdout else ""
            assert said, self.process.communicate()
        found = re.search(r":(\d+)/", said)
        assert found
        self.port = int(found[1])
        self.up.set()

    def processes(self) -> list[int]:
        """Return the numbers of all its processes."""
        number = self.process.pid
        children = Path(f"/proc/{number}/task/{number}/children").read_text(encoding="ascii")
        return [number, *map(int, children.split())]

    def kill(self) -> list[int]:
        """End the whole group at once, as a power cut does; return the processes that it had."""
        self.up.clear()
        had = self.processes()
        os.killpg(self.process.pid, signal.SIGKILL)
        self._ended()
        return had

    def end(self) -> int:
        """End it and return its exit code."""
        os.kill(self.process.pid, signal.SIGTERM)  # a shell's background job ignores Ctrl-C
        self._ended()
        return self.process.returncode

    def _ended(self) -> None:
        self.errors += self.process.communicate(timeout=60)[1]


class Technician(threading.Thread):
    """One who answers at random: any answer, or that it is not known."""

    def __init__(self, number: int, server: Server, until: float, pause: tuple[float, float]) -> None:
        super().__init__(daemon=True)
        self.random = random.Random(number)
        self.server, self.until, self.pause = server, until, pause
        self.page = self.cookie = ""
        self.session = 0
        self.pressed: list[float] = []  # s
        self.given: list[Answer] = []
        self.wrong: list[str] = []
        self.cut = 0  # presses that met a server that was killed
        self._called()

    def _called(self) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=120)

    def run(self) -> None:
        """Begin a session and answer until the time is over."""
        try:
            time.sleep(self.random.uniform(0, self.pause[1]))
            while time.monotonic() < self.until:
                try:
                    self._go_on()
                except GONE:
                    self.cut += 1
                    assert self.server.up.wait(BACK), "the server did not come back"
                    self.line.close()
                    self._called()
                    self.page = ""
                time.sleep(self.random.uniform(*self.pause))
        except Exception as error:  # noqa: BLE001 - told at the end
            self.wrong.append(repr(error))
        finally:
            self.line.close()

    def _go_on(self) -> None:
        if not self.page:
            self._get(f"/session/{self.session}" if self.session else "/")
        elif self.session:
            self._answer()
        else:
            self._press(
                {"kind": "bench", "words": self.random.choice(SENTENCES), "form": self._field("form")}, "/begin"
            )

    def _answer(self) -> None:
        buttons = [(name, html.unescape(value), text) for name, value, text in BUTTON.findall(self.page)]
        values = [value for _, value, _ in buttons]
        if "mechanic" in values:
            self._press({"say": "mechanic"})
        elif "ticked" in values:
            self._press({"do": "ticked", "tick": TICKED.findall(self.page)})
        elif UNKNOWN in values:
            some = [(value, text) for _, value, text in buttons if value.isdecimal()] + [(UNKNOWN, UNKNOWN)]
            value, text = self.random.choice(some)
            self._press({"say": value}, says=html.unescape(TAG.sub("", NUMBER.sub("", text))))
        elif any(value.isdecimal() for value in values):  # a repair, or a tool
            self._press({"say": self.random.choice([value for value in values if value.isdecimal()])})
        else:  # it is at its end
            self.session, self.page = 0, ""

    def _press(self, form: dict[str, str | list[str]], path: str = "", says: str = "") -> None:
        begins, seen = time.perf_counter(), EVENTS.search(self.page)
        form["token"] = self._field("token")
        if not path:
            form["turn"] = self._field("turn")
        status, where = self._ask("POST", path or f"/session/{self.session}", urlencode(form, doseq=True))
        if status != http.HTTPStatus.SEE_OTHER:
            self.wrong.append(f"{status}: {TAG.sub(' ', self.page)[:300]}")
            self.page = ""
            return
        self.session = int(where.rsplit("/", 1)[1])
        if says and seen:
            self.given.append(Answer(self.session, int(seen[1]), says))
        self._get(where)
        self.pressed.append(time.perf_counter() - begins)
        now = EVENTS.search(self.page)
        if "was not taken" in self.page or (says and seen and now and int(now[1]) != int(seen[1]) + 1):
            self.wrong.append(f"not taken: {says}")

    def _get(self, path: str) -> None:
        status, _ = self._ask("GET", path)
        if status != http.HTTPStatus.OK:
            self.wrong.append(f"{path}: {status}: {TAG.sub(' ', self.page)[:300]}")
            self.page = ""

    def _ask(self, method: str, path: str, body: str | None = None) -> tuple[int, str]:
        headers = {"Cookie": self.cookie} if self.cookie else {}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        self.page = answer.read().decode()
        if given := answer.headers.get("Set-Cookie"):
            self.cookie = given.partition(";")[0]
        return answer.status, answer.headers.get("Location", "")

    def _field(self, name: str) -> str:
        found = re.search(FIELD.format(name), self.page)
        assert found, f"no {name} on the page"
        return found[1]


class Figures(msgspec.Struct, kw_only=True):
    """What came of it; times in seconds. `pages`, `workers` and `driver` are processor time for one press."""

    presses: int
    p50: float
    p95: float
    longest: float
    rate: float
    answers: int
    lost: list[str]
    wrong: list[str]
    cut: int
    orphans: list[int]
    errors: str
    pages: float
    workers: float
    driver: float
    load: float

    def __str__(self) -> str:
        return (
            f"{self.presses} presses ({self.rate:.1f} a second): p50 {self.p50 * 1e3:.0f} ms, "
            f"p95 {self.p95 * 1e3:.0f} ms, longest {self.longest * 1e3:.0f} ms; "
            f"{self.answers} answers acknowledged, {len(self.lost)} lost, {len(self.wrong)} errors, "
            f"{self.cut} presses cut off, {len(self.orphans)} processes left; processor time for a press: "
            f"pages {self.pages * 1e3:.1f} ms, workers {self.workers * 1e3:.1f} ms, this driver "
            f"{self.driver * 1e3:.1f} ms; load {self.load:.1f}"
        )


def crowd(store: Path, people: int, seconds: float, pause: tuple[float, float], kills: int = 0) -> Figures:
    """Let so many people answer for some seconds, pausing between these seconds, and kill the server so many times."""
    server = Server(store)
    until = time.monotonic() + seconds
    some = [Technician(number, server, until, pause) for number in range(people)]
    own, before = _own_time(), _time_of(server)
    for one in some:
        one.start()
    had: list[int] = []
    for _ in range(kills):
        time.sleep(seconds / (kills + 1))
        had += server.kill()
        time.sleep(0.5)
        server.start()
    for one in some:
        one.join(seconds + 2 * BACK)
    spent, own = [now - then for now, then in zip(_time_of(server), before, strict=True)], _own_time() - own
    had += server.processes()
    server.end()
    taken = sorted(one for each in some for one in each.pressed)
    given = [one for each in some for one in each.given]
    return Figures(
        presses=len(taken),
        p50=statistics.median(taken),
        p95=taken[int(0.95 * len(taken))],
        longest=taken[-1],
        rate=len(taken) / seconds,
        answers=len(given),
        lost=lost(store, given),
        wrong=[wrong for one in some for wrong in one.wrong] + [one.name for one in some if one.is_alive()],
        cut=sum(one.cut for one in some),
        orphans=left(had),
        errors=server.errors,
        pages=spent[0] / len(taken) if not kills else float("nan"),
        workers=spent[1] / len(taken) if not kills else float("nan"),
        driver=own / len(taken),
        load=os.getloadavg()[0],
    )


def lost(store: Path, given: list[Answer]) -> list[str]:
    """Return the acknowledged answers that a store has not, each in words. Raises StoreError if one is damaged."""
    kept, found = Store(store), list[str]()
    every = {number for number, _, _ in kept.sessions(BENCH)} | {one.session for one in given}
    sessions: dict[int, list[Event]] = {number: kept.events(number) for number in every}
    kept.close()
    for one in given:
        events = sessions[one.session]
        event = events[one.seen] if one.seen < len(events) else None
        if event is None or not _is(event, one.says):
            found.append(f"session {one.session}, after {one.seen}: {one.says}, but {event}")
    return found


def _is(event: Event, says: str) -> bool:
    """Whether an event is an answer of these words; an answer may also be an event of another kind, without words."""
    match event:
        case Answered():
            return event.says == says or (event.says == NOT_YET and says == UNKNOWN)
        case Skipped():
            return says == UNKNOWN
    return not isinstance(event, FIXED)


def left(processes: list[int]) -> list[int]:
    """Return which of some processes still run two seconds later."""
    for _ in range(20):
        there = [one for one in processes if _runs(one)]
        if not there:
            return []
        time.sleep(0.1)
    return there


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def _own_time() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def _time_of(server: Server) -> tuple[float, float]:
    """Return the processor time that a server has used, and that of its workers, in seconds."""
    own, *workers = (_ticks(one) for one in server.processes())
    return own / os.sysconf("SC_CLK_TCK"), sum(workers) / os.sysconf("SC_CLK_TCK")


def _ticks(process: int) -> int:
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return int(fields[11]) + int(fields[12])  # proc(5): utime and stime


def main() -> None:
    """Read the command line and print what came of it."""
    parser = argparse.ArgumentParser(description="Many technicians at the pages at once.")
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--pause", type=float, nargs=2, default=(2.0, 6.0), metavar=("LEAST", "LONGEST"))
    parser.add_argument("--kills", type=int, default=0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        store = Path(folder) / "sessions.sqlite"
        found = crowd(store, asked.people, asked.seconds, tuple(asked.pause), asked.kills)
    print(found)  # noqa: T201
    for line in (*found.lost[:10], *found.wrong[:10], found.errors[:2000]):
        print(line)  # noqa: T201


if __name__ == "__main__":
    main()
