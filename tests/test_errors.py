"""Every mistake at once, each with its place; the nearest name where one is misspelt."""

from advisor.errors import AdvisorError, CaseError, Problem, did_you_mean, nearest, shortened


def test_a_mistake_says_where_it_stands() -> None:
    assert str(Problem("case.yaml", 7, "no unit")) == "case.yaml:7: no unit"
    assert str(Problem("case.yaml", 0, "is empty")) == "case.yaml: is empty"
    assert str(Problem("", 0, "no such cause")) == "no such cause"


def test_an_endless_name_does_not_bury_what_is_wrong() -> None:
    said = str(Problem("case.yaml", 7, f"no sign is called '{'x' * 900_000}'; find the name with: search"))
    assert len(said) < 2100
    assert said.startswith("case.yaml:7: no sign is called 'xxx")
    assert said.endswith("xxx'; find the name with: search")
    whole = Problem("case.yaml", 7, "x" * 2000)
    assert str(whole) == f"case.yaml:7: {whole.text}"


def test_an_error_holds_every_mistake() -> None:
    found = CaseError([Problem("a.yaml", 1, "one"), Problem("a.yaml", 2, "two")])
    assert [one.text for one in found.problems] == ["one", "two"]
    assert str(found) == "a.yaml:1: one\na.yaml:2: two"
    assert isinstance(found, AdvisorError)
    assert AdvisorError("only this").problems == (Problem("", 0, "only this"),)


def test_the_nearest_name_is_offered_and_only_a_near_one() -> None:
    assert nearest("idle-hang", ["idle-hangs", "slide-hangs"]) == " (did you mean 'idle-hangs'?)"
    assert nearest("xyzzy", ["idle-hangs"]) == ""
    assert nearest("idle-hangs", []) == ""


def test_several_names_are_offered_as_a_choice() -> None:
    assert did_you_mean(["a", "b"]) == " (did you mean 'a' or 'b'?)"
    assert did_you_mean([]) == ""


def test_what_is_too_long_to_be_read_is_quoted_by_its_beginning() -> None:
    assert shortened("x" * 80) == "x" * 80
    assert shortened("x" * 81) == "x" * 80 + "..."
