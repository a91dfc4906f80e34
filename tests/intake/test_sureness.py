"""How surely a sign is meant: more alike is surer, and parts alone say nothing."""

from msgspec.structs import replace

from advisor.intake.sureness import Told, sure

SURE = Told(
    like=1.5,
    lead=1.0,
    covered=1.0,
    exact=1.0,
    finding=1.0,
    complaint=1.0,
    was=0.0,
    bare=0.0,
    many=0.7,
    beside=0.2,
    size=2.0,
    vote=0.8,
    both=1.5,
)


def test_more_of_a_phrasing_more_alike_and_further_ahead_is_surer() -> None:
    for name, less in {"like": 0.5, "lead": -1.0, "covered": 0.5, "exact": 0.0, "finding": 0.4, "vote": 0.1}.items():
        other = replace(SURE, **{name: less})
        assert sure(replace(other, both=other.covered * other.like)) < sure(SURE), name


def test_how_it_was_is_less_sure() -> None:
    assert sure(replace(SURE, was=1.0)) < sure(SURE)


def test_parts_with_nothing_found_of_them_say_nothing() -> None:
    assert sure(replace(SURE, finding=0.0)) == 0.0
