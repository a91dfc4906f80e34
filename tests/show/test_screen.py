"""What is drawn holds no escape sequence but the console's own."""

import io
import re
import sys

import pytest
from rich.table import Table
from rich.text import Text

from advisor.show.screen import Rows, console
from advisor.visible import Visible

HOSTILE = "left\x1b]0;owned\x1b\\ \x9b2J\u202edlo si\u2066 \udcff"


def test_hostile_text_is_spelt_out_wherever_it_is_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    data = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", Visible(io.TextIOWrapper(data, "utf-8")))
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm-256color")
    table = Table(HOSTILE)
    table.add_row(Text(HOSTILE, style="bold"))
    screen = console()
    for one in (HOSTILE, Text(HOSTILE, style="red"), table, Rows([(HOSTILE, Text(HOSTILE))], label=8)):
        screen.print(one)
    sys.stdout.flush()
    said = data.getvalue().decode()
    plain = re.sub(r"\x1b\[[0-9;]*m", "", said)
    assert plain != said  # it has colours
    assert not set(plain) & set("\x1b\x9b\u202e\u2066\udcff")
    assert "\\u001b]0;owned" in plain
