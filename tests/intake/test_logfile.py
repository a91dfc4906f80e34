"""Logs as people's recorders write them: repaired and said so, or refused; never a silent wrong answer."""

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import CaseError
from advisor.intake.logfile import Log, read_log

NEED, MAY = ("time", "revs"), ("temperature",)


def read(tmp_path: Path, text: str | bytes, need: tuple[str, ...] = NEED, may: tuple[str, ...] = MAY) -> Log:
    path = tmp_path / "log.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_log(path, need, may)


def refused(tmp_path: Path, text: str | bytes, says: str) -> str:
    with pytest.raises(CaseError) as caught:
        read(tmp_path, text)
    assert says in str(caught.value)
    assert len(caught.value.problems) == 1
    return str(caught.value)


ROWS = "".join(f"{n / 10},{1000 + n}\n" for n in range(50))


@pytest.mark.parametrize(
    "header",
    ["time s,revs rpm", "Time [s],RPM", "t (s),rpm", "time_s,revs_rpm", "\ufefftime s,engine speed rpm", "time s, rpm"],
)
def test_headers_as_recorders_write_them(tmp_path: Path, header: str) -> None:
    found = read(tmp_path, f"{header}\n{ROWS}")
    assert found.columns["revs"][3] == 1003
    assert found.repairs == ()


def test_units_are_turned(tmp_path: Path) -> None:
    found = read(tmp_path, "time ms;temp F;rpm\n0;212;900\n100;212;901\n200;32;902\n")
    assert found.columns["time"] == pytest.approx([0, 0.1, 0.2])
    assert found.columns["temperature"] == pytest.approx([100, 100, 0])


def test_decimal_commas_are_read_and_said(tmp_path: Path) -> None:
    found = read(tmp_path, "time s;rpm\n0,0;1000\n0,1;1001,5\n0,2;1002\n")
    assert found.columns["time"] == pytest.approx([0, 0.1, 0.2])
    assert found.columns["revs"][1] == 1001.5
    assert found.repairs == ("decimal commas read as points",)


def test_decimal_commas_between_commas_are_refused(tmp_path: Path) -> None:
    assert ":2:" in refused(tmp_path, "time s,rpm\n0,0,1000\n0,1,1001\n", "separate the columns with ';'")


def test_bad_rows_are_left_out_with_their_lines(tmp_path: Path) -> None:
    lines = ROWS.splitlines()
    lines[5], lines[9] = "0.5,none", "0.9,"
    lines.insert(20, "1.9,1019")  # the time of the row above
    lines.insert(30, "1.0,1019")  # before it
    found = read(tmp_path, "time s,revs rpm\n" + "\n".join(lines) + "\n")
    assert found.repairs == (
        "2 rows without usable figures left out: lines 7, 11",
        "1 row with a time before the row above left out: line 32",
        "1 row with a repeated time left out: line 22",
    )
    assert len(found.columns["time"]) == 48
    assert np.all(np.diff(found.columns["time"]) > 0)


def test_impossible_figures_are_left_out(tmp_path: Path) -> None:
    found = read(tmp_path, "time s,rpm\n" + ROWS.replace("1010", "90000").replace("1011", "-5"))
    assert found.repairs == ("2 rows without usable figures left out: lines 12, 13",)


def test_blank_lines_at_the_end_are_no_rows(tmp_path: Path) -> None:
    assert read(tmp_path, f"time s,rpm\n{ROWS}\n\n").repairs == ()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "has no header"),
        ("time s,rpm\n", "no rows"),
        ("seconds,rpm\n0,1\n", "no column 'time s'"),
        ("time,rpm\n0,1\n", "has no unit for time"),
        ("time s,revs km/h\n0,1\n", "no column 'revs rpm'"),
        ("0,1000\n1,1000\n", "no column 'time s'"),
        ("time s,rpm,rpm\n0,1,2\n", "two columns of revs"),
        ("time s,rpm\n" + "".join(f"{100 - n},1000\n" for n in range(100)), "runs backwards"),
        ("time s,rpm\n" + "".join(f"{n},oops\n" for n in range(100)), "too much of it is unusable"),
        ("time s;rpm\n0,1;1000.5\n0.2;1000\n", "decimal commas and decimal points"),
        (b"time s,rpm\n\xff\xfe\x00", "UTF-8"),
        ("time s,rpm\n0,1\n1,2,3,4\n", "decimal commas"),
    ],
)
def test_what_cannot_be_repaired_is_refused(tmp_path: Path, text: str | bytes, says: str) -> None:
    refused(tmp_path, text, says)


def test_a_row_too_long_far_down_is_refused_with_its_line(tmp_path: Path) -> None:
    text = "time s,rpm\n" + "".join(f"{n},1000\n" for n in range(200)) + "200,1,2,3\n"
    assert ":202:" in refused(tmp_path, text, "too many fields")


def test_no_file(tmp_path: Path) -> None:
    for path, says in ((tmp_path, "this is a folder"), (tmp_path / "x.csv", "cannot be read: no such file")):
        with pytest.raises(CaseError, match=says):
            read_log(path, NEED)


def test_a_folder_a_pipe_and_endless_zeros_are_no_log(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/zero")):
        with pytest.raises(CaseError) as caught:
            read_log(path, NEED)
        (problem,) = caught.value.problems
        assert problem.text == "this is not a plain file but a pipe or a device; a CSV table is needed"


def test_more_than_a_hundred_megabytes_is_no_log(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    with path.open("wb") as file:
        file.truncate(100_000_001)
    with pytest.raises(CaseError, match="is over 100 MB; a CSV table is needed"):
        read_log(path, NEED)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        (f"time s,rpm,{'x' * 200_000}\n{ROWS}", 1, "this line is over 10,000 bytes long"),
        (f"time s,rpm{',a' * 1_000_000}\n{ROWS}", 1, "this line is over 10,000 bytes long"),
        (f"time s,rpm\n{ROWS}6{',1' * 1_000_000}\n", 52, "this line is over 10,000 bytes long"),
        (f"time s,rpm\n{ROWS}6,1000\0\n", 52, "is not a text file in UTF-8"),
        (f"time s,rpm\n{ROWS}".encode("utf-16"), 1, "is not a text file in UTF-8"),
        (f"time s,rpm\n{ROWS}".encode("utf-16-le"), 1, "is not a text file in UTF-8"),
        (f"time s,rpm\n{ROWS}6,100\xb0\n".encode("latin-1"), 52, "is not a text file in UTF-8"),
        (f'time s,rpm\n{ROWS}"6,1000\n7,1000\n', 52, "a quotation mark opens here and never closes"),
        (f'time s,"rpm\n{ROWS}', 1, "a quotation mark opens here and never closes"),
        ("time s,rpm\n" + "\n" * 300, 2, "no row has a time that is a figure"),
        ("time s,rpm\n" + "one,two\n" * 300, 2, "too much of it is unusable"),
        ("time s,rpm\n" + "nan,1000\ninf,1000\n" * 300, 2, "too much of it is unusable"),
        (f"time s,rpm\n{ROWS}" + "1e400,1000\n" * 20, 52, "too much of it is unusable"),
        (f"time s,rpm\n{ROWS}" + "".join(f"{1.7e9 + n},1000\n" for n in range(9)), 52, "the time jumps by 19676 days"),
        ("time s,rpm\n" + "".join(f"{120 * n},1000\n" for n in range(99)), 3, "the rows are 120 s apart"),
        ("time s,rpm\n" + "".join(f"{1.7e12 + 100 * n},1000\n" for n in range(99)), 3, "Then write 'time ms'"),
        ("time s,rpm\n" + "".join(f"{1.7e18 + n},1000\n" for n in range(99)), 2, "too much of it is unusable"),
    ],
)
def test_what_no_recorder_writes_is_one_line_with_its_row(
    tmp_path: Path, text: str | bytes, line: int, says: str
) -> None:
    assert f"log.csv:{line}: " in refused(tmp_path, text, says)


def test_lines_may_end_as_on_any_machine(tmp_path: Path) -> None:
    unix = read(tmp_path, f"time s,rpm\n{ROWS}")
    for end in ("\r", "\r\n"):
        found = read(tmp_path, f"time s,rpm\n{ROWS}".replace("\n", end))
        assert found.repairs == ()
        assert np.array_equal(found.columns["revs"], unix.columns["revs"])


def test_a_bad_row_far_down_is_named_by_its_line(tmp_path: Path) -> None:
    """The file is read a part at a time; the lines count on."""
    many = [f"{n / 10},1000" for n in range(600_000)]
    many[400_000], many[550_000] = "oops,1000", "55000,oops"
    found = read(tmp_path, "time s,rpm\n" + "\n".join(many))
    assert found.repairs == ("2 rows without usable figures left out: lines 400002, 550002",)
    assert len(found.columns["time"]) == 599_998


def test_times_of_a_clock_count_from_the_first_row(tmp_path: Path) -> None:
    clock = "".join(f"{1.7e12 + 100 * n:.0f},1000\n" for n in range(99))
    found = read(tmp_path, f"time ms,rpm\n{clock}")
    assert found.repairs == ("a clock's times, counted from the first row",)
    assert found.columns["time"] == pytest.approx(np.arange(99) / 10, abs=1e-6)


@settings(max_examples=150, deadline=None)
@given(text=st.one_of(st.text(max_size=300), st.text(alphabet="time s,rpm;0123456789.\n\t-\"'eNa", max_size=400)))
def test_no_text_yields_anything_but_a_log_or_a_message(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    path = tmp_path_factory.mktemp("log") / "any.csv"
    path.write_bytes(("time s,rpm\n" + text).encode("utf-8", "surrogatepass"))
    try:
        found = read_log(path, NEED, MAY)
    except CaseError:
        return
    assert np.all(np.diff(found.columns["time"]) > 0)
    assert np.isfinite(found.columns["revs"]).all()


@pytest.mark.slow
def test_five_million_rows(tmp_path: Path) -> None:
    """A log of 83 minutes at 1 kHz: read and reduced, with no row lost in silence."""
    from advisor.readings.idle_log import reduce_idle

    time = np.arange(5_000_000) / 1000
    path = tmp_path / "long.csv"
    revs = 1000 + 5 * time / 60 + np.random.default_rng(1).normal(0, 15, time.size)
    path.write_text(
        "time s,rpm\n" + "\n".join(f"{t:.3f},{n:.0f}" for t, n in zip(time, revs, strict=True)), encoding="utf-8"
    )
    log = read_log(path, NEED, MAY)
    assert len(log.columns["time"]) == 5_000_000
    found = reduce_idle(log, "warm")
    assert found.warm is not None
    assert found.warm.drift is not None
    assert found.warm.drift.value == pytest.approx(5, abs=0.2)
