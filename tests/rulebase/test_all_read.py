"""Whatever is on a rule page is read, or named in a mistake: an extra field anywhere, and half a figure."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.errors import Problem, RulesError
from advisor.places import shipped
from advisor.rulebase import load
from advisor.rulebase import read as reader
from advisor.rulebase.read import EXAMPLES, read
from advisor.rulebase.source import read_pages
from advisor.yaml_nodes import Node


def mappings(page: Node) -> Iterator[Node]:
    """Yield every mapping on a page, but for examples, which are run elsewhere."""
    below: list[Node] = []
    if isinstance(page.value, dict):
        yield page
        below = [one for name, one in page.value.items() if name not in EXAMPLES]
    elif isinstance(page.value, list):
        below = page.value
    for one in below:
        yield from mappings(one)


def test_one_field_too_many_in_any_mapping_of_any_page_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """All at once: each is given a line of its own, and each line has its mistake."""
    problems: list[Problem] = []
    pages = read_pages([shipped("rules")], problems)
    lines: dict[int, str] = {}
    for kind, found in pages.items():
        for path, page in found:
            for place in list(mappings(page)):
                line = 1_000_000 + len(lines)
                lines[line] = f"{kind} {path.name}:{place.line}"
                value, inner = Node({}, place.file, line, problems), Node("", place.file, line, problems)
                value.value, value.keys = {"extra": inner}, {"extra": line}
                assert isinstance(place.value, dict)
                name = f"extra-{line}"  # the same one on all pages would be known
                place.value[name], place.keys[name] = value, line
    assert len(lines) > 3000
    monkeypatch.setattr(reader, "read_pages", lambda *_: pages)
    read([shipped("rules")], problems)
    assert [where for line, where in lines.items() if line not in {one.line for one in problems}] == []


HALF_READ = {
    "limits.yaml": ("far beyond by", "20 to 30 mmHg"),
    "figures.yaml": ("tolerance", "10 to 20 rpm"),
    "readings.yaml": ("trusted within", "10 to 20 rpm"),
}


@pytest.mark.parametrize("name", HALF_READ)
def test_a_range_where_one_figure_counts_is_refused(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    field, text = HALF_READ[name]
    problems: list[Problem] = []
    pages = read_pages([shipped("rules")], problems)
    all_pages = [(path, page) for found in pages.values() for path, page in found if path.name == name]
    (node, *_) = [
        place.value[field]
        for _, page in all_pages
        for place in mappings(page)
        if isinstance(place.value, dict) and field in place.value and text.split()[-1] in str(place.value[field].value)
    ]
    node.value = text
    monkeypatch.setattr(reader, "read_pages", lambda *_: pages)
    assert read([shipped("rules")], problems) is None
    assert f"'{text}' is more than one figure; write one, like '12 {text.split()[-1]}'" in {
        one.text for one in problems
    }


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        ("large", "is over 1 MB; a YAML file is needed, or a part of it"),
        ("pipe", "is not read; a page is a plain file that ends in .yaml"),
        ("device", "is not read; a page is a plain file that ends in .yaml"),
    ],
)
def test_a_page_that_is_no_plain_file_of_a_page_is_refused_at_once(tmp_path: Path, kind: str, says: str) -> None:
    page = tmp_path / "signs.yaml"
    if kind == "large":
        page.write_bytes(b"x" * 1_000_001)
    elif kind == "pipe":
        os.mkfifo(page)
    else:
        page.symlink_to("/dev/zero")
    with pytest.raises(RulesError) as caught:
        load([shipped("rules"), tmp_path])
    assert [(one.file, one.text) for one in caught.value.problems] == [(str(page), says)]
