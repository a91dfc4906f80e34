"""The house: each module has its tests beside it, and a name says which module is meant."""

from collections import defaultdict
from pathlib import Path

from advisor.places import PACKAGE

TESTS = Path(__file__).parent
# Modules without a test file of their own name, and where their tests stand.
ELSEWHERE = {
    "__main__": "test_packaging",
    "chain/terms": "chain/test_compile",
    "cli/chosen": "cli/test_bench",
    "cli/demo": "cli/test_commands",
    "cli/diagnose": "cli/test_commands",
    "cli/explain": "cli/test_commands",
    "cli/phone": "cli/test_bench",
    "cli/rules": "cli/test_commands",
    "examples": "rulebase/test_load",
    "intake/bike_sheet": "intake/test_riding",
    "intake/matching": "intake/test_mentions",
    "intake/figures": "intake/test_casefile",
    "intake/figure_meaning": "intake/test_told_figures",
    "intake/figure_topics": "intake/test_told_figures",
    "intake/figures_said": "intake/test_told_figures",
    "intake/sides_named": "intake/test_told_side",
    "intake/window": "intake/test_denial",
    "practice/replies": "practice/test_dialogue",
    "practice/shown_list": "practice/test_dialogue",
    "rulebase/cause_pages": "rulebase/test_load",
    "rulebase/check_pages": "rulebase/test_load",
    "rulebase/coverage": "cli/test_commands",
    "rulebase/grammar": "rulebase/test_load",
    "rulebase/model": "rulebase/test_load",
    "plan/ahead": "plan/test_choose",
    "rulebase/pattern_pages": "rulebase/test_load",
    "rulebase/read": "rulebase/test_load",
    "rulebase/reading_pages": "rulebase/test_load",
    "rulebase/page_record": "rulebase/test_load",
    "rulebase/same_words": "rulebase/test_wording",
    "rulebase/sign_pages": "rulebase/test_load",
    "rulebase/source": "rulebase/test_layout",
    "rulebase/speech": "rulebase/test_wording",
    "rulebase/table_records": "rulebase/test_load",
    "rulebase/tables": "rulebase/test_load",
    "session/events": "session/test_store",
    "session/place": "session/test_dialogue",
    "session/shown": "session/test_dialogue",
    "show/bench": "show/test_dialogue",
    "show/coverage": "cli/test_commands",
    "show/explain": "cli/test_commands",
    "show/json": "test_door",
    "show/logs": "cli/test_measure",
    "show/measure": "cli/test_measure",
    "show/phone": "show/test_dialogue",
    "show/sessions": "cli/test_bench",
    "show/sheet": "show/test_dialogue",
    "show/taken_steps": "show/test_verdict",
    "cli/follow": "cli/test_balance",
    "cli/tune_up": "session/test_tune_up_asked",
    "session/balance_drawn": "session/test_balance_asked",
    "session/balance_in_words": "session/test_balance_record",
    "session/balance_mixture": "session/test_balance_asked",
    "session/balance_shows": "session/test_balance_asked",
    "session/balance_so_far": "session/test_balance_asked",
    "session/balance_typed": "session/test_balance_asked",
    "session/went_over": "session/test_to_the_balance",
    "session/what_next": "session/test_to_the_balance",
    "show/verdict_words": "show/test_verdict",
    "show/words": "show/test_terminal",
    "web/here": "web/test_app",
}
# Of these packages a few tests ask the whole: the engine by what it does, the senses by what they tell.
AS_A_WHOLE = ("virtual_bike", "observer")
# In these packages a module that draws or calls has the name of what it draws or calls.
SAME_NAME = ("show", "cli")


def _modules() -> list[str]:
    found = [path.relative_to(PACKAGE).with_suffix("") for path in PACKAGE.rglob("*.py")]
    return sorted(str(one) for one in found if one.name != "__init__" and "_shipped" not in one.parts)


def _has_a_mirror(module: str) -> bool:
    path = TESTS / module
    return path.with_name(f"test_{path.name}.py").is_file()


def test_each_module_has_its_tests() -> None:
    without = {one for one in _modules() if not _has_a_mirror(one) and not one.startswith(AS_A_WHOLE)}
    assert without == set(ELSEWHERE)
    assert all((TESTS / f"{where}.py").is_file() for where in ELSEWHERE.values())


def test_no_two_modules_of_one_name_do_different_things() -> None:
    places = defaultdict(list)
    for module in _modules():
        folder, _, name = module.rpartition("/")
        places[name].append(folder)
    twice = {name: found for name, found in places.items() if sum(one not in SAME_NAME for one in found) > 1}
    assert set(twice) <= {"dialogue"}, "a line in, records out: of a session, and of a practice round"
