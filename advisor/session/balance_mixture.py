"""How a mixture screw is set in a led balance: turned from place to place, the revs read at each, to its best."""

from advisor.balance.mixture import Best, Go, NoTop
from advisor.balance.turns import MIXTURE, WHOLE, Turn, how_far
from advisor.case import SignReport
from advisor.rulebase.model import Rulebase
from advisor.session.balance_shows import HOW, MIXTURE_DEAD
from advisor.session.balance_so_far import BY_CO, BY_DROPS, BY_REVS, READ_BY, Led, mixture_next
from advisor.session.events import BALANCE, SEARCH, ScrewsTurned, WentOver
from advisor.session.next_question import LED, Option, Question
from advisor.sides import Side

NO_TOP = {
    "flat": "The idle hardly changes with it.",
    "out": "The idle goes on rising the further it is turned out.",
    "in": "The idle goes on rising the further it is turned in.",
}
RUNNING = ("stuck-throttle", "hot-parts", "overheating", "carbon-monoxide")
WHAT = {BY_REVS: "the revs", BY_DROPS: "what its plug is worth", BY_CO: "its carbon monoxide"}
HOW_READ = {
    BY_REVS: "Wait ten seconds until the idle is steady, then type the revs.",
    BY_DROPS: "When the idle is steady, short the {side} plug three times: type by how much the revs fall.",
    BY_CO: "Wait half a minute, then type the figure of the {side} header.",
}
KEEP = "If it is about to die, turn it back. Never screw it home hard: that spoils its seat."


def mixture_question(led: Led, side: Side, base: Rulebase) -> Question:
    """Return the next place of the screw of this side, where to leave it, or that no place is best."""
    found = mixture_next(led.read[side], led.by, base)
    match found:
        case Go():
            return _place(led, side, found.to, base)
        case Best():
            return _best(led, side, found, base)
        case NoTop():
            return _no_top(side, found)


def _place(led: Led, side: Side, to: int, base: Rulebase) -> Question:
    turn = _turn(led, side, to)
    how = f"{str(turn)[0].upper()}{str(turn)[1:]}." if turn else "Touch no screw yet."
    return Question(
        kind=LED,
        title=f"Mixture, {side}: {'turn, then ' if turn else ''}read {WHAT[led.by]}",
        steps=(how, HOW_READ[led.by].format(side=side), KEEP),
        minutes=1.0,
        options=(Option(says="It does not turn, or came to its end.", event=_no_mixture(side)),) if turn else (),
        cautions=tuple(base.cautions[name].says for name in RUNNING),
        takes=(READ_BY[led.by],),
        unit="%" if led.by == BY_CO else "rpm",
        side=side if led.by != BY_REVS else None,
        drawn=_drawn(led, side),
        turns=(turn,) if turn else (),
    )


def _best(led: Led, side: Side, found: Best, base: Rulebase) -> Question:
    turn = _turn(led, side, round(found.at * WHOLE))
    between = f"Best between {_out(found.low)} and {_out(found.high)}, from where it was found."
    return Question(
        kind=LED,
        title=f"Mixture, {side}: leave it at its best",
        steps=(f"{str(turn)[0].upper()}{str(turn)[1:]}.", between),
        options=(Option(says="It stands there.", event=ScrewsTurned((turn,) if turn else ())),),
        cautions=tuple(base.cautions[name].says for name in RUNNING),
        drawn=_drawn(led, side),
    )


def _no_top(side: Side, found: NoTop) -> Question:
    return Question(
        kind=LED,
        title=f"The {side} mixture screw has no best place",
        steps=(
            NO_TOP[found.why],
            "Turn it back to where it was found. Something else is wrong: find that first.",
        ),
        options=(
            Option(says="Look for the cause.", event=_no_mixture(side)),
            Option(says="That was a slip: begin the balance again.", event=WentOver(BALANCE)),
        ),
    )


def _no_mixture(side: Side) -> WentOver:
    dead = SignReport(sign=MIXTURE_DEAD, side=side, seen=True, how=HOW)
    return WentOver(SEARCH, "no mixture", (dead,))


def _turn(led: Led, side: Side, to: int) -> Turn | None:
    """Return the turn that brings the screw to a place (sixteenths out); None if it stands there."""
    out = to - led.screws[side]
    return Turn(side, MIXTURE, -out) if out else None


def _out(turns: float) -> str:
    size = round(turns * WHOLE)
    return f"{how_far(size)} {'out' if size > 0 else 'in'}" if size else "where it was"


def _drawn(led: Led, side: Side) -> str:
    """Return what was read so far, by place: '-1/4: 1010  0: 1030  +1/4: 1040' (+ is out)."""
    places: dict[int, float] = dict(led.read[side])
    digits = 1 if led.by == BY_CO else 0
    said = (f"{place_said(at)}: {value:.{digits}f}" for at, value in sorted(places.items()))
    return "  ".join(said)


def place_said(at: int) -> str:
    """Return a place of a mixture screw, in sixteenths out from where it was found: '1/4 out'."""
    return f"{how_far(at).split()[0]} {'out' if at > 0 else 'in'}" if at else "as found"
