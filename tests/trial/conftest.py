"""The rule base, and a view of every modelled cause, looked at once for all tests of this folder."""

import pytest

from advisor.places import shipped
from advisor.rulebase.load import load
from advisor.rulebase.model import Rulebase
from advisor.sides import Side
from advisor.trial.view import View, views
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED, plant
from advisor.virtual_bike.operate import tune_all

ALL = sorted(CAUSES)


def side_of(cause: str) -> Side:
    """Return the side on which the tests plant a cause."""
    return "left" if cause in ONE_SIDED or cause in ODD_SIDE else None


def planted(severity: float) -> dict[tuple[str, bool], View]:
    """Return the view of every cause, as it came and tuned."""
    bikes = [plant(Bike(), cause, side_of(cause), severity) for cause in ALL]
    both = [*bikes, *tune_all(tuple(bikes))]
    keys = [(cause, tuned) for tuned in (False, True) for cause in ALL]
    return dict(zip(keys, views(both), strict=True))


@pytest.fixture(scope="session")
def base() -> Rulebase:
    return load([shipped("rules")])


@pytest.fixture(scope="session")
def clear() -> dict[tuple[str, bool], View]:
    return planted(0.6)


@pytest.fixture(scope="session")
def plain() -> dict[tuple[str, bool], View]:
    return planted(0.7)
