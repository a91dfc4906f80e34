"""A case from plain Python values, as a web page or another program has them, in the shape of a case file."""

import math
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from numbers import Real
from pathlib import Path, PurePath

from advisor.case import Case
from advisor.errors import CaseError, Problem
from advisor.intake.casefile import parse_case
from advisor.rulebase.model import Rulebase
from advisor.yaml_nodes import Node

WHOLE = "the case"  # where a mistake is if it belongs to no key
DEEPEST = 8  # levels of nested mappings and lists; a case file has five
FIGURE, UNIT = "value", "unit"


def case_from(mapping: Mapping[str, object], base: Rulebase, files_from: Sequence[Path | str] = ()) -> Case:
    """Return the case in a mapping; its keys are those of a case file, such as `seen` and `measured`.

    True and False mean yes and no. A figure is a text with its unit, a pair of number and unit, or
    `{"value": 210, "unit": "rpm"}`; a list or tuple holds repeats. None means not stated. Paths of bike sheets
    and logs are relative to the current folder, and are read from there and below, and from `files_from`, if given.

    Raises CaseError with every mistake at once, each with its key.

    >>> import advisor
    >>> base = advisor.load_rules()
    >>> told = advisor.case_from({"seen": {"plug-wet": {"left": True, "right": False}}}, base)
    >>> [(one.sign, one.side, one.seen) for one in told.seen]
    [('plug-wet', 'left', True), ('plug-wet', 'right', False)]
    >>> told = advisor.case_from({"measured": {"drop-idle": {"left": (210, "rpm"), "right": "280 rpm"}}}, base)
    >>> [one.values for one in told.measured]
    [(210.0,), (280.0,)]
    >>> advisor.case_from({"seen": {"plug-wet": {"left": "perhaps"}}}, base)
    Traceback (most recent call last):
        ...
    advisor.errors.CaseError: seen.plug-wet.left: 'perhaps' is not a valid answer; one of: yes, no
    """
    problems: list[Problem] = []
    root = _node(mapping, "", problems, 0)
    case = parse_case(root, base, files_from)
    if problems:
        raise CaseError(sorted(set(problems)))
    return case


def _node(value: object, path: str, problems: list[Problem], depth: int) -> Node:
    """Return a value as a page node, located by the path of its keys."""
    if isinstance(value, Mapping) and value.keys() == {FIGURE, UNIT}:
        value = value[FIGURE], value[UNIT]
    node = Node("", path or WHOLE, 0, problems)
    if depth > DEEPEST:
        node.wrong("lies too deep; a case has no lists within lists")
    elif isinstance(value, Mapping):
        node.value = _named(value, path, problems, depth)
        node.keys = dict.fromkeys(node.value, 0)
    elif isinstance(value, list | tuple | AbstractSet) and not _is_figure(value):
        items = sorted(value, key=str) if isinstance(value, AbstractSet) else value
        node.value = [_node(one, f"{path}[{place}]", problems, depth + 1) for place, one in enumerate(items)]
    else:
        node.value = _text(value, node)
    return node


def _named(value: Mapping[object, object], path: str, problems: list[Problem], depth: int) -> dict[str, Node]:
    """Return the node under each key; a value of None is left out."""
    found: dict[str, Node] = {}
    for key, one in value.items():
        if not isinstance(key, str):
            Node("", path or WHOLE, 0, problems).wrong(f"the key {key!r} is not a text")
        elif one is not None:
            found[key] = _node(one, f"{path}.{key}" if path else key, problems, depth + 1)
    return found


def _is_figure(value: object) -> bool:
    """Whether this is a number with its unit: repeats are never bare numbers."""
    match value:
        case (Real() as figure, str()):
            return not isinstance(figure, bool)
    return False


def _text(value: object, node: Node) -> str:
    """Return a plain value as a case file would write it; note a value that no case file can hold."""
    match value:
        case bool():
            return "yes" if value else "no"
        case str() | PurePath():
            return str(value)
        case Real():
            return _number(float(value), node)
        case (Real() as figure, str(unit)):
            return f"{_number(float(figure), node)} {unit}"
    if hasattr(value, "item"):  # numpy's bool
        return _text(value.item(), node)
    node.wrong(
        f"{type(value).__name__} is not a value for a case; write a text, a number, True or False, a list or a mapping"
    )
    return ""


def _number(figure: float, node: Node) -> str:
    """Return a number as a mechanic writes it: no exponent."""
    if not math.isfinite(figure):
        node.wrong(f"{figure} is not a figure")
        return ""
    text = repr(figure).removesuffix(".0")
    return f"{figure:.20f}".rstrip("0").rstrip(".") if "e" in text else text
