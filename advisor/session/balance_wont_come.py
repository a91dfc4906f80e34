"""What is asked where a led balance does not come right by turning screws: the way over to the search."""

from advisor.balance.course import PLUGS_SAY
from advisor.balance.course_steps import IDLE, WontCome
from advisor.rulebase.model import Rulebase
from advisor.session import balance_so_far as so_far
from advisor.session.balance_shows import set_right, shows
from advisor.session.balance_so_far import Led
from advisor.session.events import BALANCE, SEARCH, SetUp, WentOver
from advisor.session.next_question import LED, Option, Question

WHY = {
    "a side does nothing": "Shorting the {side} plug costs hardly anything at idle: that cylinder does not work there.",
    "changes without the gauge": "With the hoses off and the caps on, the idle is another: air comes in at a port.",
    "no answer": "The {side} {screw} was turned, and hardly anything changed.",
    "wrong way": "It moves the wrong way: are the hoses on the wrong sides?",
    "moves by itself": "It moves although nothing was turned.",
    "far turn": "The {side} {screw} would stand far from where it was found: it makes up for something.",
    "does not come level": "It will not come level at idle.",
    "does not come level off idle": "It will not come level at 2,500 rpm, though it is at idle.",
    "idle out of reach": "The idle does not come into its range.",
    PLUGS_SAY: "The columns are level, and yet the {side} side does less: its plug costs less.",
    "does not stay": "It came level, and did not stay so after a blip.",
}


def wont_come(what: WontCome, led: Led, base: Rulebase) -> Question:
    """Return the question that says why it does not come, and offers the search for the cause."""
    if what.why == PLUGS_SAY and so_far.ANEW not in led.chosen:
        return _mixture_anew(what, led, base)
    return Question(
        kind=LED,
        title="It does not come by turning screws",
        steps=(
            why_not(what),
            "Turn no further: find what is wrong first.",
        ),
        options=(
            Option(says="Look for the cause.", event=over(what, led, base)),
            Option(says="That was a slip: begin the balance again.", event=WentOver(BALANCE)),
        ),
    )


def why_not(what: WontCome) -> str:
    """Return why it does not come, as a sentence."""
    screw = "idle stop" if what.where == IDLE else "cable adjuster"
    return WHY[what.why].format(side=what.side or "one", screw=screw)


def over(what: WontCome, led: Led, base: Rulebase) -> WentOver:
    """Return that it goes over to the search, with all that the balance has shown."""
    return WentOver(SEARCH, what.why, shows(what, led, base), set_right(what, led, base))


def _mixture_anew(what: WontCome, led: Led, base: Rulebase) -> Question:
    """Ask to set the mixture of the side that does less once more: nothing else costs so little to try."""
    side = what.side or "left"
    return Question(
        kind=LED,
        title=f"The {side} side does less though the columns are level",
        steps=(
            f"A mixture screw that is a little off does that. Set the {side} one once more; it is read on from there.",
        ),
        options=(
            Option(says=f"Set the {side} mixture screw once more.", event=SetUp(so_far.ANEW, side)),
            Option(says="No: look for the cause.", event=over(what, led, base)),
        ),
    )
