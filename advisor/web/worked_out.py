"""An advisor for many sessions at once: each case is worked out once, and in other processes.

A diagnosis takes a tenth of a second of one processor, and the rule engine takes one case at a time. So the server asks
a few worker processes, and keeps the last reports: a new dialogue for each request costs nothing while its journal is
unchanged.
"""

import contextlib
import multiprocessing
import os
import signal
import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import msgspec

from advisor.case import Case
from advisor.diagnose import NOTHING, Advisor, Made
from advisor.errors import ChainError
from advisor.report import Report, SignState

MOST_KEPT = 300  # reports, some 100 kB each
MOST_WORKERS = 4  # each takes some 150 MB
TRIES = 2  # of a case that may have ended its worker
Asked = tuple[bool, bool, int]  # exact, closely, gone_into
WorksOut = Callable[[Case, Asked], Report]

_here: list[Advisor] = []  # in a worker: its advisor


class WorkedOut(Advisor):
    """An advisor that keeps its last reports. Threads that ask for the same case wait for one working out."""

    def __init__(self, ready: Advisor, elsewhere: WorksOut | None = None) -> None:
        """Work out `elsewhere`, or here."""
        super().__init__(ready.base, Made(ready.base, ready.chain.compiled, ready.decided, ready.networks[NOTHING]))
        self._work_out = elsewhere or self._work_out_here
        self._kept: OrderedDict[tuple[bytes, Asked], Future[Report]] = OrderedDict()
        self._kept_lock = threading.Lock()

    def diagnose(self, case: Case, *, exact: bool = False, closely: bool = False, gone_into: int = 1) -> Report:
        """Return the report of a case, as `Advisor.diagnose` does."""
        asked = (exact, closely, gone_into)
        if case.logs:  # their files may change
            return self._work_out(case, asked)
        key = msgspec.msgpack.encode(case, order="deterministic"), asked
        with self._kept_lock:
            found = self._kept.get(key)
            ours = found is None
            if found is None:
                found = self._kept[key] = Future()
                while len(self._kept) > MOST_KEPT:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
        if ours:
            self._fill(found, key, case, asked)
        return found.result()

    def signs(self, case: Case) -> tuple[SignState, ...]:
        """Return each sign of a case, as `Advisor.signs` does; a session asks for a case of which it had the report."""
        return self.diagnose(case, closely=True).signs

    def _fill(self, found: "Future[Report]", key: tuple[bytes, Asked], case: Case, asked: Asked) -> None:
        try:
            found.set_result(self._work_out(case, asked))
        except BaseException as error:
            with self._kept_lock:
                self._kept.pop(key, None)
            found.set_exception(error)
            raise

    def _work_out_here(self, case: Case, asked: Asked) -> Report:
        exact, closely, gone_into = asked
        return super().diagnose(case, exact=exact, closely=closely, gone_into=gone_into)


class Workers:
    """Processes that work out cases on the rule base of these folders. A worker that dies is replaced."""

    def __init__(self, folders: Sequence[Path], many: int = 0) -> None:
        """Start so many workers; 0: one for each processor, `MOST_WORKERS` at most."""
        self.many = many or min(MOST_WORKERS, os.cpu_count() or 1)
        self._folders = list(folders)
        self._lock = threading.Lock()
        self._pool = self._started()

    def _started(self) -> ProcessPoolExecutor:
        # Not forked: a fork of a process with threads may inherit a lock that nobody lets go.
        context = multiprocessing.get_context("spawn")
        return ProcessPoolExecutor(self.many, context, initializer=_make_ready, initargs=(self._folders,))

    def __call__(self, case: Case, asked: Asked) -> Report:
        """Return the report of a case. Raises AdvisorError as a diagnosis does; ChainError if it ends its worker."""
        for _ in range(TRIES):
            pool = self._pool
            try:
                return pool.submit(_work_out, case, asked).result()
            except (BrokenProcessPool, RuntimeError):  # RuntimeError: shut down by another thread meanwhile
                self._replace(pool)
        msg = "this case cannot be worked out: the rule engine gave up on it; go back, and take the last answer back"
        raise ChainError(msg)

    def _replace(self, broken: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is broken:
                self._pool = self._started()
                broken.shutdown(wait=False, cancel_futures=True)

    def warm_up(self) -> None:
        """Let every worker read the rules now, and not at the first answer. One that cannot is replaced then."""
        with contextlib.suppress(BrokenProcessPool):
            for one in [self._pool.submit(_process_number) for _ in range(self.many)]:
                one.result()

    def close(self) -> None:
        """End the workers."""
        self._pool.shutdown(wait=False, cancel_futures=True)


def _make_ready(folders: list[Path]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a Ctrl-C is for the server, which ends its workers
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    _here[:] = [Advisor.of(folders)]


def _end_with_the_server() -> None:
    """End this worker once its server is gone: one that was killed could not tell it."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
        os._exit(0)


def _work_out(case: Case, asked: Asked) -> Report:
    exact, closely, gone_into = asked
    return _here[0].diagnose(case, exact=exact, closely=closely, gone_into=gone_into)


def _process_number() -> int:
    return os.getpid()
