"""The hand-over to a workshop: what was found, how sure, what is still open, what to bring."""

import msgspec
from msgspec.structs import replace

from advisor.case import Means
from advisor.session.session import Session

MOST_OPEN, SUSPECTED = 4, 0.05


class OpenCheck(msgspec.Struct, frozen=True, kw_only=True):
    """A check that is still worth doing, with what it takes."""

    title: str
    minutes: float
    tools: tuple[str, ...]


class HandOver(msgspec.Struct, frozen=True, kw_only=True):
    """The sheet. `may_ride` is False if something found forbids it."""

    complaint: str
    found: tuple[str, ...]
    likely: tuple[tuple[str, float], ...]
    open: tuple[OpenCheck, ...]
    bring: tuple[str, ...]
    may_ride: bool
    cautions: tuple[str, ...]


def _is_told(check: str, session: Session) -> bool:
    """Whether a check is only a question to the rider."""
    page = session.base.checks.get(check)
    return page is not None and page.how == "told"


def hand_over(session: Session) -> HandOver:
    """Return the sheet for a workshop with every tool. It does not repeat questions that the rider was asked."""
    base, report = session.base, session.report
    everything = Means(person=base.persons[-1], tools=None, engine="")
    asked = tuple(one for one in session.state.case.not_again if _is_told(one[0], session))
    case = replace(session.state.case, means=everything, not_again=asked)
    checks = session.advisor.diagnose(case).next_checks[:MOST_OPEN]
    still = tuple(OpenCheck(title=one.title, minutes=one.minutes, tools=one.tools) for one in checks)
    return HandOver(
        complaint=session.state.case.complaint,
        found=tuple(session.steps_taken()),
        likely=tuple((one.title, one.probability) for one in report.likely[:4] if one.probability >= SUSPECTED),
        open=still,
        bring=tuple(dict.fromkeys(tool for one in still for tool in one.tools)),
        may_ride="riding" not in report.forbidden,
        cautions=tuple(one.says for one in report.cautions if one.of_the_case),
    )
