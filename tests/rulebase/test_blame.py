"""A shop's mistake is never blamed on a shipped page."""

import shutil
from pathlib import Path

import pytest

from advisor.chain.run import Chain
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError, ChainError, Problem
from advisor.examples import check
from advisor.places import shipped
from advisor.rulebase import load
from advisor.rulebase.blame import at_fault
from tests.rulebase.test_load import MISTAKES
from tests.small import rule, rulebase, sign

RULES = shipped("rules")


def _shop(tmp_path: Path, **pages: str) -> list[Path]:
    """Return the shipped folder and a shop's with these pages; `__` in a name is a slash."""
    for name, text in pages.items():
        page = tmp_path / "shop" / f"{name.replace('__', '/').replace('_', '-')}.yaml"
        page.parent.mkdir(parents=True, exist_ok=True)
        page.write_text(text, encoding="utf-8")
    return [RULES, tmp_path / "shop"]


def _changed(page: str, old: str, new: str) -> str:
    text = (RULES / page).read_text(encoding="utf-8")
    assert old in text
    return text.replace(old, new, 1)


def _problems(folders: list[Path]) -> tuple[Problem, ...]:
    try:
        ready = Advisor(load(folders, cached=False))
    except AdvisorError as error:
        return error.problems
    return tuple(check(folders, ready)[1])


def _only_the_shops(folders: list[Path]) -> tuple[Problem, ...]:
    found = _problems(folders)
    assert found
    assert {one.file for one in found if not one.file.startswith(str(folders[-1]))} == set()
    return found


def _spoilt(tmp_path: Path, page: str, old: str, new: str) -> list[Path]:
    copy = tmp_path / "shop" / page
    copy.parent.mkdir(parents=True)
    copy.write_text(_changed(page, old, new), encoding="utf-8")
    return [RULES, tmp_path / "shop"]


@pytest.mark.parametrize(("page", "old", "new", "message"), MISTAKES[1:40:13])
def test_a_copied_page_with_a_mistake(tmp_path: Path, page: str, old: str, new: str, message: str) -> None:
    """The first makes shipped pages look wrong too: they name signs that this page no longer has."""
    assert any(message in one.text for one in _only_the_shops(_spoilt(tmp_path, page, old, new)))


@pytest.mark.slow
@pytest.mark.parametrize(("page", "old", "new", "message"), MISTAKES)
def test_a_copied_page_with_any_mistake(tmp_path: Path, page: str, old: str, new: str, message: str) -> None:
    assert any(message in one.text for one in _only_the_shops(_spoilt(tmp_path, page, old, new)))


RING = """\
ring-one: {when: [{sign: idle-hangs}], unless: [{sign: idle-hunts}], shows: {pops: yes}, reason: r}
ring-two: {when: [{sign: idle-bad}], unless: [{sign: pops}], shows: {idle-hunts: yes}, reason: r}
"""
MANY = "many-{}: {{when: [{{sign: idle-hangs}}], sets aside: [drop-idle], reason: r}}\n"


def test_a_ring_that_a_shops_rule_closes(tmp_path: Path) -> None:
    folders = _shop(tmp_path, intake__patterns=RING)
    [problem] = _only_the_shops(folders)
    assert problem.line in {1, 2}
    assert "wait in a ring" in problem.text


def test_a_limit_of_the_engine_that_a_shop_exceeds(tmp_path: Path) -> None:
    [problem] = _only_the_shops(_shop(tmp_path, intake__patterns="".join(map(MANY.format, range(300)))))
    assert "conditions that over 250 rules share: seen idle-hangs" in problem.text


def test_a_ring_in_a_small_rule_base_is_blamed_on_the_uppermost_folder() -> None:
    one = rule("a", "wet", unless=["slow"], shows=["bad"], file="/below/a.yaml", line=1)
    two = rule("b", "wet", unless=["bad"], shows=["slow"], file="/shop/b.yaml", line=7)
    signs = [sign(name, file="/below/s.yaml") for name in ("wet", "slow", "bad")]
    for rules in ((one, two), (two, one)):
        with pytest.raises(ChainError) as caught:
            Chain(rulebase(*signs, *rules, folders=("/below", "/shop")))
        assert (caught.value.problems[0].file, caught.value.problems[0].line) == ("/shop/b.yaml", 7)


@pytest.mark.slow
def test_a_shipped_example_that_a_shops_limit_breaks(tmp_path: Path) -> None:
    limit = "drop-apart: {value: 80 rpm, meaning: ours, source: this shop}\n"
    folders = _shop(tmp_path, limits=limit, cautions="hot-parts: Hot parts burn. Wear gloves.\n")
    [problem] = _only_the_shops(folders)
    assert problem.file == str(folders[1] / "limits.yaml")
    assert "'weaker-at-idle' fires nowhere" in problem.text
    assert f"(so with this page: {RULES / 'balance/readings.yaml'}:" in problem.text


@pytest.mark.slow
def test_a_check_that_no_longer_settles_a_shipped_cause(tmp_path: Path) -> None:
    """The page is found among several; the shipped cause that it leaves without its check is named in the words."""
    whole = (RULES / "intake/checks.yaml").read_text(encoding="utf-8")
    text = whole[whole.index("wet-the-joint:") : whole.index("cover-the-port:")]
    text = text.replace("joint-wetting-moves-idle", "hose-pinched-seen")
    limit = "drop-apart: {value: 50 rpm, meaning: ours, source: ours}\n"
    folders = _shop(tmp_path, intake__checks=text, cautions="hot-parts: Hot. Hot.\n", limits=limit)
    found = _only_the_shops(folders)
    assert {one.file for one in found} == {str(folders[1] / "intake/checks.yaml")}
    settles = [one for one in found if "'intake-joint-leak' is settled by 'wet-the-joint', which shows" in one.text]
    assert [one.line for one in settles] == [1]


class _Pages:
    """Pages that are wrong in combination: each problem is there as long as all pages that make it are."""

    def __init__(self, folders: list[Path], made: dict[Problem, set[Path]]) -> None:
        self.folders, self.made, self.asked = folders, made, 0

    def __call__(self, folders: list[Path], without: frozenset[Path]) -> set[Problem]:
        self.asked += 1
        there = {page for folder in folders for page in folder.glob("*.yaml")} - without
        return {one for one, pages in self.made.items() if pages <= there}


def _two(tmp_path: Path, many: int) -> list[Path]:
    folders = [tmp_path / "below", tmp_path / "shop"]
    for folder in folders:
        folder.mkdir()
    (folders[0] / "old.yaml").write_text("old-thing: 1\n", encoding="utf-8")
    for number in range(many):
        (folders[1] / f"p{number:02}.yaml").write_text(f"some: 1\nthing-{number}: 2\n", encoding="utf-8")
    return folders


@pytest.mark.parametrize("guilty", [0, 7, 18, 19])
def test_the_page_is_found_by_halving(tmp_path: Path, guilty: int) -> None:
    folders = _two(tmp_path, 20)
    old, page = folders[0] / "old.yaml", folders[1] / f"p{guilty:02}.yaml"
    wrong = Problem(str(old), 5, f"'thing-{guilty}' is odd")
    found = _Pages(folders, {wrong: {old, page}})
    [problem] = at_fault([wrong], folders, found)
    assert (problem.file, problem.line) == (str(page), 2)
    assert problem.text == f"'thing-{guilty}' is odd (so with this page: {old}:5)"
    assert found.asked <= 12


def test_several_pages_at_fault_are_all_found(tmp_path: Path) -> None:
    folders = _two(tmp_path, 8)
    old = folders[0] / "old.yaml"
    made = {Problem(str(old), n, f"problem {n}"): {old, folders[1] / f"p0{n % 2 * 5}.yaml"} for n in range(6)}
    found = at_fault(list(made), folders, _Pages(folders, made))
    assert {(one.file, one.text.split(" (")[0]) for one in found} == {
        (str(folders[1] / f"p0{n % 2 * 5}.yaml"), f"problem {n}") for n in range(6)
    }


def test_what_two_pages_do_together_is_blamed_on_one_of_them(tmp_path: Path) -> None:
    folders = _two(tmp_path, 6)
    old = folders[0] / "old.yaml"
    wrong = Problem(str(old), 5, "odd")
    both = {old, folders[1] / "p01.yaml", folders[1] / "p04.yaml"}
    [problem] = at_fault([wrong], folders, _Pages(folders, {wrong: both}))
    assert Path(problem.file) in both - {old}


def test_a_mistake_that_was_there_before_stays_where_it_is(tmp_path: Path) -> None:
    folders = _two(tmp_path, 2)
    wrong = Problem(str(folders[0] / "old.yaml"), 5, "odd")
    assert at_fault([wrong], folders, _Pages(folders, {wrong: {folders[0] / "old.yaml"}})) == [wrong]
    assert at_fault([wrong], folders[:1], lambda *_: pytest.fail("one folder: nobody else is to blame")) == [wrong]


def test_the_folders_own_mistakes_come_before_what_follows_from_them(tmp_path: Path) -> None:
    folders = _two(tmp_path, 2)
    old, page = folders[0] / "old.yaml", folders[1] / "p00.yaml"
    follows, own = Problem(str(old), 5, "no sign is called so"), Problem(str(page), 1, "a slip")
    assert at_fault([follows, own], folders, _Pages(folders, {follows: {old, page}, own: {page}})) == [own]


def test_of_three_folders_the_one_that_makes_it_is_to_blame(tmp_path: Path) -> None:
    folders = [*_two(tmp_path, 1), tmp_path / "third"]
    shutil.copytree(folders[1], folders[2])
    old, page = folders[0] / "old.yaml", folders[1] / "p00.yaml"
    wrong = Problem(str(old), 5, "odd")
    [problem] = at_fault([wrong], folders, _Pages(folders, {wrong: {old, page}}))
    assert problem.file == str(page)
