"""The wheel holds the rules and the demo, the checkout finds its own, and the metadata say how to build the engine."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
ALLOWED = {"README.md", "DEVELOPERS.md", "pyproject.toml", "advisor", "rules", "cases_demo", "tests"}


def _run(folder: Path, *words: str, **environment: str) -> str:
    env = {**os.environ, **environment}
    done = subprocess.run([sys.executable, *words], cwd=folder, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_brings_rules_and_cases(tmp_path: Path) -> None:
    """Built, unpacked into a folder of its own with a space in its name, and run from elsewhere."""
    wheels, home = tmp_path / "wheels", tmp_path / "a home"
    _run(TOP, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir", str(wheels), ".")
    [wheel] = wheels.glob("tuneup_advisor-*.whl")
    _run(tmp_path, "-m", "pip", "install", "--quiet", "--no-deps", "--target", str(home), str(wheel))
    where = _run(tmp_path, "-c", "import advisor; print(advisor.__file__)", PYTHONPATH=str(home))
    assert str(home) in where
    assert "examples hold" in _run(tmp_path, "-m", "advisor", "rules", "check", PYTHONPATH=str(home))
    pages = home / "advisor" / "web"
    assert {"base.html", "session.html"} <= {one.name for one in (pages / "templates").iterdir()}
    assert {"pages.css", "pages.js"} <= {one.name for one in (pages / "static").iterdir()}
    assert "8 of 8" in _run(tmp_path, "-m", "advisor", "demo", PYTHONPATH=str(home))
    case = home / "advisor/_shipped/cases_demo/mail-1-balance-wont-hold.yaml"
    _run(tmp_path, "-m", "advisor", "report", str(case), "-o", "job.html", PYTHONPATH=str(home))
    assert "<style>" in (tmp_path / "job.html").read_text(encoding="utf-8")


def test_the_checkout_finds_its_own(tmp_path: Path) -> None:
    assert "Revs hang after a blip" in _run(
        tmp_path, "-m", "advisor", "rules", "show", "idle-hangs", PYTHONPATH=str(TOP)
    )
    shown = _run(tmp_path, "-c", "from advisor.places import shipped; print(shipped('rules'))", PYTHONPATH=str(TOP))
    assert Path(shown.strip()) == TOP / "rules"


def test_the_top_level_holds_what_it_should() -> None:
    names = {path.name for path in TOP.iterdir()}
    assert {name for name in names if not name.startswith(".")} <= ALLOWED | {"build", "dist"}


def test_the_metadata_say_how_to_build_the_engine() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["name"] == "tuneup-advisor"
    assert project["project"]["requires-python"] == ">=3.11,<3.14"
    assert "durable_rules==2.0.28" in project["project"]["dependencies"]
    flags = project["tool"]["uv"]["extra-build-variables"]["durable-rules"]["CPPFLAGS"]
    assert flags == "-DPyEval_CallObject=PyObject_CallObject"
    assert (TOP / "README.md").read_text(encoding="utf-8").count(f"CPPFLAGS={flags}") == 2
