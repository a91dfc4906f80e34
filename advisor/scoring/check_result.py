"""What a person finds by doing a check on the virtual bike: the outcome that agrees best with the senses."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from advisor.errors import AdvisorError, nearest
from advisor.observer.bike_view import View
from advisor.observer.not_sensed import NOBODY_KNOWS
from advisor.observer.readings_taken import NOT_READ, Taken, take
from advisor.observer.senses import sense
from advisor.plan.candidates import real_outcomes
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Side, Sided, fill

NOBODY = "Nobody knows."
SLIPS = 0.01  # chance that a sign is missed, or imagined, in one look: judgement
Findings = dict[Sided, bool]


@dataclass(frozen=True)
class Answer:
    """The outcome chosen: its words, its side (None for the whole bike), its findings, and what was read on the way."""

    says: str
    side: Side
    findings: Findings
    readings: dict[str, Taken] = field(default_factory=dict)


@dataclass(frozen=True)
class _Fit:
    """One outcome on its side, and how badly it agrees with what was seen: wrong findings count first."""

    says: str
    side: Side
    findings: Findings
    misfit: tuple[int, int, int]


class _Person:
    """The person who looks: sees what is there, apart from slips, and is consistent throughout one check."""

    def __init__(self, view: View, rng: np.random.Generator, slips: float, told: Mapping[Sided, bool]) -> None:
        self.view, self.rng, self.slips, self.told = view, rng, slips, told
        self.saw: dict[Sided, bool] = {}

    def sees(self, sign: str, side: Side) -> bool:
        """Whether the sign is seen. A part that the model does not touch is sound, unless something was told of it."""
        key = sign, side
        if key not in self.saw:
            true = self.told.get(key)
            if true is None:
                known = sense(self.view, sign, side)
                slip = self.rng.random() < self.slips
                true = known is not None and known != slip
            self.saw[key] = true
        return self.saw[key]


def _fits(base: Rulebase, check: Check, side: Side, person: _Person) -> list[_Fit]:
    found = []
    for outcome in check.outcomes:
        for one, settled in real_outcomes(outcome, side, base):
            agree = [seen == person.sees(*key) for key, seen in settled.items()]
            told = sum(ok and seen for ok, seen in zip(agree, settled.values(), strict=True))
            misfit = (agree.count(False), -told, -agree.count(True))
            shown = one if outcome.either_side or check.sided else None
            found.append(_Fit(fill(outcome.says, one), shown, settled, misfit))
    return found


def answer(  # noqa: PLR0913 - what is asked, of what, by whom
    base: Rulebase,
    check: str,
    side: Side,
    view: View,
    rng: np.random.Generator,
    *,
    slips: float = SLIPS,
    told: Mapping[Sided, bool] | None = None,
    readings: Mapping[str, Taken] | None = None,
) -> Answer:
    """Return the outcome of a check, done on this side (None if it is done once), that agrees best with the senses.

    `told` are findings that the senses cannot give: the bike's history, or what its `readings` say. If nothing can
    be known, nothing is found. Of outcomes that agree as well, the one that shows most of what is there is taken.
    Raises AdvisorError for a check that the rule base does not have.
    """
    if check not in base.checks:
        message = f"no such check: {check}{nearest(check, base.checks)}"
        raise AdvisorError(message)
    done = base.checks[check]
    fits = _fits(base, done, side, _Person(view, rng, slips, told or {}))
    best = min(fits, key=lambda fit: fit.misfit)
    if readings is None:
        readings = {name: take(view, name, rng) for name in done.takes if name not in NOT_READ}
    findings = {key: seen for key, seen in best.findings.items() if key in (told or {}) or key[0] not in NOBODY_KNOWS}
    if not findings and best.findings:
        return Answer(NOBODY, best.side, {}, dict(readings))
    return Answer(best.says, best.side, findings, dict(readings))
