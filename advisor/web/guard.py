"""What a request must be before anything else is looked at, and what each answer tells the browser.

A page of another site can make a browser send requests here. It cannot read the answers, unless its own name leads to
this machine (hence the check of Host), and it cannot send a form (hence Origin, Sec-Fetch-Site and the token).
"""

import ipaddress
import re
import socket
from collections.abc import Mapping
from http import HTTPStatus

LARGEST_BODY = 64 * 1024  # bytes: a line has 5,000 characters at most, of 12 bytes in a form at most
LARGEST_HEAD = 16 * 1024  # bytes of all headers
HEADERS = {
    # No inline script and no style attribute: all of ours are files.
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # with 'no-referrer' a browser sends 'Origin: null' with our own forms
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Cache-Control": "no-store",  # a page that comes from the history would show an old question
}
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - asked for by the user
HOST = re.compile(r"^(?P<name>\[[0-9a-fA-F:.]{2,45}\]|[A-Za-z0-9.-]{1,253})(?::(?P<port>[0-9]{1,5}))?$")
HTTP_PORT = 80
FORM = "application/x-www-form-urlencoded"


def is_loopback(host: str) -> bool:
    """Whether nothing but this machine reaches a host."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


class Guard:
    """What is refused at once, for a server on a host and port."""

    def __init__(self, host: str, port: int) -> None:
        self.host = host.lower()
        self.port = port

    def refuses(self, method: str, headers: Mapping[str, str]) -> tuple[HTTPStatus, str] | None:
        """Return why a request is refused, as a status and a sentence; None if it is not."""
        if not self._is_ours(headers.get("Host", "")):
            return HTTPStatus.MISDIRECTED_REQUEST, "This address is not served here. Use the one shown in the terminal."
        if method != "POST":
            return None
        if headers.get("Sec-Fetch-Site", "same-origin") not in {"same-origin", "none"}:
            return HTTPStatus.FORBIDDEN, "This form came from another site, so nothing of it was taken."
        origin = headers.get("Origin")
        if origin is not None and origin.lower() != f"http://{headers.get('Host', '').lower()}":
            return HTTPStatus.FORBIDDEN, "This form came from another site, so nothing of it was taken."
        if headers.get("Content-Type", "").partition(";")[0].strip().lower() != FORM:
            return HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "Only the forms of these pages are taken."
        return None

    def _is_ours(self, host: str) -> bool:
        """Whether a Host header names this server: by an address, or by a name that no other site can have."""
        match = HOST.match(host)
        if not match or int(match["port"] or HTTP_PORT) != self.port:
            return False
        name = match["name"].lower().strip("[]")
        if is_loopback(self.host):
            return is_loopback(name)
        if self.host not in EVERYWHERE:
            return name == self.host
        return name in {"localhost", *_own_names()} or _is_address(name)


def _own_names() -> set[str]:
    name = socket.gethostname().lower()
    return {name, name.partition(".")[0], f"{name.partition('.')[0]}.local"}


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True
