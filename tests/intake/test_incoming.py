"""What comes of a table that grows: rows and news in their order, silence and its end."""

import os
from pathlib import Path

import pytest

from advisor.errors import AdvisorError
from advisor.intake.incoming import ENDS_S, FIRST_OLD, OVER, QUIET, QUIET_S, Begins, Incoming, News
from advisor.intake.live_table import Row

HEADER = "time s,revs rpm,left mmHg,right mmHg\n"


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        """Return the time, in s."""
        return self.now


def came(one: Incoming) -> list[Row | News | Begins]:
    one.read()
    found = list(one.came)
    one.came.clear()
    return found


def test_rows_come_as_they_are_written_and_another_file_begins_anew(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text(HEADER + "0,1000,240,205\n1,10")
    one = Incoming(log)
    assert came(one) == [Row(0, 1000, 240, 205)]
    with log.open("a") as more:
        more.write("10,239,206\nno,row,at,all\n")
    assert came(one) == [Row(1, 1010, 239, 206), News("A row without usable figures left out.")]
    log.write_text(HEADER + "0,990,1,2\n")
    begins, news, row = came(one)
    assert (begins, row) == (Begins(), Row(0, 990, 1, 2))
    assert isinstance(news, News)
    assert "cut short" in news.says
    one.close()


def test_silence_is_said_once_and_again_after_a_row(tmp_path: Path) -> None:
    log, clock = tmp_path / "log.csv", Clock()
    log.write_text(HEADER)
    one = Incoming(log, clock)
    ended = [one.ends]
    clock.now = ENDS_S + 0.1
    assert [*ended, one.ends] == [False, True]
    clock.now = QUIET_S + 0.1
    assert [came(one), came(one)] == [[QUIET], []]
    with log.open("a") as more:
        more.write("0,1000,240,205\n")
    assert came(one) == [Row(0, 1000, 240, 205)]
    clock.now = 2 * (QUIET_S + 0.1)
    assert came(one) == [QUIET]


def test_a_pipe_ends_with_who_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    one = Incoming(path)
    with path.open("w") as pipe:
        pipe.write(HEADER)
    found = [*came(one), *came(one), *came(one)]
    assert (found, one.ends) == ([OVER], True)
    assert OVER.whole == "The recording has ended. Type the rest, or 'stop': all is kept."


def test_of_a_long_table_that_is_there_only_the_last_comes(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text(HEADER + "".join(f"{at},1000,240,205\n" for at in range(200_000)))
    one = Incoming(log)
    found = came(one)
    assert found[0] == FIRST_OLD
    assert isinstance(found[-1], Row)
    assert found[-1].time == 199_999
    assert len(found) < 10_000
    with pytest.raises(AdvisorError, match="folder"):
        Incoming(tmp_path)
