"""Strict YAML: every scalar stays text, every node knows its line and whether it was read, all mistakes are collected.

YAML's own guesses (yes is true, 010 is eight, 1:30 is ninety) never happen: the code that reads
the page decides what a word means. Anchors, tags and more than one document are refused.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path
from typing import TypeVar

import yaml

from advisor.errors import AdvisorError, Problem, nearest
from advisor.files import read_plain
from advisor.visible import as_said

MAX_BYTES = 1_000_000
MOST_SUGGESTED = 100  # mistakes that are told the nearest name: a search for each of 50,000 would take half a minute
MOST_SAID = 20_000  # characters of one text: however it is written, a case file has room for its three free texts
BLANK = "___"  # marks what is still to be filled in on a new page
T = TypeVar("T")
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Node:
    """One value of a page: text, a list of nodes, or a mapping of names to nodes, with its line.

    `read` is whether its value was taken by one of the methods; a look at `value` does not count.
    """

    __slots__ = ("file", "keys", "line", "problems", "read", "value")

    def __init__(
        self, value: "str | list[Node] | dict[str, Node]", file: str, line: int, problems: list[Problem]
    ) -> None:
        self.value = value
        self.file = file
        self.line = line
        self.problems = problems
        self.keys: dict[str, int] = {}
        self.read = False

    def wrong(self, text: str) -> None:
        """Note a mistake at this node."""
        self.problems.append(Problem(self.file, self.line, text))

    def suggested(self, word: str, known: Iterable[str]) -> str:
        """Return `nearest` of a word; nothing once there are more mistakes than anyone reads."""
        return nearest(word, known) if len(self.problems) < MOST_SUGGESTED else ""

    def says(self, word: str) -> bool:
        """Whether the text is this word; if not, it is still to be read."""
        if self.value != word:
            return False
        self.read = True
        return True

    def anything(self) -> str:
        """Return any text that is not blank, as a person said it (see `as_said`), or note that there is none."""
        self.read = True
        text = as_said(self.value) if isinstance(self.value, str) else ""
        if not text:
            self.wrong("some text is needed here")
        if len(text) > MOST_SAID:
            self.wrong(f"this is {len(text):,} characters long; write {MOST_SAID:,} at most")
            return ""
        return text

    def text(self) -> str:
        """Return text that can be printed and has no blank to fill, or note what is wrong and return ''."""
        text = self.anything()
        if not text:
            return ""
        if BLANK in text:
            self.wrong(f"a blank ({BLANK}) is still to fill")
        elif not text.isprintable():
            self.wrong("has a character that cannot be printed; take it out")
        else:
            return text
        return ""

    def word(self, allowed: Iterable[str], what: str) -> str:
        """Return the text if it is one of `allowed`, else note the nearest and return ''."""
        self.read = True
        known = list(allowed)
        text = self.value if isinstance(self.value, str) else ""
        if text in known:
            return text
        if BLANK in text:
            self.wrong(f"a blank is still to fill: a {what}")
            return ""
        said = f"'{text}'" if text else "this"
        choice = f"; one of: {', '.join(known)}" if len(known) <= 8 else self.suggested(text, known)  # noqa: PLR2004 - a list longer than a line helps nobody
        self.wrong(f"{said} is not a valid {what}{choice}")
        return ""

    def number(self) -> float:
        """Return a plain decimal number, or note that it is not one and return 0."""
        self.read = True
        text = self.value if isinstance(self.value, str) else ""
        if plain_number(text):
            return float(text)
        if BLANK in text:
            self.wrong("a blank is still to fill: a number")
            return 0.0
        self.wrong(f"'{text}' is not a plain number; write it like 12 or 0.15" if text else "a number is needed here")
        return 0.0

    def items(self) -> "list[Node]":
        """Return the nodes of a list, or note that it is not a list and return []."""
        self.read = True
        if isinstance(self.value, list):
            return self.value
        self.wrong("a list is needed here: one line each, beginning with '- '")
        return []

    def pairs(self) -> "dict[str, Node]":
        """Return the named nodes of a mapping, or note that it is not one and return {}."""
        self.read = True
        if isinstance(self.value, dict):
            return self.value
        self.wrong("'name: value' lines are needed here")
        return {}

    def fields(self, *, need: Iterable[str] = (), may: Iterable[str] = (), what: str) -> "dict[str, Node]":
        """Return the named nodes with known names; note missing and unknown names."""
        required, optional = list(need), list(may)
        given = self.pairs()
        for name in given:
            if name not in required and name not in optional:
                at = Node("", self.file, self.keys.get(name, self.line), self.problems)
                at.wrong(f"{what} has no '{name}'{self.suggested(name, [*required, *optional])}")
        missing = [name for name in required if name not in given]
        if missing and isinstance(self.value, dict):
            self.wrong(f"{what} lacks {', '.join(repr(name) for name in missing)}")
        return {name: node for name, node in given.items() if name in required or name in optional}


def optional(fields: dict[str, Node], name: str, read: Callable[[Node], T], default: T) -> T:
    """Return a field as read by `read`, or the default when the page lacks it."""
    return read(fields[name]) if name in fields else default


def refuse_unread(root: Node, but: Collection[str] = ()) -> None:
    """Note every node that nothing has read, as what it holds would be lost; but not below these names.

    To be called once a page is read to its end without a mistake. The grammars refuse with a better message what they
    do not know; this holds for whatever they miss.
    """
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if not node.read:
            node.wrong("this is not read here, and would be lost; take it out, or put it where it belongs")
        elif isinstance(node.value, list):
            waiting += node.value
        elif isinstance(node.value, dict):
            waiting += [one for name, one in node.value.items() if name not in but]


def plain_number(text: str) -> bool:
    """Whether the text is a decimal number as a mechanic writes it: no exponent, no thousands mark."""
    digits = text.removeprefix("-").removeprefix("+")
    return digits.replace(".", "", 1).isascii() and digits.replace(".", "", 1).isdigit()


def read_file(path: Path, problems: list[Problem]) -> Node | None:
    """Return the page's root node, or None with every reason noted."""
    text = _decode(path, problems)
    return None if text is None else read_text(text, str(path), problems)


def page_bytes(path: Path) -> bytes:
    """Return the bytes of a page. Raises AdvisorError when it is no plain file, or too large for a page."""
    return read_plain(path, MAX_BYTES, "a YAML file")


def _decode(path: Path, problems: list[Problem]) -> str | None:
    try:
        data = page_bytes(path)
    except AdvisorError as error:
        problems += error.problems
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        problems.append(
            Problem(str(path), line, f"byte 0x{data[error.start]:02X} is not UTF-8 text; save the file as UTF-8")
        )
        return None


def _not_yaml(error: yaml.MarkedYAMLError, text: str, line: int) -> str:
    lines = text.splitlines()
    here = lines[line - 1] if 0 < line <= len(lines) else ""
    if "\t" in here[: len(here) - len(here.lstrip())]:
        return "begins with a tab; indent with spaces"
    return f"is not YAML: {error.problem or error.context}"


def read_text(text: str, file: str, problems: list[Problem]) -> Node | None:
    """Return the root node of YAML text, or None with the reasons noted."""
    before = len(problems)
    root: Node | None = None
    try:
        root = _Builder(file, problems).build(yaml.parse(text, Loader=LOADER))
    except yaml.MarkedYAMLError as error:
        line = error.problem_mark.line + 1 if error.problem_mark else 0
        problems.append(Problem(file, line, _not_yaml(error, text, line)))
    except UnicodeEncodeError as error:
        problems.append(
            Problem(file, text.count("\n", 0, error.start) + 1, "has half a character; save the file as UTF-8")
        )
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1 if isinstance(error.position, int) else 0
        problems.append(Problem(file, line, "has a control character, so it is not a text file"))
    if len(problems) > before:
        return None
    if root is None:
        problems.append(Problem(file, 0, "is empty; 'name: value' lines are needed"))
    return root


class _Builder:
    """Turns YAML events into nodes, without recursion, so deep nesting cannot overflow the stack."""

    def __init__(self, file: str, problems: list[Problem]) -> None:
        self.file = file
        self.problems = problems
        self.documents = 0
        self.root: Node | None = None
        self.stack: list[Node] = []
        self.pending: list[tuple[str, int] | None] = []

    def build(self, events: Iterator[yaml.Event]) -> Node | None:
        for event in events:
            line = event.start_mark.line + 1 if event.start_mark else 0
            if isinstance(event, yaml.DocumentStartEvent):
                self.documents += 1
                if self.documents > 1:
                    self._wrong(line, "one page a file; take out the second '---'")
                    return self.root
            elif isinstance(event, yaml.AliasEvent):
                self._wrong(line, "'*' makes an alias here; quote the text, or write it out again")
                self._place(Node("", self.file, line, self.problems), line)
            elif isinstance(event, yaml.ScalarEvent):
                self._tag(event, line)
                self._scalar(event.value, line)
            elif isinstance(event, yaml.CollectionStartEvent):
                self._tag(event, line)
                empty: list[Node] | dict[str, Node] = {} if isinstance(event, yaml.MappingStartEvent) else []
                self._open(Node(empty, self.file, line, self.problems), line)
            elif isinstance(event, yaml.CollectionEndEvent):
                self.stack.pop()
                self.pending.pop()
        return self.root

    def _wrong(self, line: int, text: str) -> None:
        self.problems.append(Problem(self.file, line, text))

    def _tag(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent, line: int) -> None:
        if event.tag not in (None, "!") or event.anchor:
            self._wrong(line, "'!' and '&' have no meaning in these pages; quote the text")

    def _awaits_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].value, dict) and self.pending[-1] is None

    def _scalar(self, text: str, line: int) -> None:
        if not self._awaits_key():
            if self.stack or text:
                self._place(Node(text, self.file, line, self.problems), line)
            return
        mapping = self.stack[-1]
        if text in mapping.keys:
            self._wrong(line, f"'{text}' is given twice; first in line {mapping.keys[text]}")
        self.pending[-1] = (text, line)

    def _open(self, node: Node, line: int) -> None:
        self._place(node, line)
        self.stack.append(node)
        self.pending.append(None)

    def _place(self, node: Node, line: int) -> None:
        if not self.stack:
            self.root = node
            return
        parent = self.stack[-1]
        if isinstance(parent.value, list):
            parent.value.append(node)
            return
        key = self.pending[-1]
        if key is None:
            self._wrong(line, "a name must be plain text")
            self.pending[-1] = ("", line)
            return
        assert isinstance(parent.value, dict)  # noqa: S101 - the stack holds lists and mappings only
        parent.value[key[0]] = node
        parent.keys[key[0]] = key[1]
        self.pending[-1] = None
