"""Draws how led balances went on bikes of the engine model."""

from collections import Counter
from collections.abc import Iterator, Sequence
from statistics import median

from rich.console import RenderableType
from rich.text import Text

from advisor.balance.course import CABLES, STOPS
from advisor.scoring.led_balance import Balance
from advisor.scoring.played import FOUND, Played
from advisor.session.balance_asked import STAGES
from advisor.session.balance_so_far import GAUGES
from advisor.show.screen import Rows, heading
from advisor.show.words import per_cent

FIRST = 5  # places of the search that follows
NINETEEN_OF_TWENTY = 0.95
LABEL = 43


def balances(played: Sequence[Balance]) -> Iterator[RenderableType]:
    """Yield the report of led balances: on sound bikes by each method, and on bikes with a fault."""
    sound = [one for one in played if not one.cause]
    for method in dict.fromkeys(one.method for one in sound):
        of = [one for one in sound if one.method == method]
        by = "two gauges" if method == GAUGES else "shorting one plug at a time"
        yield heading(f"\nSOUND BIKES, screws turned by somebody, read by {by} ({len(of)} bikes)")
        yield Rows([(f"  {name}", Text(said)) for name, said in _sound(of)], label=LABEL)
    faulty = [one for one in played if one.cause]
    if faulty:
        yield heading(f"\nBIKES WITH A FAULT that screws cannot make up for ({len(faulty)} bikes)")
        yield Rows([(f"  {name}", Text(said)) for name, said in _faulty(faulty)], label=LABEL)


def _sound(of: Sequence[Balance]) -> Iterator[tuple[str, str]]:
    done = [one for one in of if not one.why]
    yield "balanced", _share(len(done), len(of))
    yield "  idle and columns at idle within limits", _share(sum(one.idle_right for one in done), len(of))
    yield "  columns at 2,500 too", _share(sum(one.level for one in done), len(of))
    yield (
        "  columns apart at the end, at idle",
        f"{median(abs(one.after.idle_mmhg) for one in done):.1f} mmHg at the median",
    )
    yield "readings for the stops", _spread([one.readings.get(STAGES[STOPS], 0) for one in of])
    yield "readings for the cables", _spread([one.readings.get(STAGES[CABLES], 0) for one in of])
    yield "left worse than found", f"{sum(one.worse for one in of)}"
    yield "taken for a fault", f"{_share(len(of) - len(done), len(of))}{_whys(of)}"
    yield "minutes on the stand", _spread([one.minutes for one in of])


def _faulty(of: Sequence[Balance]) -> Iterator[tuple[str, str]]:
    over = [one for one in of if one.why]
    yield "handed over to the search", f"{_share(len(over), len(of))}{_whys(of)}"
    near = sum(0 < one.place <= FIRST for one in over)
    yield f"  true cause among the first {FIRST}", f"{_share(near, len(over))} of these; {_share(near, len(of))} of all"
    yield from _searched([one.search for one in over if one.search is not None])
    missed = Counter(one.cause for one in of if not one.why)
    yield "balanced in spite of it", ", ".join(f"{name} {many}" for name, many in missed.most_common(6)) or "none"


def _searched(of: Sequence[Played]) -> Iterator[tuple[str, str]]:
    """Yield how the searches went that were played on after the balance."""
    if not of:
        return
    found = [one for one in of if one.how == FOUND]
    proven = _share(sum(one.proven for one in found), len(of))
    yield f"  the search played on ({len(of)} bikes)", f"put right {_share(len(found), len(of))}; proven {proven}"
    if found:
        yield "    checks until then", _spread([float(len(one.checks)) for one in found])
        yield "    minutes", _spread([one.minutes for one in found])


def _whys(of: Sequence[Balance]) -> str:
    found = Counter(one.why for one in of if one.why)
    return "".join(f"; {why} {many}" for why, many in found.most_common())


def _share(hits: int, of: int) -> str:
    return per_cent(hits / of) if of else "-"


def _spread(values: Sequence[float]) -> str:
    ordered = sorted(values)
    return (
        f"{median(ordered):.0f} at the median, {ordered[int(NINETEEN_OF_TWENTY * (len(ordered) - 1))]:.0f} for 19 of 20"
    )
