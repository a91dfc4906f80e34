"""The front door: what it holds, how light it is, what it says runs, and the format that reports name."""

import doctest
import importlib
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner
from msgspec.structs import replace

import advisor as door
from advisor.case import Case
from advisor.cli import cli
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.intake.casefile import read_case
from advisor.places import shipped
from advisor.report import FORMAT, RankedCause, Report
from advisor.session.hearing import Hearing
from tests.cases import case, report

DEMO = sorted(shipped("cases_demo").glob("*.yaml"))
WORDS = [name for name in door.__all__ if name != "__version__"]


def _python(code: str) -> str:
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip()


def test_every_public_name_is_there_and_says_what_it_is() -> None:
    for name in WORDS:
        assert getattr(door, name).__doc__, name
        assert name in dir(door)
    with pytest.raises(AttributeError, match="no attribute 'diagnosis'"):
        _ = door.diagnosis  # type: ignore[attr-defined]  # that is what is tested


@pytest.mark.parametrize("name", ["advisor", *WORDS])
def test_its_examples_run(name: str) -> None:
    if name == "advisor":
        module, tests = door, doctest.DocTestFinder(recurse=False).find(door, name)
    else:
        thing = getattr(door, name)
        module = importlib.import_module(thing.__module__)
        tests = doctest.DocTestFinder().find(thing, name, module=module, globs={})
    run = doctest.DocTestRunner()
    for one in tests:
        run.run(one)
    assert run.failures == 0
    if name not in {"Case", "Report"}:  # records: what they hold stands in their docstrings
        assert run.tries > 0, f"'{name}' has no example"


def test_importing_it_imports_next_to_nothing() -> None:
    own = "[one for one in sys.modules if one.split('.')[0] not in sys.stdlib_module_names]"
    before = set(_python(f"import sys; print(*{own})").split())
    after = set(_python(f"import sys, advisor; print(*{own})").split())
    assert after - before <= {"advisor"}


def test_a_diagnosis_through_it_needs_no_heavy_library() -> None:
    code = (
        "import sys, advisor; ready = advisor.Advisor(advisor.load_rules()); "
        f"ready.diagnose(advisor.read_case({str(DEMO[0])!r}, ready.base)); "
        "print(*({'numpy', 'scipy', 'pandas', 'matplotlib', 'pint', 'rich', 'click'} & set(sys.modules)))"
    )
    assert _python(code) == ""


def test_the_version_has_one_source() -> None:
    top = Path(__file__).resolve().parent.parent
    project = tomllib.loads((top / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["dynamic"] == ["version"]
    assert project["tool"]["hatch"]["version"]["path"] == "advisor/__init__.py"
    assert CliRunner().invoke(cli, ["--version"]).output.split()[-1] == door.__version__


def test_the_json_of_a_report_names_its_format() -> None:
    found = CliRunner().invoke(cli, ["diagnose", str(DEMO[0]), "--format", "json"])
    assert next(iter(json.loads(found.output).items())) == ("format", FORMAT)


def test_it_is_typed_for_others() -> None:
    assert (Path(door.__file__).parent / "py.typed").is_file()


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_through_the_door_comes_what_the_command_line_prints(path: Path, advisor: Advisor) -> None:
    told = door.read_case(str(path), advisor.base)
    assert isinstance(told, Case)
    found = advisor.diagnose(told)
    assert isinstance(found, Report)
    printed = json.loads(CliRunner().invoke(cli, ["diagnose", str(path), "--format", "json"]).output)
    assert [one["probability"] for one in printed["causes"]] == [one.probability for one in found.causes]


def test_explained_is_what_the_report_says_worked_out_exactly(advisor: Advisor) -> None:
    told = read_case(DEMO[0], advisor.base)
    first = advisor.diagnose(told, exact=True).causes[0]
    why = advisor.explain(told, first.id, first.side)
    assert isinstance(why, RankedCause)
    assert [replace(one, factor=0.0) for one in why.why] == [replace(one, factor=0.0) for one in first.why]
    assert [one.factor for one in why.why] == pytest.approx([one.factor for one in first.why], rel=1e-9)
    assert (why.title, why.probability, why.unexplained) == (first.title, first.probability, first.unexplained)
    assert why.set_aside == advisor.diagnose(told).set_aside
    assert advisor.explain(told, f"{first.id}:{first.side}" if first.side else first.id, None) == why
    assert advisor.explain(told, first.id, None) == why
    second = advisor.diagnose(told).causes[1]
    held = advisor.explain(told, second.id, second.side, against=(first.id, first.side))
    assert (held.first, held.first_side) == (first.id, first.side)
    assert (held.second, held.second_side) == (second.id, second.side)
    with pytest.raises(AdvisorError, match="are the same cause here"):
        advisor.explain(told, first.id, first.side, against=(first.id, first.side))
    with pytest.raises(AdvisorError, match=r"no cause is called 'plug-ded left' \(did you mean 'plug-dead left'\?\)"):
        advisor.explain(told, "plug-ded", "left")


@pytest.mark.parametrize(
    "sentence",
    [
        "the left cylinder misses at idle and it pops on the overrun",
        "it dies at every red light",
        "won't start when hot, and smells of petrol",
        "vibrates at eighty",
        "it idles unevenly since I did the valves",
    ],
)
def test_a_sentence_means_what_a_session_hears(sentence: str, advisor: Advisor) -> None:
    heard = door.understand(sentence, advisor.base)
    offered = Hearing(advisor.base).understood(sentence)
    assert heard.signs
    signs = [(one.sign, one.side, one.seen) for one in heard.signs]
    assert [(one.sign, one.side, one.seen) for one in offered if one.sign] == signs
    for one in heard.signs:
        found = advisor.diagnose(case(report(one.sign, one.side, seen=one.seen, how="told")))
        assert any(state.id == one.sign for state in found.signs)
