"""Loading: all mistakes at once with file and line, a shop's folder laid over, and the cache."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.diagnose import CODE, Advisor
from advisor.errors import Problem, RulesError
from advisor.places import cache_folder, shipped
from advisor.rulebase import Rulebase, cache, load
from advisor.rulebase.grammar import known
from advisor.rulebase.source import times
from advisor.yaml_nodes import Node
from tests.cases import case, report


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """Return a copy of the shipped rules that may be spoilt."""
    return Path(shutil.copytree(shipped("rules"), tmp_path / "rules"))


def _spoil(folder: Path, page: str, old: str, new: str) -> int:
    """Change a page and return the line of the change."""
    path = folder / page
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the shipped rules in which a test puts right again what it spoils."""
    return Path(shutil.copytree(shipped("rules"), tmp_path_factory.mktemp("shipped") / "rules"))


# (page, what stands there, what is put there, what the message must say; the message names the line changed + n)
MISTAKES = [
    (
        "intake/causes/intake-joint-leak.yaml",
        "[idle-hangs, ",
        "[idle-hang, ",
        "no sign is called 'idle-hang' (did you mean 'idle-hangs'?)",
    ),
    (
        "intake/causes/intake-joint-leak.yaml",
        "  often:\n",
        "  offen:\n",
        "'offen' is not a valid word for how often a sign is shown; one of: always, nearly always",
    ),
    (
        "intake/causes/intake-joint-leak.yaml",
        "the bike: [idle-hangs, ",
        "the bike: [drop-small-idle, idle-hangs, ",
        "'drop-small-idle' is seen on a side; put it under 'same side' or 'other side'",
    ),
    (
        "intake/causes/intake-joint-leak.yaml",
        "met: often",
        "met: daily",
        "'daily' is not a valid word for how often a cause is met",
    ),
    (
        "intake/causes/intake-joint-leak.yaml",
        "settled by: wet-the-joint",
        "settled by: wet-joint",
        "no check is called 'wet-joint' (did you mean 'wet-the-joint'?)",
    ),
    ("intake/causes/intake-joint-leak.yaml", "minutes: 40", "minutes: soon", "'soon' is not a plain number"),
    (
        "intake/causes/intake-joint-leak.yaml",
        "minutes: 40",
        "minuts: 40",
        "a cause page has no 'minuts' (did you mean 'minutes'?)",
    ),
    (
        "intake/causes/intake-joint-leak.yaml",
        "id: intake-joint-leak",
        "id: joint-leak",
        "the page of 'joint-leak' must be called joint-leak.yaml",
    ),
    (
        "method/causes/mixture-out.yaml",
        "either side: [screw-turn-levels]",
        "either side: [screw-turn-levels, mixture-far-from-base]",
        "'mixture-far-from-base' can be there on both sides at once; put it under 'each side'",
    ),
    ("limits.yaml", "value: 50 rpm", "value: 50", "'50' is not a figure with a unit"),
    ("limits.yaml", "value: 50 rpm", "value: 50 rmp", "'50 rmp' is not a figure with a unit"),
    (
        "balance/readings.yaml",
        "below other side by: drop-apart",
        "below other side by: drops-apart",
        "no limit is called 'drops-apart'",
    ),
    (
        "balance/readings.yaml",
        "{reading: drop-idle, side: this side,",
        "{reading: drop-idle,",
        "'drop-idle' is told for each side; add 'side: this side' or 'side: other side'",
    ),
    ("balance/readings.yaml", "unit: kPa", "unit: kpa", "'kpa' is not a valid unit"),
    (
        "balance/readings.yaml",
        "shows: {idle-too-high: yes}",
        "shows: {idle-too-high: true}",
        "'true' is not a valid state of 'idle-too-high'; one of: yes, no",
    ),
    (
        "ignition/patterns.yaml",
        "is: resistor}",
        "is: shiny}",
        "'shiny' is not a valid kind of plugs; one of: plain, resistor",
    ),
    (
        "method/patterns.yaml",
        "sets aside: [column-idle, column-off-idle,",
        "sets aside: [cruise, column-off-idle,",
        "no reading or sign is called 'cruise'",
    ),
    (
        "ignition/checks.yaml",
        "tools: [plug-spanner]",
        "tools: [plug-spaner]",
        "no tool is called 'plug-spaner' (did you mean 'plug-spanner'?)",
    ),
    ("exhaust/checks.yaml", "cautions: [hot-parts]", "cautions: [hot]", "no caution is called 'hot'"),
    (
        "cables/causes/no-cable-slack.yaml",
        "cautions: [stuck-throttle, hot-parts]\n",
        "",
        "say what can hurt while this is put right",
    ),
    (
        "felt/signs/idle.yaml",
        "healthy: seldom",
        "healthy: now and then",
        "'now and then' is not a valid word for how often it is seen on a healthy bike",
    ),
    (
        "cables/causes/cable-slack-unequal.yaml",
        "drop-half-off-idle]",
        "drop-half-off-idle, column-uneven-off-idle]",
        "'column-uneven-off-idle' is given twice on the same side; first in line 9",
    ),
    (
        "cables/causes/cable-slack-unequal.yaml",
        "[column-uneven-off-idle]",
        "[column-uneven-off-idle, off-idle-stumble]",
        "'off-idle-stumble' is seen of the whole bike; put it under 'the bike'",
    ),
    (
        "cables/causes/cable-slack-unequal.yaml",
        "other side: [column-uneven-off-idle]",
        "either side: [column-uneven-off-idle]",
        "this group of signs has no 'either side' (did you mean",
    ),
    ("limits.yaml", "far beyond by: 300 rpm", "far beyond by: -3 rpm", "more than 0, like '20 rpm'"),
    (
        "limits.yaml",
        "do: Open both",
        "do: Open {bth}",
        "'{bth}' would be said as it stands; here only {side} is filled in",
    ),
    ("limits.yaml", "do: Open both", "doo: Open both", "a limit has no 'doo' (did you mean 'do'?)"),
    ("shakes.yaml", "turns: 0.5", "turns: 9", "above 0 and up to 8, or 'with the rear wheel'"),
    ("shakes.yaml", "turns: with the rear wheel", "turns: with the wheel", "'with the wheel' is not a plain number"),
    ("shakes.yaml", "shows: shake-follows-engine", "shows: shake-follows-engin", "did you mean 'shake-follows-engine'"),
    (
        "shakes.yaml",
        "shows: shake-follows-engine",
        "shows: side-dead",
        "'side-dead' is on a side, and a shake tells none",
    ),
    ("shakes.yaml", "called: first order", "calld: first order", "what a shake comes with has no 'calld'"),
    (
        "felt/signs/road.yaml",
        'do: "Look for what is loose',
        'do: "Look on the {side} for what is loose',
        "'{side}' would be said as it stands; here there is no side to fill in",
    ),
    ("balance/readings.yaml", "climbs: Warm", "climb: Warm", "what an idle does in a log has no 'climb'"),
    ("balance/readings.yaml", "nothing below: drop-none", "nothing below: drop-non", "(did you mean 'drop-none'?)"),
    ("balance/readings.yaml", "level: The instrument", "level: The {side} one", "there is no side to fill in"),
    ("balance/readings.yaml", "neither: >", "niether: >", "the picture has no 'niether' (did you mean 'neither'?)"),
    (
        "ignition/causes/plug-dead.yaml",
        "also cures: [plug-fouled",
        "also cures: [plug-foul",
        "no cause is called 'plug-foul' (did you mean 'plug-fouled'?)",
    ),
    (
        "ignition/causes/plug-dead.yaml",
        "new parts: yes",
        "new parts: true",
        "'true' is not a valid answer; one of: yes, no",
    ),
    (
        "ignition/causes/points-burnt.yaml",
        "new parts: yes",
        "both sides at once: yes",
        "a fault of the whole bike has no sides; take out 'both sides at once'",
    ),
    ("strength.yaml", "usually: 0.75", "usually: 1.75", "1.75 is not a chance"),
    ("strength.yaml", "not seen counts: 0.7", "not seen counts: 1.6", "1.6 is not a share"),
    ("strength.yaml", "but in full from: nearly always", "but in full from: nearly alway", "nearly always"),
    (
        "ignition/patterns.yaml",
        "but: [fault-follows-coil]",
        "but: [fault-follows-plug]",
        "no sign that it switches off is called 'fault-follows-plug' (did you mean 'fault-follows-coil'?)",
    ),
]


@pytest.mark.parametrize(("page", "old", "new", "message"), MISTAKES)
def test_a_mistake_says_where_and_what_is_right(pages: Path, page: str, old: str, new: str, message: str) -> None:
    sound = (pages / page).read_bytes()
    line = _spoil(pages, page, old, new)
    try:
        with pytest.raises(RulesError) as caught:
            load([pages], cached=False)
    finally:
        (pages / page).write_bytes(sound)
    told = [problem for problem in caught.value.problems if message in problem.text]
    assert told, str(caught.value)
    assert told[0].file == str(pages / page)
    if "page of" not in message and new:
        assert line <= told[0].line <= line + 2


def test_a_page_in_the_old_form_has_one_message(copy: Path) -> None:
    page = copy / "exhaust/causes/crossover-leaking.yaml"
    text = page.read_text(encoding="utf-8")
    before, after = text[: text.index("signs:")], text[text.index("settled by:") :]
    old = "signs:\n  overrun-pop: often\n  exhaust-louder: {each side: sometimes}\n  crossover-puffs: nearly always\n"
    page.write_text(before + old + after, encoding="utf-8")
    with pytest.raises(RulesError) as caught:
        load([copy], cached=False)
    [problem] = caught.value.problems
    assert problem.line == text[: text.index("signs:")].count("\n") + 2
    assert "signs stand in groups by how often, then by side; write 'often:', below it 'the bike: [overrun-pop]'" in (
        problem.text
    )


def test_a_rule_that_switches_signs_off_does_not_blame_the_old_form_too(copy: Path) -> None:
    page = copy / "cables/causes/no-cable-slack.yaml"
    text = page.read_text(encoding="utf-8")
    signs = [link.sign for link in load([copy], cached=False).causes["no-cable-slack"].links]
    old = "".join(f"  {name}: often\n" for name in dict.fromkeys(signs))
    page.write_text(f"{text[: text.index('signs:')]}signs:\n{old}{text[text.index('settled by:') :]}", encoding="utf-8")
    with pytest.raises(RulesError) as caught:
        load([copy], cached=False)
    assert [problem.file for problem in caught.value.problems] == [str(page)]


def test_all_mistakes_at_once(copy: Path) -> None:
    for number in (0, 3, 8, 14, 18):
        page, old, new, _ = MISTAKES[number]
        _spoil(copy, page, old, new)
    with pytest.raises(RulesError) as caught:
        load([copy], cached=False)
    assert len(caught.value.problems) == 5
    assert len({problem.file for problem in caught.value.problems}) == 4


def test_an_id_that_stands_twice(copy: Path) -> None:
    (copy / "felt/signs/more.yaml").write_text(
        (copy / "felt/signs/road.yaml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    with pytest.raises(RulesError, match=r"'cruise-vibration' is given twice; first in .*more\.yaml:"):
        load([copy], cached=False)


@pytest.mark.parametrize(
    ("page", "message"),
    [
        ("notes.yaml", "a page here is not read; a rule base has strength.yaml"),
        ("ignition/note.yaml", "and in the folder of a place causes/NAME.yaml, signs.yaml or signs/"),
        ("ignition/causes.yaml", "causes/NAME.yaml"),
        ("ignition/checks/more/shop.yaml", "a page here is not read"),
        ("causes/ignition/plug-loose.yaml", "the place comes first: ignition/causes/plug-loose.yaml"),
        ("signs/shop.yaml", "the place comes first: PLACE/signs/shop.yaml"),
        ("ignitoin/checks.yaml", "the folder 'ignitoin' is not a place (did you mean 'ignition'?); one of: valves,"),
    ],
)
def test_a_page_in_the_wrong_place(copy: Path, page: str, message: str) -> None:
    (copy / page).parent.mkdir(parents=True, exist_ok=True)
    (copy / page).write_text("{}\n", encoding="utf-8")
    with pytest.raises(RulesError) as caught:
        load([copy], cached=False)
    [problem] = caught.value.problems
    assert problem.file == str(copy / page)
    assert message in problem.text


def test_no_order_hangs_on_where_a_page_lies(copy: Path, base: Rulebase) -> None:
    for kind in ("signs", "checks", "patterns"):
        page = copy / f"ignition/{kind}.yaml"
        page.parent.joinpath(kind).mkdir()
        page.rename(copy / f"ignition/{kind}/zinc.yaml")
    moved = load([copy], cached=False)
    for kind in ("signs", "checks", "rules", "readings", "causes"):
        assert list(getattr(moved, kind)) == list(getattr(base, kind))
    assert [list(moved.signs), list(moved.checks)] == [sorted(moved.signs), sorted(moved.checks)]


def test_a_felt_check_tells_its_stage(copy: Path) -> None:
    page = copy / "felt/checks/idle.yaml"
    page.write_text(page.read_text(encoding="utf-8").replace("  place: cables\n", "", 1), encoding="utf-8")
    with pytest.raises(RulesError, match="a check in felt/ tells its stage: add 'place:', one of: valves"):
        load([copy], cached=False)


def test_no_rule_base_at_all(tmp_path: Path) -> None:
    with pytest.raises(RulesError, match="this is not a folder"):
        load([tmp_path / "none"], cached=False)
    with pytest.raises(RulesError, match=r"needs a complete strength.yaml"):
        load([tmp_path], cached=False)


def test_a_shops_folder_replaces_and_adds(tmp_path: Path, base: Rulebase) -> None:
    (tmp_path / "limits.yaml").write_text(
        "drop-apart: {value: 80 rpm, meaning: ours, source: this shop}\n", encoding="utf-8"
    )
    page = (shipped("rules") / "method/causes/gauge-at-fault.yaml").read_text(encoding="utf-8")
    folder = tmp_path / "method" / "causes"
    folder.mkdir(parents=True)
    (folder / "gauge-at-fault.yaml").write_text(page.replace("minutes: 10", "minutes: 33"), encoding="utf-8")
    (folder / "gauge-lent-out.yaml").write_text(page.replace("gauge-at-fault", "gauge-lent-out"), encoding="utf-8")
    ours = load([shipped("rules"), tmp_path], cached=False)
    assert ours.limits["drop-apart"].value == 80
    assert ours.causes["gauge-at-fault"].minutes == 33
    assert set(ours.causes) - set(base.causes) == {"gauge-lent-out"}
    assert ours.signs == base.signs


def test_the_cache_gives_the_same_and_follows_every_change(copy: Path) -> None:
    fresh = load([copy], cached=False)
    assert load([copy]) == fresh
    assert load([copy]) == fresh
    _spoil(copy, "limits.yaml", "value: 50 rpm", "value: 60 rpm")
    assert load([copy]).limits["drop-apart"].value == 60


def _settled(copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let time pass, so that the times of all files are trusted."""
    monkeypatch.setattr("time.time", lambda: copy.stat().st_ctime + 3600)


def test_what_an_advisor_makes_of_the_pages_is_kept_by_their_times(copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _settled(copy, monkeypatch)
    fresh = Advisor.of([copy])
    with monkeypatch.context() as patch:
        patch.setattr("advisor.diagnose.load", lambda _: pytest.fail("the pages are the same"))
        kept = Advisor.of([copy])
    assert kept.base == fresh.base
    assert kept.chain.compiled == fresh.chain.compiled
    assert kept.networks == fresh.networks
    told = case(report("idle-hangs"), report("plug-wet", "left"))
    assert kept.diagnose(told) == fresh.diagnose(told) == Advisor(load([copy])).diagnose(told)


@pytest.mark.slow
def test_a_page_put_back_with_its_old_size_and_time_is_read_again(copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _settled(copy, monkeypatch)
    Advisor.of([copy])
    page = copy / "limits.yaml"
    before = page.stat()
    _spoil(copy, "limits.yaml", "value: 50 rpm", "value: 60 rpm")
    os.utime(page, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert page.stat().st_size == before.st_size
    assert Advisor.of([copy]).base.limits["drop-apart"].value == 60


def test_times_are_not_trusted_right_after_a_change(copy: Path) -> None:
    assert cache.stamp([*CODE, *times([copy])]) == b""


def test_a_folder_that_is_gone_is_missed_whatever_is_kept(
    copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _settled(copy, monkeypatch)
    shop = tmp_path / "shop"
    shop.mkdir()
    Advisor.of([copy])
    Advisor.of([copy, shop])
    shop.rmdir()
    with pytest.raises(RulesError, match="this is not a folder"):
        Advisor.of([copy, shop])


@pytest.mark.slow
@pytest.mark.parametrize("content", [b"", b"nonsense", b"\x81\xa5words\xc0"])
def test_a_broken_cache_is_rebuilt_without_a_word(
    copy: Path, content: bytes, capfd: pytest.CaptureFixture[str]
) -> None:
    fresh = load([copy])
    kept = list(cache_folder().glob("*.rules"))
    assert kept
    for path in kept:
        path.write_bytes(content)
    assert load([copy]) == fresh
    assert capfd.readouterr() == ("", "")


@pytest.mark.slow
def test_a_cache_that_cannot_be_written_changes_nothing(
    copy: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    assert load([copy]) == load([copy], cached=False)


LIMIT = "drop-apart: {value: 80 rpm, meaning: ours, source: this shop}\n"


def _deep(folder: Path, many: int) -> None:
    """Put so many folders into each other; their whole path is too long for any call."""
    handle = os.open(folder, os.O_RDONLY)
    for _ in range(many):
        os.mkdir("d", dir_fd=handle)
        inner = os.open("d", os.O_RDONLY, dir_fd=handle)
        os.close(handle)
        handle = inner
    os.close(handle)


def _undo_deep(folder: Path) -> None:
    """Take them out again, from above: what is inside moves up."""
    while (folder / "d").is_dir():
        inner = folder / "d" / "d"
        if inner.is_dir():
            inner.rename(folder / "e")
        (folder / "d").rmdir()
        if (folder / "e").is_dir():
            (folder / "e").rename(folder / "d")


def test_folders_nested_without_end_are_one_mistake(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    _deep(shop, 1_500)
    try:
        for cached in (False, True):
            with pytest.raises(RulesError) as caught:
                load([shipped("rules"), shop], cached=cached)
            [problem] = caught.value.problems
            assert problem.file == str(shop / "/".join("d" * 9))
            assert "more than 8 folders deep" in problem.text
    finally:
        _undo_deep(shop)


def test_links_in_a_ring_are_mistakes_or_left_alone(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "again").symlink_to(shop)
    (shop / "round.yaml").symlink_to(shop / "round.yaml")
    (shop / "nothing.yaml").symlink_to(shop / "none")
    for cached in (False, True):
        with pytest.raises(RulesError) as caught:
            load([shipped("rules"), shop], cached=cached)
        assert [Path(one.file).name for one in caught.value.problems] == ["nothing.yaml", "round.yaml"]


def test_a_stray_file_is_found_also_while_the_pages_are_as_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "limits.yaml").write_text(LIMIT, encoding="utf-8")
    (shop / "ignition").mkdir()
    _settled(shop, monkeypatch)
    Advisor.of([shipped("rules"), shop])
    (shop / "ignition" / "table.csv").write_text("a,b\n", encoding="utf-8")
    for of in (load, Advisor.of):
        with pytest.raises(RulesError, match="is not read; a page is a plain file"):
            of([shipped("rules"), shop])


@pytest.mark.slow
def test_a_folder_whose_name_is_no_utf8_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = Path(os.fsdecode(os.fsencode(tmp_path) + b"/shop\xff"))
    shop.mkdir()
    (shop / "limits.yaml").write_text(LIMIT, encoding="utf-8")
    assert load([shipped("rules"), shop]).limits["drop-apart"].value == 80
    _settled(shop, monkeypatch)
    for _ in range(2):
        assert Advisor.of([shipped("rules"), shop]).base.limits["drop-apart"].value == 80


def test_a_known_name_is_looked_up_and_not_compared_with_all() -> None:
    class Names(dict[str, int]):
        def __iter__(self) -> Iterator[str]:
            pytest.fail("a page that names something need not go through all names")

    found: list[Problem] = []
    assert known(Node("idle-hangs", "page.yaml", 1, found), Names({"idle-hangs": 1}), "sign") == "idle-hangs"
    assert found == []
