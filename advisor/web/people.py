"""Who may see which sessions. Each browser has a secret of its own, kept in a cookie; the store has only its digest.

On this machine alone every browser sees every session. On a network a browser is let in by a code that is shown in the
terminal and good for one of them; it then sees the sessions that it began, and no others, unless they are shared.
"""

import hashlib
import hmac
import secrets
import threading
from collections.abc import Callable

import msgspec

from advisor.session.schema import StoreError, from_json
from advisor.session.store import Store

LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"  # none that reads as another
CODE_LONG = 10  # of 31 letters: 8e14 codes. At a thousand guesses a second, thirteen thousand years for half of them
SECRET_LONG = 43  # 32 bytes in base 64
OWN = msgspec.json.Decoder(list[int])


class Browser(msgspec.Struct, frozen=True):
    """One browser by its secret."""

    secret: str

    @property
    def name(self) -> str:
        """What it is called in the store: who reads that cannot pass for the browser."""
        return hashlib.sha256(self.secret.encode()).hexdigest()

    @property
    def token(self) -> str:
        """What its forms carry, so that no other site can send one: another site knows neither this nor the secret."""
        return hmac.new(self.secret.encode(), b"form", hashlib.sha256).hexdigest()

    def sent(self, token: str) -> bool:
        """Whether a form with this token is one of its own."""
        return hmac.compare_digest(self.token.encode(), token.encode("utf-8", "replace"))


def new_browser() -> Browser:
    """Return a browser that was never here before."""
    return Browser(secrets.token_urlsafe(32))


class People:
    """The browsers that are let in, and the sessions of each. Several threads may ask."""

    def __init__(self, store: Store, show_code: Callable[[str], None] | None = None, *, shared: bool = False) -> None:
        """With `show_code` a code is asked for, and each new one is shown by it; `shared`: all see all sessions."""
        self.by_code = show_code is not None
        self.shared = shared or not self.by_code
        self._store = store
        self._show_code = show_code or (lambda _: None)
        self._lock = threading.Lock()
        self._code = ""
        self._not_kept: dict[str, set[int]] = {}  # what a browser began while the store failed
        self._next_code()

    def _next_code(self) -> None:
        self._code = "".join(secrets.choice(LETTERS) for _ in range(CODE_LONG))
        self._show_code(f"{self._code[: CODE_LONG // 2]}-{self._code[CODE_LONG // 2 :]}")

    def known(self, secret: str) -> Browser | None:
        """Return the browser of a cookie, if it may come in. Raises StoreError."""
        if len(secret) != SECRET_LONG or not secret.isascii():
            return None
        browser = Browser(secret)
        return browser if not self.by_code or self._own(browser) is not None else None

    def let_in(self, code: str) -> Browser | None:
        """Return a new browser for the code that is shown, which then is used up; None for any other code."""
        typed = "".join(letter for letter in code.upper() if letter.isalnum())
        with self._lock:
            if not hmac.compare_digest(typed.encode("utf-8", "replace"), self._code.encode()):
                return None
            browser = new_browser()
            self._store.remember(_habit(browser), [])
            self._next_code()
            return browser

    def own(self, browser: Browser) -> frozenset[int] | None:
        """Return the numbers of the sessions that a browser may see; None: all. Raises StoreError."""
        return None if self.shared else frozenset((*(self._own(browser) or ()), *self._not_kept.get(browser.name, ())))

    def sees(self, browser: Browser, session: int) -> bool:
        """Whether a browser may see a session. Raises StoreError."""
        own = self.own(browser)
        return own is None or session in own

    def began(self, browser: Browser, session: int) -> None:
        """Keep that a browser began a session: until the end of the server, if the store fails."""
        if self.by_code:
            with self._lock:
                try:
                    self._store.remember(_habit(browser), sorted({*(self._own(browser) or ()), session}))
                except StoreError:
                    self._not_kept.setdefault(browser.name, set()).add(session)

    def _own(self, browser: Browser) -> list[int] | None:
        return from_json(self._store.habit(_habit(browser)), OWN)


def _habit(browser: Browser) -> str:
    return f"sessions of browser {browser.name}"
