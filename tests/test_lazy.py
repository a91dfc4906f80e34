"""A lazy module is imported when it is used, and no sooner."""

import subprocess
import sys

import pytest

from advisor.lazy import lazy


def test_it_is_imported_when_it_is_used() -> None:
    code = (
        "import sys; from advisor.lazy import lazy; late = lazy('colorsys'); before = 'colorsys' in sys.modules; "
        "print(before, late.rgb_to_hsv(1, 0, 0), 'colorsys' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False (0.0, 1.0, 1) True"


def test_what_is_missing_is_missed_when_it_is_used() -> None:
    missing, short = lazy("no_such_module"), lazy("math")
    with pytest.raises(ImportError, match="no_such_module"):
        _ = missing.anything
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = short.no_such_name


@pytest.mark.parametrize("command", ["diagnose", "explain", "rules", "bench", "phone", "measure", "score", "practice"])
def test_the_help_of_a_command_needs_no_heavy_library(command: str) -> None:
    code = (
        "import sys; from advisor.cli import cli; cli([sys.argv[1], '--help'], standalone_mode=False); "
        "print(*({'numpy', 'scipy', 'pandas', 'matplotlib', 'pint', 'hypothesis'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, command], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == ""
