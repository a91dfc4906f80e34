"""The list of checks or causes that is shown, page by page, and the line that means one of them anywhere."""

from collections.abc import Sequence

import msgspec

from advisor.errors import AdvisorError
from advisor.practice.offers import NAME, Offer
from advisor.practice.replies import OfferList, OfferListed
from advisor.practice.round import CHECK, FIX
from advisor.sides import Sided

PAGE = 12  # lines of a list at once
AGAIN = "again"
VERBS = {CHECK: "check", FIX: FIX, NAME: NAME}  # in front of the name of a check or a cause


class ShownList(msgspec.Struct, frozen=True, kw_only=True):
    """The list shown last, which numbers mean: a stage's (1 first), or of several (0); from which line it was shown.

    Without offers, numbers mean the stages.
    """

    stage: int = 0
    title: str = ""
    offers: tuple[Offer, ...] = ()
    start: int = 0

    @property
    def verb(self) -> str:
        """What choosing a line does; '' for the stages."""
        return self.offers[0].verb if self.offers else ""

    def further(self) -> "ShownList":
        """Return the list from the next page on. Raises AdvisorError for none."""
        if self.start + PAGE >= len(self.offers):
            msg = "there is no more of this list"
            raise AdvisorError(msg, "'list' goes back to the stages")
        return msgspec.structs.replace(self, start=self.start + PAGE)

    def line(self, number: int) -> Offer:
        """Return the offer with this number. Raises AdvisorError for none."""
        if not 1 <= number <= len(self.offers):
            msg = f"there is no {number} in the list; choose 1 to {len(self.offers)}"
            raise AdvisorError(msg, "or 'list' for the stages")
        return self.offers[number - 1]

    def page(self, long: int = PAGE) -> OfferList:
        """Return the page shown, of at most so many lines."""
        page = self.offers[self.start : self.start + long]
        return OfferList(
            verb=self.verb,
            stage=self.stage,
            title=self.title,
            offers=tuple(
                OfferListed(
                    number=number,
                    title=one.title,
                    minutes=one.minutes,
                    sided=len(one.sides) > 1,
                    line=line_of([(one.id, one.sides[0] if len(one.sides) == 1 else None)], one.verb),
                )
                for number, one in enumerate(page, start=self.start + 1)
            ),
            more=max(0, len(self.offers) - self.start - long),
        )


def line_of(chosen: Sequence[Sided], verb: str, *, again: bool = False) -> str:
    """Return the line that means a check, or causes, whatever list is shown: 'check spark-seen left'."""
    said = "; ".join(f"{name} {side or ''}".strip() for name, side in chosen)
    return f"{VERBS[verb]} {said}{f' {AGAIN}' if again else ''}"
