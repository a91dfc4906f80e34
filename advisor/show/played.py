"""Draws played sessions: whether they came to the fault, in how many steps and minutes, and each on a line."""

from collections.abc import Iterator, Sequence
from statistics import median

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from advisor.scoring.played import FIRST, FOUND, Played
from advisor.session.events import BENCH, PHONE
from advisor.show.screen import Rows, heading
from advisor.show.words import per_cent
from advisor.sides import named

MOST_OF_TEN = 0.9


def sessions(played: Sequence[Played], *, each: bool) -> Iterator[RenderableType]:
    """Yield the report of played sessions; with a line for `each` one first."""
    bench, calls = ([one for one in played if one.kind == kind] for kind in (BENCH, PHONE))
    if each:
        yield _each(bench, calls)
    yield heading(f"\nWHOLE SESSIONS, from the first words ({len(bench)} bikes)")
    yield Rows([(f"  {name}", Text(said)) for name, said in (*_bench(bench), *_calls(calls))], label=37)


def _bench(played: Sequence[Played]) -> list[tuple[str, str]]:
    found = [one for one in played if one.how == FOUND]
    steps = [float(len(one.checks)) if one.how == FOUND else float("inf") for one in played]
    ratios = [one.minutes / one.order for one in played if one.order]
    order = [
        ("  readiness order, minutes", _spread([one.order for one in played])),
        ("  minutes over those of the order", f"{median(ratios):.2f} at the median" if ratios else "-"),
    ]
    return [
        ("at the bench: fault put right", f"{_share(len(found), len(played))}; proven {_proven(found, len(played))}"),
        ("  checks until then", _spread(steps)),
        ("  minutes, put right in vain too", _spread([one.minutes for one in played])),
        *(order if ratios else ()),
        ("  put right in vain", f"{sum(len(one.in_vain) for one in played) / max(len(played), 1):.2f} a bike"),
        ("  first words not heard", _share(sum(not one.heard for one in played), len(played))),
    ]


def _proven(found: Sequence[Played], of: int) -> str:
    return _share(sum(one.proven for one in found), of)


def _calls(played: Sequence[Played]) -> list[tuple[str, str]]:
    near = sum(one.place <= FIRST for one in played)
    return [
        (f"on the phone: in the first {FIRST}", _share(near, len(played))),
        ("  questions", _spread([float(len(one.checks)) for one in played])),
    ]


def _share(hits: int, of: int) -> str:
    return per_cent(hits / of) if of else "-"


def _spread(values: Sequence[float]) -> str:
    """Return the median of values and what nine of ten do not exceed; '-' stands for a session that found nothing."""
    if not values:
        return "-"
    ordered = sorted(values)
    most = ordered[min(len(ordered) - 1, int(MOST_OF_TEN * len(ordered)))]
    return f"median {_whole(median(ordered))}, nine of ten within {_whole(most)}"


def _whole(value: float) -> str:
    return f"{value:.0f}" if value != float("inf") else "-"


def _each(bench: Sequence[Played], calls: Sequence[Played]) -> Table:
    grid = Table(box=None, pad_edge=False)
    for name in ("bike", "fault", "checks", "minutes", "order", "in vain", "phone", "questions"):
        grid.add_column(name, justify="left" if name in {"bike", "fault"} else "right", overflow="fold")
    for one, call in zip(bench, calls, strict=True):
        checks = str(len(one.checks)) if one.how == FOUND else "-"
        fault = ", ".join(named(*cause) for cause in one.truth)
        figures = (checks, f"{one.minutes:.0f}", f"{one.order:.0f}", str(len(one.in_vain) or ""))
        grid.add_row(one.name, fault, *figures, str(call.place), str(len(call.checks)))
    return grid
