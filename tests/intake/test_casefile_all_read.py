"""Whatever is in a case file is in the `Case`, or is named in a mistake: nothing goes for nothing.

Cases are drawn from the whole grammar and changed in one place. If such a case is taken, then each text and each name
in it must matter: put nonsense in its place, and it is refused or becomes another case.
"""

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, Case
from advisor.errors import Problem
from advisor.intake.bike_sheet import parse_sheet
from advisor.intake.casefile import parse_case
from advisor.rulebase import Rulebase
from advisor.yaml_nodes import read_text, refuse_unread

Tree = Any  # a text, a list of trees, or a mapping of names to trees
Place = tuple[str | int, ...]  # the way to a tree within a tree
NONSENSE = "xyzzy"
WHOLE, SIDED = ("idle-hangs", "idle-hunts", "wont-start"), ("plug-black", "misfires-idle", "slide-hangs", "fuel-drips")
WORDS = ("measured", "seen", "told", "assumed")
FREE = st.sampled_from(["nine", "it will not settle: \u200d #3 ___", "- a", "'", "\U0001f600"])


def some(*items: str, **of: Any) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(items), min_size=1, unique=True, **of)


def maybe(**fields: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    return st.fixed_dictionaries({}, optional={name.replace("_", " "): one for name, one in fields.items()})


def figures(unit: str, low: int, high: int) -> st.SearchStrategy[Tree]:
    one = st.integers(low, high).map(lambda figure: f"{figure} {unit}")
    ranges = st.integers(low, high - 1).map(lambda figure: f"{figure} to {figure + 1} {unit}")
    pair = st.integers(low, high - 1).map(lambda figure: {"goes": f"{figure} {unit}", "does not go": f"{high} {unit}"})
    return st.one_of(one, ranges, pair, st.lists(one, min_size=1, max_size=3))


ANSWER, HOW = st.sampled_from(["yes", "no"]), st.sampled_from(WORDS)
TOLD = st.fixed_dictionaries({"is": ANSWER, "how": HOW})
ON_A_SIDE = st.one_of(
    st.sampled_from(["left", "right", "both", "neither"]),
    st.fixed_dictionaries({"is": st.sampled_from(["left", "neither"])}, optional={"how": HOW}),
    st.fixed_dictionaries({"left": ANSWER}, optional={"right": TOLD}),
)
LEFT_OR_RIGHT = st.fixed_dictionaries({"left": figures("mmHg", 10, 300)}, optional={"right": figures("kPa", 3, 40)})
MEASURED = maybe(
    **{
        "idle-speed": figures("rpm", 900, 1200),
        "column-idle": LEFT_OR_RIGHT | st.just({"left more by": "25 mmHg"}),
        "drop-idle": st.fixed_dictionaries({"left": st.just(["200 rpm", "stalls"])}),
    }
)
MOMENT = st.fixed_dictionaries(
    {"speed": st.sampled_from(["90 km/h", "50 mph"])},
    optional={
        "gear": st.sampled_from(["4", "5"]),
        "revs": st.just("3500 rpm"),
        "clutch": st.just("in"),
        "throttle": st.sampled_from(["shut", "wide"]),
        "shakes": ANSWER,
    },
)
CAUSES = st.lists(
    st.sampled_from(
        ["out-of-adjustment", {"plug-dead": "left"}, {"plug-dead": "right"}, {"intake-joint-leak": "left"}]
    ),
    min_size=1,
    unique_by=str,
)
SHEET = maybe(
    name=FREE,
    parts=maybe(plugs=st.sampled_from(["plain", "resistor"])),
    figures=maybe(**{"idle-speed": st.sampled_from(["1100 to 1200 rpm", "1000 rpm"])}),
    gears=st.sampled_from([["15.4"], ["15.4", "10.1"]]),
    tyre=st.just("120/90-18"),
)
CASES = maybe(
    case=FREE,
    told_by=HOW,
    bike=SHEET,
    complaint=FREE,
    seen=st.fixed_dictionaries({}, optional=dict.fromkeys(WHOLE, ANSWER | TOLD) | dict.fromkeys(SIDED[:2], ON_A_SIDE)),
    not_seen=st.lists(st.sampled_from(["spit-back", SIDED[2], {SIDED[3]: "left"}, {SIDED[3]: "right"}]), unique_by=str),
    measured=MEASURED,
    last_time=MEASURED,
    shakes=st.lists(MOMENT, max_size=2),
    put_right=CAUSES,
    ruled_out=CAUSES,
    not_again=st.lists(st.sampled_from(["ask-about-smoke", {"seal-the-joint": "left"}]), min_size=1, unique_by=str),
    opened=st.lists(st.sampled_from(["front-cover", {"float-bowls": "left"}]), min_size=1, unique_by=str),
    at_hand=maybe(
        person=st.sampled_from(["rider", "workshop"]),
        tools=st.just("all") | some("meter", "feeler-gauges"),
        engine=st.sampled_from(["cold", "warm"]),
    ),
)


def below(tree: Tree, at: Place = ()) -> Iterator[tuple[Place, Tree]]:
    """Yield every tree in a tree with the way to it."""
    yield at, tree
    for key, one in tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ():
        yield from below(one, (*at, key))


def changed(tree: Tree, at: Place, new: Tree) -> Tree:
    """Return a tree with another one at a place."""
    if not at:
        return new
    tree = copy.deepcopy(tree)
    inner = tree
    for key in at[:-1]:
        inner = inner[key]
    inner[at[-1]] = new
    return tree


@st.composite
def mutated(draw: Any, trees: st.SearchStrategy[Tree]) -> Tree:
    """Draw a tree with one thing changed anywhere, or nothing."""
    tree = draw(trees)
    at, here = draw(st.sampled_from(list(below(tree))))
    names = [key for place, _ in below(tree) for key in place if isinstance(key, str)] or ["seen"]
    name = st.sampled_from(["qwertz", "is", "how", "left", "idle-hangs", "plug-black", "plug-dead", *names])
    new: list[Tree] = [here, "", [], {}, [here], {draw(name): here}, [[here]], {"is": {"is": here}}, "qwertz"]
    if isinstance(here, dict):
        new += [here | {draw(name): draw(st.sampled_from(["yes", "left", {}, [], ""]))}, list(here), [here, here]]
        new += [here | {name: [here]} for name in here]
    if isinstance(here, list):
        new += [[*here, one] for one in here] + [[*here, {draw(name): "left"}], [*here, draw(name)]]
        pairs = [one if isinstance(one, dict) else {str(one): "left"} for one in here]
        new += [[{key: one for pair in pairs for key, one in pair.items()}]]  # all but the first without their dash
    return changed(tree, at, draw(st.sampled_from(new)))


def parsed(tree: Tree, base: Rulebase, *, sheet: bool = False) -> tuple[Case | Bike | None, list[Problem]]:
    """Return what is read of a tree as a file, without lines, and the mistakes."""
    problems: list[Problem] = []
    text = json.dumps(tree, ensure_ascii=False, indent=1)  # each JSON text is a YAML text
    root = read_text(text, "case.yaml", problems)
    if root is None:
        return None, problems
    if sheet:
        return parse_sheet(root, base), problems
    case = parse_case(root, base)
    return replace(
        case,
        seen=tuple(replace(one, line=0) for one in case.seen),
        measured=tuple(replace(one, line=0) for one in case.measured),
        before=tuple(replace(one, line=0) for one in case.before),
        shakes=tuple(replace(one, line=0) for one in case.shakes),
    ), problems


def goes_for_nothing(tree: Tree, base: Rulebase, *, sheet: bool = False) -> list[str]:
    """Return every text and name of a tree that is read without a mistake in whose place anything could stand."""
    found, problems = parsed(tree, base, sheet=sheet)
    if problems:
        return []
    lost = []
    for at, here in below(tree):
        others = [changed(tree, at, NONSENSE)] if isinstance(here, str) else []
        if isinstance(here, dict):
            others = [changed(tree, at, {NONSENSE if k == key else k: one for k, one in here.items()}) for key in here]
        for other in others:
            read, wrong = parsed(other, base, sheet=sheet)
            if not wrong and read == found:
                lost.append(f"{at}: {here}")
    return lost


@settings(max_examples=300, deadline=None)
@given(tree=mutated(CASES))
def test_whatever_is_in_a_case_file_is_in_the_case_or_in_a_mistake(base: Rulebase, tree: Tree) -> None:
    assert goes_for_nothing(tree, base) == []


@settings(max_examples=40, deadline=None)
@given(tree=mutated(SHEET))
def test_whatever_is_on_a_bike_sheet_is_in_the_bike_or_in_a_mistake(base: Rulebase, tree: Tree) -> None:
    assert goes_for_nothing(tree, base, sheet=True) == []


@settings(max_examples=30, deadline=None)
@given(tree=CASES)
def test_what_is_drawn_here_is_taken(base: Rulebase, tree: Tree) -> None:
    """Else the properties would hold of nothing."""
    _, problems = parsed(tree, base)
    assert [one for one in problems if "is empty" not in one.text] == []


@pytest.mark.slow
@settings(max_examples=5000, deadline=None)
@given(tree=mutated(CASES))
def test_whatever_is_in_a_case_file_is_read_over_many_draws(base: Rulebase, tree: Tree) -> None:
    assert goes_for_nothing(tree, base) == []


ONE_TWICE: dict[str, list[Tree]] = {
    "put right": ["out-of-adjustment", "out-of-adjustment"],
    "ruled out": [{"plug-dead": "left"}, {"plug-dead": "left"}],
    "not again": ["ask-about-smoke", "ask-about-smoke"],
    "opened": [{"float-bowls": "left"}, {"float-bowls": "left"}],
    "not seen": ["idle-hangs", "idle-hangs"],
}


@pytest.mark.parametrize("name", ONE_TWICE)
def test_an_item_that_is_given_twice_is_refused(base: Rulebase, name: str) -> None:
    _, problems = parsed({name: ONE_TWICE[name]}, base)
    assert len(problems) == 1
    assert "twice" in problems[0].text
    assert parsed({name: ONE_TWICE[name][:1]}, base)[1] == []


def test_a_sign_told_by_two_ways_is_refused_though_they_agree(base: Rulebase) -> None:
    for twice in (
        {"not seen": [{"plug-wet": "left"}, "plug-wet"]},
        {"seen": {"plug-wet": {"left": "no"}}, "not seen": [{"plug-wet": "left"}]},
        {"seen": {"plug-wet": {"is": "left", "left": "yes"}}},
    ):
        _, problems = parsed(twice, base)
        assert [("'plug-wet left' is told twice" in one.text) for one in problems] == [True]


LOST = "one {} for each '- '; begin a new line with '- ' for '{}'"


@pytest.mark.parametrize(
    ("tree", "says"),
    [
        ({"not seen": [{"slide-hangs": "left", "idle-hangs": "yes"}]}, LOST.format("sign", "idle-hangs")),
        ({"put right": [{"plug-dead": "left", "coil": ""}]}, LOST.format("cause", "coil")),
        ({"opened": [{"float-bowls": "left", "front-cover": ""}]}, LOST.format("cover", "front-cover")),
        ({"opened": [["front-cover"]]}, "one cover for each '- '; take out the inner list"),
        ({"not seen": [{}]}, "no sign is called ''; find the name with"),
        ({"not seen": [{"idle-hangs": "left"}]}, "'idle-hangs' has no sides; write '- idle-hangs'"),
        ({"not again": ["seal-the-joint"]}, "'seal-the-joint' is on a side; write '- seal-the-joint: left'"),
        ({"seen": {"idle-hangs": {}}}, "'idle-hangs' does not say whether it is seen; add 'is: yes' or 'is: no'"),
        (
            {"seen": {"plug-wet": {"is": {"is": "left"}}}},
            "this is not a valid side; one of: left, right, both, neither",
        ),
        ({"measured": {"drop-idle": {}}}, "'drop-idle' has no figure; write"),
        ({"shakes": [{}]}, "say at which road speed or at which revs"),
        ({"shakes": [{"speed": "90 to 110 km/h"}]}, "'90 to 110 km/h' is more than one figure; write one, like"),
        ({"bike": {"gears": ["0"]}}, "write the engine's turns for one turn of the rear wheel"),
    ],
)
def test_what_was_read_in_part_or_not_at_all_is_one_mistake(base: Rulebase, tree: Tree, says: str) -> None:
    _, problems = parsed(tree, base)
    assert len(problems) == 1, problems
    assert problems[0].text.startswith(says)


def test_what_a_grammar_leaves_unread_is_a_mistake_by_itself() -> None:
    """No field of a later version can be lost, even if its reader forgets a part of it."""
    problems: list[Problem] = []
    root = read_text("a: [one, two]\nb: {c: d}\n", "page.yaml", problems)
    assert root is not None
    fields = root.fields(may=("a", "b"), what="a page")
    fields["a"].items()[0].text()
    fields["b"].pairs()
    refuse_unread(root)
    assert sorted((one.line, one.text.partition(",")[0]) for one in problems) == [
        (1, "this is not read here"),
        (2, "this is not read here"),
    ]
