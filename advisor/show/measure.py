"""One reduction on a terminal: the figures, the limits that apply, and the picture in words."""

import math
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from advisor.calculator import CLOSE, OUTSIDE, Figure, Held, Worked
from advisor.quantities import MMHG, show
from advisor.readings.air import SEA_PRESSURE, Height
from advisor.readings.manometer import BEHIND_SHUT_THROTTLE, Tube, height
from advisor.show.screen import Rows, heading

if TYPE_CHECKING:
    from advisor.readings.shorting import Shorted

LABEL = 17
TABLESPOON = 14.7868e-6  # m3
TELLING = {*OUTSIDE, CLOSE}
ONE = re.compile(r"(?<![\w.,/-])1 (?P<many>turns|notches)\b")
SIDE_OF_LEAD = {"reading": "", "lead": "more by", "stays": "stays"}


def worked(found: Worked) -> Group:
    """Return one reading's reduction, to be printed: first what to do next, then the grounds."""
    return Group(*_worked(found))


def _worked(found: Worked) -> Iterator[RenderableType]:
    yield heading(found.title.replace("{side}", "each side"))
    yield Rows([("  →", Text(plain(line), style="bold")) for line in found.picture], label=4)
    yield Rows([("  sign", Text(line)) for line in found.signs], label=LABEL)
    yield Text()
    yield Rows([(f"  {_label(one)}", Text(plain(_figure(one)))) for one in found.figures], label=LABEL)
    telling = [one for one in found.held if one.verdict in TELLING]
    for one in telling:
        text = f"{_against(one)}: {one.verdict} ({one.meaning})"
        yield Rows([("  held", Text(text, style="dim"))], label=LABEL)
    within = "; ".join(_against(one) for one in found.held if one.verdict not in TELLING)
    yield Rows([("  within", Text(line, style="dim")) for line in [within] if line], label=LABEL)
    if found.test:
        yield Rows([("  test", Text(tested(found.test)))], label=LABEL)
    # A test on the repeats gives a better number of further repeats.
    again = [] if found.test else [f"{one.said}: {CLOSE}; {_repeats(one.repeats)}" for one in found.measure_again]
    yield Rows([("  again", Text(plain(line))) for line in again], label=LABEL)
    if found.default_figures:
        text = f"no bike sheet given, so by cautious defaults: {', '.join(found.default_figures)}"
        yield Rows([("  *", Text(text, style="dim"))], label=4)


def _against(one: Held) -> str:
    return plain(f"{one.side}: {one.said}" if one.side else one.said)


def tested(found: "Shorted") -> str:
    """Return the result of the test on repeated drops, in words; the method comes last."""
    verdict = {"": "alike", None: CLOSE}.get(found.weaker, f"{found.weaker} is the weaker")
    if found.by is not None:
        verdict += f": left less right {found.by:+.0f} rpm ({found.low:+.0f} to {found.high:+.0f})"
    more = "" if found.weaker is not None or found.more == 0 else f"; {_more(found.more)}"
    return f"{verdict}{more}; {found.test}"


def _more(count: int | None) -> str:
    if count is None:
        return "thirty trials a side would not decide it"
    trials = "trial" if count == 1 else "trials"
    return f"about {count} more {trials} a side would decide it"


def plain(text: str) -> str:
    """Return a text with 'one' of a unit in the singular."""
    return ONE.sub(lambda found: {"turns": "1 turn", "notches": "1 notch"}[found["many"]], text)


def _label(one: Figure) -> str:
    return " ".join(part for part in (one.side or "", SIDE_OF_LEAD[one.of]) if part)


def _figure(one: Figure) -> str:
    if not math.isfinite(one.value):
        return f"a stall: more than {show(one.low, one.unit)}"
    own = f" ({one.own})" if one.own else ""
    low = show(one.low, one.unit).split()[0] if math.isfinite(one.low) else "less"
    high = show(one.high, one.unit) if math.isfinite(one.high) else "more"
    return f"{show(one.value, one.unit)}{own}, trusted from {low} to {high}"


def _repeats(count: int) -> str:
    return f"{count} readings on each side would decide it" if count else "more readings like these would not decide it"


def lines(title: str, rows: list[tuple[str, str]], picture: list[str]) -> Group:
    """Return a plain reduction: what it means and what to do, then labelled lines."""
    return Group(
        heading(title),
        Rows([("  →", Text(line, style="bold")) for line in picture], label=4),
        *([Text()] if picture else []),
        Rows([(f"  {label}", Text(text)) for label, text in rows], label=16),
    )


def tube(found: Tube, density: float) -> Group:
    """Return the figures of a tube: the wait, the fill and the most it shows."""
    settles, most = found.settles, found.most
    rows = [
        ("wait", f"{settles.wait:.0f} s for a column to settle (time constant {settles.time_constant:.1f} s)"),
        ("fill", f"{found.fill * 1e6:.0f} ml, that is {found.fill / TABLESPOON:.1f} tablespoons"),
        (
            "shows",
            f"up to {most / 1000:.1f} kPa ({show(most / MMHG, 'mmHg')}) between the legs; more draws it in",
        ),
        ("one kPa", f"{1000 * height(1000.0, density):.0f} mm of this fluid"),
    ]
    mark = (
        "The column swings past its mark: pinch the hose, or put a small jet in it, before you read it."
        if settles.swings
        else "The column creeps to its mark: wait, then read."
    )
    risk = (
        f"Behind one shut throttle there is more than the tube holds ({BEHIND_SHUT_THROTTLE / 1000:.0f} kPa): with one "
        "hose off, the fluid goes into the engine. Connect both before starting, and stop the engine before you take "
        "one off."
    )
    return lines("U-tube", rows, [mark, *([risk] if found.draws_in else [])])


def altitude(found: Height, set_at: float) -> Group:
    """Return the air at a height, and its effect on a mixture that was set at another height (in metres)."""
    at_sea = f"at the sea {SEA_PRESSURE / 1000:.1f}"
    rows = [
        ("pressure", f"{found.pressure / 1000:.1f} kPa ({show(found.pressure / MMHG, 'mmHg')}; {at_sea})"),
        ("density", f"{found.density:.3f} kg/m3"),
        ("mixture", f"lambda times {found.lambda_times:.3f}, if it was set at {set_at:.0f} m"),
    ]
    richer = f"about {abs(found.richer_by)}% {'richer' if found.richer_by > 0 else 'leaner'} than"
    than = richer if found.richer_by else "as rich as"
    picture = f"Both sides run {than} where they were set: no fault, nor reason to turn one screw."
    return lines("Height above the sea", rows, [picture])
