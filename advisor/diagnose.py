"""The pipeline on one page: case -> readings -> chain -> rank -> plan -> Report."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, overload

import msgspec
from msgspec.structs import replace

from advisor.case import Case, Measured, first_side
from advisor.chain.compile import Compiled
from advisor.chain.run import Chain, Chained
from advisor.errors import AdvisorError
from advisor.explain.which import find_cause
from advisor.explain.why import Weighed, leaves_unexplained, weighed, why
from advisor.intake.riding import IDLE, SOUND
from advisor.intake.valid import refuse_invalid
from advisor.lazy import lazy
from advisor.plan.advice import advise
from advisor.plan.candidates import scene
from advisor.plan.choose import in_words, plan
from advisor.plan.deciding import decided_by, ordinary
from advisor.plan.lines import lines
from advisor.quantities import show
from advisor.rank.joint import WhatIf
from advisor.rank.leave_out import LeaveOut
from advisor.rank.network import Network, build, findings
from advisor.rank.opposed import at_odds
from advisor.rank.ranking import Ranking, level, odds
from advisor.rank.surprise import conflicts, surprise
from advisor.readings.measure_again import again
from advisor.readings.reduce import reduce
from advisor.readings.reduced import Reduced
from advisor.readings.shake_reports import signs as signs_of_shakes
from advisor.readings.verdicts import Judged, judge, unknown_figures
from advisor.report import (
    Advice,
    CautionShown,
    Conflict,
    Explanation,
    Line,
    NextCheck,
    RankedCause,
    Report,
    SetAside,
    SignState,
    Unexplained,
)
from advisor.rulebase import cache, load
from advisor.rulebase.model import Rulebase
from advisor.rulebase.source import times
from advisor.sides import Side, Sided, fill, named

if TYPE_CHECKING:
    from advisor.explain import why_not
    from advisor.readings import logs, sound_readings
else:
    why_not = lazy("advisor.explain.why_not")
    logs = lazy("advisor.readings.logs")  # imports numpy and scipy
    sound_readings = lazy("advisor.readings.sound_readings")

NOTHING: frozenset[tuple[str, str]] = frozenset()
CODE = cache.code_of(
    (  # the modules that make `Made` from a rule base
        "chain/compile.py",
        "chain/layers.py",
        "chain/run.py",
        "chain/subset.py",
        "chain/terms.py",
        "diagnose.py",
        "plan/deciding.py",
        "rank/network.py",
        "readings/verdicts.py",
        "sides.py",
    )
)
MOST_CHECKS = 5
UNEXPLAINED_FROM = 0.85  # chance that no cause explains the sign; a doubtful report alone does not reach it
CONFLICT_FROM_BITS = 2.0
TOO_LITTLE = 0.15  # while nothing is likelier than this, the question says more than the list: judgement


class Made(msgspec.Struct, frozen=True):
    """A rule base with everything an advisor prepares before the first case."""

    base: Rulebase
    compiled: Compiled
    decided: dict[Sided, frozenset[Sided]]
    network: Network


class Ranked(msgspec.Struct, frozen=True):
    """A case with its logs read, its readings reduced and judged, the result of the chain, and the ranking."""

    case: Case
    reduced: list[Reduced]
    judged: list[Judged]
    chained: Chained
    ranking: Ranking


class Advisor:
    """A rule base made ready; diagnoses any number of cases. `base` is the rule base.

    Every method refuses a case with a name that the rule base does not have, or with a side missing: CaseError with
    every mistake, each with its field. No case leaves anything behind for the next. Several threads may call it; cases
    run one at a time.

    >>> import advisor
    >>> ready = advisor.Advisor(advisor.load_rules())
    >>> told = advisor.case_from({"seen": {"idle-hangs": True, "enricher-helps": True}}, ready.base)
    >>> report = ready.diagnose(told)
    >>> report.format, report.causes[0].probability > report.causes[1].probability
    (1, True)
    """

    def __init__(self, base: Rulebase, made: Made | None = None) -> None:
        """Compile the rule base, or take the one already `made`. Raises ChainError when its rules are not safe."""
        self.base = base
        self.chain = Chain(base, made.compiled if made else None)
        self.decided = made.decided if made else decided_by(base)
        self.networks = {NOTHING: made.network if made else build(base)}  # one per set of links that rules switch off

    @classmethod
    def of(cls, folders: list[Path]) -> "Advisor":
        """Return the advisor for the rule base in these folders; the compiled form is cached for the next time.

        Raises RulesError with every mistake in the pages, and ChainError when the rules cannot be run safely.
        """
        whole = all(folder.is_dir() for folder in folders)  # else the rules are refused
        stamp = cache.stamp([*CODE, *times(folders)]) if whole else b""
        made = cache.fetch(stamp, Made) if stamp else None
        if made is not None:
            return cls(made.base, made)
        ready = cls(load(folders))
        if stamp:
            network = ready.networks[NOTHING]
            cache.store(stamp, Made(ready.base, ready.chain.compiled, ready.decided, network))
        return ready

    def in_full(self, case: Case) -> Case:
        """Return the case with its logs and the rider's reports of shakes turned into readings and signs.

        A reading or sign given outright takes precedence. Raises CaseError when a log cannot be used.
        """
        signs = {report.sign for report in case.seen}
        seen = list(signs_of_shakes(case.shakes, case.bike, signs.__contains__))
        measured: list[Measured] = []
        if case.logs:
            signs |= {report.sign for report in seen}
            for one in case.logs:
                if one.kind == IDLE:
                    measured += logs.readings_of(one)
                elif one.kind == SOUND:
                    measured += sound_readings.readings_of(one)
                else:
                    seen += logs.signs_of(one, case.bike, self.base, signs.__contains__)
        by_hand = {one.reading for one in case.measured}
        more = tuple(one for one in measured if one.reading not in by_hand)
        return replace(case, seen=(*case.seen, *seen), measured=(*case.measured, *more), shakes=(), logs=())

    def chained(self, case: Case) -> Chained:
        """Return the result of the chain for a case; its logs and shakes must have been read (`in_full`)."""
        return self.chain.run(case, judge(reduce(case.measured, case.before, self.base), case.bike, self.base))

    def signs(self, case: Case) -> tuple[SignState, ...]:
        """Return each sign of a case as the chain leaves it: seen or not.

        Raises CaseError when a log cannot be used.
        """
        return self.chained(self.in_full(case)).signs

    def rank(self, case: Case) -> tuple[Chained, Ranking]:
        """Return the result of the chain for a case, and the ranking: each cause with its exact probability.

        Raises CaseError when the case is not valid.

        >>> import advisor
        >>> ready = advisor.Advisor(advisor.load_rules())
        >>> chained, ranking = ready.rank(advisor.case_from({"seen": {"idle-hangs": True}}, ready.base))
        >>> chained.evidence[0].sign, len(ranking.posterior.causes) == len(ranking.network.causes)
        ('idle-hangs', True)
        """
        refuse_invalid(case, self.base)
        found = self._ranked(self.in_full(case))
        return found.chained, found.ranking

    def _ranked(self, case: Case) -> Ranked:
        """Return a case with everything that follows from it; its logs and shakes must have been read (`in_full`)."""
        reduced = reduce(case.measured, case.before, self.base)
        judged = judge(reduced, case.bike, self.base)
        chained = self.chain.run(case, judged)
        if chained.off not in self.networks:
            self.networks[chained.off] = build(self.base, chained.off)
        network = self.networks[chained.off].without((*case.put_right, *case.ruled_out))
        if self._complained(case, chained):
            network = replace(network, for_nothing=self.base.words.for_nothing)
        ranking, left_out = Ranking.of_most(network, findings(network, chained.evidence, self.base))
        counted = self._without(chained, left_out) if left_out else chained
        return Ranked(case, reduced, judged, counted, ranking)

    def _complained(self, case: Case, chained: Chained) -> bool:
        """Whether there is a complaint about something present, not only about how it began."""
        unasked = bool(case.complaint) or any(one.how == self.base.words.opening for one in case.seen)
        return unasked and any(one.seen and not self.base.signs[one.sign].past for one in chained.evidence)

    def _without(self, chained: Chained, left_out: list[Sided]) -> Chained:
        """Return the chained case with some signs set aside, because too many are linked to be ranked exactly."""
        reason = "too many seen signs hang together to be weighed exactly; what tells least is left out"
        aside = tuple(SetAside(what=sign, side=side, reason=reason, rule="") for sign, side in left_out)
        kept = tuple(one for one in chained.evidence if (one.sign, one.side) not in left_out)
        return replace(chained, evidence=kept, set_aside=(*chained.set_aside, *aside))

    def reasons(self) -> dict[str, str]:
        """Return each compiled rule's reason, in the words of its page, by the id that reports quote."""
        found = {name: fill(rule.reason, side) for name, (rule, side) in self.chain.origin.items()}
        return found | {
            f"{cause.id}/{link.sign}": link.shows for cause in self.base.causes.values() for link in cause.links
        }

    @overload
    def explain(self, case: Case, cause: str, side: Side, against: None = None) -> Explanation: ...

    @overload
    def explain(self, case: Case, cause: str, side: Side, against: Sided) -> "why_not.Contrast": ...

    def explain(
        self, case: Case, cause: str, side: Side, against: Sided | None = None
    ) -> "Explanation | why_not.Contrast":
        """Return why a cause ranks where it does: each sign with the factor by which it moves the odds.

        With `against`, another cause and its side, return why the likelier of the two leads, and which signs would
        reverse that. A side of None means the likelier side of the cause.

        A factor is exact, or marked `near` where the exact one would take too long: many seen signs hang together.
        With very many, those that tell least are set aside; `set_aside` names them.

        Raises AdvisorError when there is no such cause, or both are the same; CaseError when the case is not valid.

        >>> import advisor
        >>> ready = advisor.Advisor(advisor.load_rules())
        >>> told = advisor.case_from({"seen": {"idle-hangs": True}}, ready.base)
        >>> why = ready.explain(told, "intake-joint-leak", "left")
        >>> (why.id, why.side, why.why[0].sign, why.why[0].factor > 1)
        ('intake-joint-leak', 'left', 'idle-hangs', True)
        >>> why_not = ready.explain(told, "intake-joint-leak", "left", against=("plug-dead", "left"))
        >>> why_not.first, why_not.second
        ('intake-joint-leak', 'plug-dead')
        """
        refuse_invalid(case, self.base)
        found = self._ranked(self.in_full(case))
        causes = self._causes(found, [])
        places = {key: index for index, key in enumerate(found.ranking.network.causes)}
        chosen = find_cause(causes, named(cause, side))
        one = places[chosen.id, chosen.side]
        if against is None:
            return self._explained(found, chosen, one)
        other = find_cause(causes, named(*against))
        if other is chosen:
            msg = f"'{named(cause, side)}' and '{named(*against)}' are the same cause here; name two, with their sides"
            raise AdvisorError(msg)
        two = places[other.id, other.side]
        contrast = why_not.contrast(self.base, found.ranking, found.chained.evidence, one, two)
        return replace(contrast, set_aside=found.chained.set_aside)

    def _explained(self, found: Ranked, chosen: RankedCause, index: int) -> Explanation:
        ranking, now = found.ranking, odds(found.ranking.probability(index))
        leave = LeaveOut(ranking, [index])
        left_out = {key: leave.without(key) for key in ranking.findings}
        factors = {key: {index: now / odds(one.chances[0])} for key, one in left_out.items()}
        near = {key for key, one in left_out.items() if one.near}
        signs = weighed(ranking, factors, found.chained.evidence, self.base, near)
        return Explanation(
            id=chosen.id,
            side=chosen.side,
            title=chosen.title,
            probability=chosen.probability,
            remedy=chosen.remedy,
            minutes=chosen.minutes,
            why=why(index, chosen.id, signs),
            unexplained=leaves_unexplained(index, signs),
            set_aside=found.chained.set_aside,
        )

    def diagnose(self, case: Case, *, exact: bool = False, closely: bool = False, gone_into: int = 1) -> Report:
        """Return the full report of a case.

        The ranking is always exact. `exact` asks for exact factors too, even if they take long. The outcomes of the
        first `gone_into` checks are worked out, `closely` if the user will see one of them come true.

        Raises CaseError when the case is not valid or a log of it cannot be used, ChainError when the rules fail on it.

        >>> import advisor
        >>> ready = advisor.Advisor(advisor.load_rules())
        >>> ready.diagnose(advisor.case_from({"seen": {"idle-hangs": True}}, ready.base)).advice.kind
        'check'
        """
        refuse_invalid(case, self.base)
        found = self._ranked(self.in_full(case))
        case, chained, ranking = found.case, found.chained, found.ranking
        what_if = WhatIf(ranking, exact=exact, closely=closely)
        factors = {key: what_if.factors(key) for key in ranking.findings}
        near = ranking.findings if what_if.near else ()
        causes = self._causes(found, weighed(ranking, factors, chained.evidence, self.base, near))
        here = scene(self.base, case, chained.signs, chained.forbidden)
        planned = plan(self.base, what_if.joint, here, MOST_CHECKS)
        checks = in_words(self.base, what_if, chained.evidence, planned.checks[:MOST_CHECKS], gone_into)
        unexplained = self._unexplained(found)
        likely = lines(causes, ranking, here, self.base)
        advice = advise(self.base, causes, checks, unexplained, here, planned)
        return Report(
            case=case.title,
            bike=case.bike.name,
            complaint=case.complaint,
            advice=advice,
            causes=causes,
            next_checks=checks,
            signs=chained.signs,
            set_aside=chained.set_aside,
            readiness=chained.readiness,
            measure_again=again(found.judged, found.reduced, case.bike, self.base),
            default_figures=tuple(self._default(name) for name in unknown_figures(found.judged, case.bike, self.base)),
            cautions=self._cautions(chained, advice, checks),
            remarks=chained.remarks,
            forbidden=tuple(sorted(chained.forbidden)),
            unexplained=unexplained,
            surprise=surprise(ranking.findings, ranking.network.priors, ranking.alone.log_evidence),
            conflicts=self._conflicts(found),
            likely=likely,
            too_little=advice.kind == "check" and all(not one.found and one.probability < TOO_LITTLE for one in likely),
            order_of_work=self._order_of_work(causes, likely),
        )

    def _causes(self, found: Ranked, signs: list[Weighed]) -> tuple[RankedCause, ...]:
        """Return all causes, likeliest first, with what each sign makes of them; with nothing if no sign is given."""
        ranking, first, ranked = found.ranking, first_side(found.case), []
        for index, (name, side) in enumerate(ranking.network.causes):
            page = self.base.causes[name]
            ranked.append(
                RankedCause(
                    id=name,
                    side=side,
                    title=fill(page.title, side),
                    probability=ranking.probability(index),
                    remedy=fill(page.remedy, side),
                    minutes=page.minutes,
                    why=why(index, name, signs),
                    unexplained=leaves_unexplained(index, signs),
                )
            )
        return tuple(sorted(ranked, key=lambda one: (-level(one.probability), one.id, one.side != first)))

    def _cautions(self, chained: Chained, advice: Advice, checks: tuple[NextCheck, ...]) -> tuple[CautionShown, ...]:
        """Return the cautions for the case itself, then those for the next step, each once."""
        first: dict[str, tuple[str, bool]] = {}
        for name, because in chained.warnings:
            first.setdefault(name, (because, True))
        step = checks[0] if advice.kind == "check" else advice.proof
        due = [(name, step.title) for name in step.cautions] if step else []
        if advice.kind == "put right":
            due += [(name, "putting it right") for name in self.base.causes[advice.cause].cautions]
        for name, because in due:
            first.setdefault(name, (because, False))
        return tuple(
            CautionShown(id=name, says=self.base.cautions[name].says, because=because, of_the_case=of_the_case)
            for name, (because, of_the_case) in first.items()
        )

    def _default(self, name: str) -> str:
        figure = self.base.figures[name]
        low, high = show(figure.low, figure.unit), show(figure.high, figure.unit)
        return f"{figure.title}: {low}" if low == high else f"{figure.title}: {low} to {high}"

    def _unexplained(self, case: Ranked) -> tuple[Unexplained, ...]:
        found, ranking, first = [], case.ranking, first_side(case.case)
        for one in case.chained.evidence:
            key = one.sign, one.side
            if (
                one.seen
                and key in ranking.findings
                and self._needs_a_cause(one.sign)
                and not self._decides(key, ranking)
            ):
                chance = ranking.only_leak(key)
                if chance >= UNEXPLAINED_FROM:
                    title = fill(self.base.signs[one.sign].title, one.side)
                    found.append(Unexplained(sign=one.sign, side=one.side, title=title, probability=chance))
        return tuple(sorted(found, key=lambda one: (-level(one.probability), one.sign, one.side != first)))

    def _decides(self, key: Sided, ranking: Ranking) -> bool:
        """Whether a sign settles a cause that may be there: that explains the sign, though more may be wrong."""
        causes = zip(ranking.network.causes, ranking.network.priors, strict=True)
        return any(prior > 0 and key in self.decided[cause] for cause, prior in causes)

    def _needs_a_cause(self, sign: str) -> bool:
        """Whether a sign needs a cause: not if it is in the past, nor if healthy bikes often show it."""
        return not self.base.signs[sign].past and not ordinary(sign, self.base)

    def _conflicts(self, found: Ranked) -> tuple[Conflict, ...]:
        """Return signs that cannot occur together, then pairs that rarely do, worst first."""
        ranking, seen = found.ranking, {(one.sign, one.side): one.seen for one in found.chained.evidence}
        never = at_odds(seen, self.base)
        pairs = conflicts(ranking.findings, ranking.network.priors, CONFLICT_FROM_BITS)
        bits = {(first, second): much for first, second, much in pairs}
        apart = {frozenset(one) for one in never}
        rarely = [pair for pair in bits if frozenset(pair) not in apart]
        return tuple(
            Conflict(
                first=" and ".join(self._said(key, seen) for key in signs[:-1]),
                second=self._said(signs[-1], seen),
                bits=bits.get((signs[0], signs[-1]), 0.0),
                never=signs in never,
            )
            for signs in [*never, *rarely]
        )

    def _said(self, key: Sided, seen: Mapping[Sided, bool]) -> str:
        title = fill(self.base.signs[key[0]].title, key[1])
        return title if seen.get(key, True) else f"not: {title}"

    def _order_of_work(self, causes: tuple[RankedCause, ...], likely: tuple[Line, ...]) -> tuple[str, ...]:
        """Return the titles of the faults to put right, found or likely enough, in the order of a tune-up."""
        found = {key for line in likely if line.found for key in line.causes}
        act_at = self.base.words.act_at
        due = [one for one in causes if one.probability >= act_at or (one.id, one.side) in found]
        due.sort(key=lambda cause: self.base.order_of(self.base.causes[cause.id].place))
        return tuple(cause.title for cause in due)
