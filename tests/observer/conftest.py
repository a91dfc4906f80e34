"""The rule base, and views of every modelled cause, for all tests of this folder."""

import pytest

from advisor.observer.bike_view import View, views
from advisor.places import shipped
from advisor.rulebase.load import load
from advisor.rulebase.model import Rulebase
from advisor.sides import Side
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED, plant
from advisor.virtual_bike.operate import tune_all

ALL = sorted(CAUSES)


def side_of(cause: str) -> Side:
    """Return the side on which the tests plant a cause."""
    return "left" if cause in ONE_SIDED or cause in ODD_SIDE else None


def planted(severity: float, tuned: bool) -> dict[str, View]:
    """Return the view of every cause, as it came or tuned."""
    bikes = tuple(plant(Bike(), cause, side_of(cause), severity) for cause in ALL)
    return dict(zip(ALL, views(tune_all(bikes) if tuned else bikes), strict=True))


@pytest.fixture(scope="session")
def base() -> Rulebase:
    return load([shipped("rules")])
