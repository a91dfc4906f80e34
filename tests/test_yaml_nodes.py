"""Strict YAML: what it refuses, with file and line, and that nothing at all makes it crash."""

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from advisor import yaml_nodes
from advisor.errors import Problem
from advisor.yaml_nodes import MAX_BYTES, Node, read_file, read_text


def _problems(text: str) -> list[str]:
    problems: list[Problem] = []
    read_text(text, "page.yaml", problems)
    return [str(problem) for problem in problems]


def test_words_and_figures_stay_text() -> None:
    """YAML would read true, 8, 90 and a date here."""
    root = read_text("a: yes\nb: 010\nc: 1:30\nd: 2020-01-01\ne: null\n", "p", [])
    assert root is not None
    assert [node.value for node in root.pairs().values()] == ["yes", "010", "1:30", "2020-01-01", "null"]
    assert [node.line for node in root.pairs().values()] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "page.yaml: is empty; 'name: value' lines are needed"),
        ("a: 1\nb: 2\na: 3\n", "page.yaml:3: 'a' is given twice; first in line 1"),
        ("a: 1\n---\nb: 2\n", "page.yaml:2: one page a file; take out the second '---'"),
        ("a: &x 1\nb: *x\n", "page.yaml:1: '!' and '&' have no meaning in these pages; quote the text"),
        ("a: !!python/object:os.system x\n", "page.yaml:1: '!' and '&' have no meaning in these pages; quote the text"),
        ("a:\n\tb: 1\n", "page.yaml:2: begins with a tab; indent with spaces"),
        ("a: 'x\n", "page.yaml:2: is not YAML: found unexpected end of stream"),
        ("a: \x07\n", "page.yaml:1: has a control character, so it is not a text file"),
        ("? [a]\n: b\n", "page.yaml:1: a name must be plain text"),
    ],
)
def test_refuses(text: str, message: str) -> None:
    assert message in _problems(text)


def test_deep_nesting_is_a_message() -> None:
    assert "is not YAML" in _problems("[" * 200_000)[0]
    assert "is not YAML" in _problems("{a: " * 5_000)[0]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"caf\xe9: 1\n", "byte 0xE9 is not UTF-8 text; save the file as UTF-8"),
        ("a: 1\n".encode("utf-16"), "byte 0xFF is not UTF-8 text"),
        (b"x" * (MAX_BYTES + 1), "is over 1 MB"),
        (bytes(range(256)) * 40_000, "is over 1 MB"),
    ],
)
def test_refuses_files_that_are_no_pages(tmp_path: Path, content: bytes, message: str) -> None:
    path = tmp_path / "page.yaml"
    path.write_bytes(content)
    problems: list[Problem] = []
    assert read_file(path, problems) is None
    assert message in str(problems[0])


def test_a_byte_order_mark_is_forgiven(tmp_path: Path) -> None:
    path = tmp_path / "page.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\n")
    root = read_file(path, [])
    assert root is not None
    assert list(root.pairs()) == ["a"]


def test_missing_file_and_folder(tmp_path: Path) -> None:
    problems: list[Problem] = []
    assert read_file(tmp_path / "none.yaml", problems) is None
    assert read_file(tmp_path, problems) is None
    assert read_file(Path("a\0b"), problems) is None
    assert [
        "no such file" in problems[0].text,
        "folder" in problems[1].text,
        "not a file name" in problems[2].text,
    ] == [True] * 3


def test_the_nearest_name_is_looked_for_a_hundred_times_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page of 60,000 unknown names took half a minute."""
    asked: list[str] = []

    def nearest(word: str, _: object) -> str:
        asked.append(word)
        return " (near)"

    monkeypatch.setattr(yaml_nodes, "nearest", nearest)
    problems: list[Problem] = []
    root = read_text("".join(f"name-{place}: x\n" for place in range(2000)), "page.yaml", problems)
    assert root is not None
    root.fields(may=("title",), what="a page")
    assert len(problems) == 2000
    assert asked == [f"name-{place}" for place in range(100)]
    assert [one.text.endswith(" (near)") for one in problems] == [True] * 100 + [False] * 1900


@given(st.text(max_size=200))
@example("a: b: c")
@example("\ud800")
@example("- - - ? :")
def test_any_text_gives_a_page_or_a_reason(text: str) -> None:
    problems: list[Problem] = []
    root = read_text(text, "p", problems)
    assert (root is None) == bool(problems)


@given(
    st.recursive(
        st.text(max_size=5),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
        max_leaves=8,
    )
)
def test_every_reader_takes_every_node(tree: object) -> None:
    """Asking any node for anything notes a mistake or returns a value; it never fails."""
    problems: list[Problem] = []

    def grow(value: object) -> Node:
        if isinstance(value, dict):
            node = Node({name: grow(one) for name, one in value.items()}, "p", 1, problems)
            node.keys = dict.fromkeys(value, 1)
            return node
        return Node([grow(one) for one in value] if isinstance(value, list) else str(value), "p", 1, problems)

    node = grow(tree)
    for read in (Node.text, Node.number, Node.items, Node.pairs):
        read(node)
    node.word(["a", "b"], "letter")
    node.fields(need=("a",), may=("b",), what="a thing")
