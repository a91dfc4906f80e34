"""A server in a process of its own, and browsers at it over a real socket."""

import http.client
import os
import re
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Self
from urllib.parse import urlencode

from tests.web.forms import Page, Walks

REDIRECTS = 303


class Served:
    """A running `advisor serve` on a free port; ended by Ctrl-C."""

    def __init__(self, store: Path, *words: str) -> None:
        self.store = store
        command = [sys.executable, "-m", "advisor", "serve", "--port", "0", "--store", str(store), *words]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        self.said: list[str] = []
        self.callers: list[Caller] = []
        while not self.said or "The sessions are at" not in self.said[-1]:
            line = self.process.stdout.readline() if self.process.stdout else ""
            assert line, self.process.communicate()
            self.said.append(line)
        found = re.search(r"http://(\S+):(\d+)/", self.said[-1])
        assert found
        self.host, self.port = found[1], int(found[2])

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.end()

    def end(self, how: int = signal.SIGINT) -> tuple[int, str, str]:
        """End it and return its exit code, the last that it said, and its errors."""
        for one in self.callers:
            one.line.close()
        if self.process.returncode is None:
            os.kill(self.process.pid, how)
        out, errors = self.process.communicate(timeout=30)
        return self.process.returncode, out, errors

    def visitor(self) -> "Caller":
        """Return a browser at the first page."""
        found = Caller(self.port)
        self.callers.append(found)
        found.get("/")
        return found


class Caller(Walks):
    """One browser over one connection that stays open."""

    def __init__(self, port: int) -> None:
        super().__init__()
        self.host = f"127.0.0.1:{port}"
        self.line = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self.cookie = ""

    def get(self, path: str) -> Page:
        """Load a page."""
        return self._ask("GET", path, None)

    def post(self, path: str, data: Mapping[str, str | list[str]]) -> Page:
        """Send a form's fields."""
        return self._ask("POST", path, urlencode(data, doseq=True))

    def _ask(self, method: str, path: str, body: str | None) -> Page:
        headers = {"Host": self.host, "Cookie": self.cookie, "Origin": f"http://{self.host}"}
        headers |= {"Content-Type": "application/x-www-form-urlencoded"} if body is not None else {}
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        text = answer.read().decode("utf-8")
        if given := answer.headers.get("Set-Cookie"):
            self.cookie = given.partition(";")[0]
        self.status, self.where = answer.status, path
        if answer.status == REDIRECTS:
            return self._ask("GET", answer.headers["Location"], None)
        self.page = Page(text)
        return self.page
