"""Draws scores: how often a hidden fault is found, how reliable the probabilities are, what is never found."""

from collections.abc import Iterator, Sequence

import msgspec
import pandas as pd
from msgspec import Struct
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from advisor.scoring.resolved import ALONE, CODINGS, share
from advisor.scoring.stand import OPENING
from advisor.show.screen import Rows, heading
from advisor.show.words import per_cent

Z = 1.96  # for 95 %
MOST_SHOWN = 12
SURE = 0.5


def interval(hits: int, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson, Journal of the American Statistical Association 22 (1927), 209)."""
    if not of:
        return 0.0, 1.0
    rate, room = hits / of, Z * Z / of
    middle = (rate + room / 2) / (1 + room)
    half = Z / (1 + room) * (rate * (1 - rate) / of + room / (4 * of)) ** 0.5
    return max(middle - half, 0.0), min(middle + half, 1.0)


def frame(rows: Sequence[Struct]) -> pd.DataFrame:
    """Return the rows as a pandas table, one line per bike."""
    return pd.DataFrame([msgspec.structs.asdict(row) for row in rows])


def scores(table: pd.DataFrame, not_shown: dict[str, str]) -> Iterator[RenderableType]:
    """Yield the whole report of a score."""
    yield Text(
        "Bikes from a model whose constants were set by hand: which faults are found and which are not means more than "
        "any figure."
    )
    yield from _found(table)
    yield from _planned(table[table.played])
    yield from _calibration(table)
    yield from _confusion(table)
    yield from _never(table, not_shown)


def _share(hits: "pd.Series[bool]") -> str:
    low, high = interval(int(hits.sum()), len(hits))
    return f"{per_cent(float(hits.mean()))} ({per_cent(low)} to {per_cent(high)})" if len(hits) else "-"


def _found(table: pd.DataFrame) -> Iterator[RenderableType]:
    yield heading("\nAFTER THE OPENING READINGS (complaint, idle, columns and drops at idle and 2,500 rpm)")
    grid = Table(box=None, pad_edge=False)
    for name in ("bikes", "", "first", "in the first three"):
        grid.add_column(name, justify="left" if name == "bikes" else "right")
    for name, part in (
        ("all read, and it shows", table[table.shows & (table.read == len(OPENING))]),
        ("some read, and it shows", table[table.shows & (table.read < len(OPENING))]),
        ("it does not show", table[~table.shows]),
        ("all", table),
    ):
        grid.add_row(name, str(len(part)), _share(part.place == 1), _share(part.place <= 3))  # noqa: PLR2004 - the first three
    yield grid


def _planned(table: pd.DataFrame) -> Iterator[RenderableType]:
    if table.empty:
        return
    yield heading(f"\nWITH THE PLANNER'S CHECKS ({len(table)} of the bikes)")
    acted = table[table.acted != ""]
    minutes = table[table.cured].minutes
    lines = [
        ("first repair is a true one", f"{_share(acted.right)} of {len(acted)} that were acted on"),
        ("all faults cured", _share(table.cured)),
        ("minutes to the cure", f"median {minutes.median():.0f}, nine of ten within {minutes.quantile(0.9):.0f}"),
    ]
    yield Rows([(f"  {name}", Text(said)) for name, said in lines if len(minutes) or "minutes" not in name], label=30)


def _calibration(table: pd.DataFrame) -> Iterator[RenderableType]:
    yield heading("\nHOW FAR ITS PROBABILITIES CAN BE BELIEVED (what is ranked first)")
    yield Text(
        "Among the faults that the model can have. 'As met' counts each bike as often as the pages say its faults are "
        "met, 'as drawn' as often as the model draws them, which knows nothing of the pages."
    )
    grid = Table(box=None, pad_edge=False)
    for name in ("said", "bikes", "on average", "true, as met", "as drawn"):
        grid.add_column(name, justify="left" if name == "said" else "right")
    edges = [0.0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 1.0]
    for band, part in table.groupby(pd.cut(table.said, edges), observed=True):
        said = f"{per_cent(band.left)} to {per_cent(band.right)}"
        drawn = f"{part.true.mean():.0%}"
        grid.add_row(said, str(len(part)), f"{_mean(part.said, part.weight):.0%}", _as_met(part), drawn)
    yield grid
    for name, column in (("Brier score", table.brier), ("log score, bits", table.log_score)):
        half = Z * float(column.std()) / max(len(column), 1) ** 0.5
        yield Text(f"{name} a bike: {column.mean():.2f} +/- {half:.2f}")
    silent = table[~table.shows]
    wrong = silent[(silent.first_chance >= SURE) & (silent.place > 1)]
    yield Text(f"over-confident where nothing shows: {len(wrong)} of {len(silent)}")


def _mean(values: "pd.Series[float]", weight: "pd.Series[float]") -> float:
    return float((values * weight).sum() / weight.sum())


def _as_met(part: pd.DataFrame) -> str:
    """Return the weighted share of true ones, and its 95 % interval.

    The interval is that of the effective sample size (Kish, Survey Sampling, 1965: from memory).
    """
    share = _mean(part.true.astype(float), part.weight)
    like = round(float(part.weight.sum() ** 2 / (part.weight**2).sum()))
    low, high = interval(round(share * like), like)
    return f"{share:.0%} ({low:.0%} to {high:.0%})"


def _confusion(table: pd.DataFrame) -> Iterator[RenderableType]:
    missed = table[table.shows & (table.place > 1)]
    if missed.empty:
        return
    yield heading("\nTAKEN FOR ANOTHER, THOUGH IT SHOWS")
    taken = missed.groupby(["fault", missed["first"].str.split(" ").str[0]]).size().sort_values(ascending=False)
    rows = [(f"  {count}", Text(f"{fault} for {other}")) for (fault, other), count in taken.head(MOST_SHOWN).items()]
    yield Rows(rows, label=8)


def _never(table: pd.DataFrame, not_shown: dict[str, str]) -> Iterator[RenderableType]:
    by = table.groupby("fault")
    never = sorted(by.place.min()[lambda best: best > 3].index)  # noqa: PLR2004 - the first three
    silent = sorted(by.shows.mean()[lambda share: share == 0].index)
    yield heading("\nNEVER AMONG THE FIRST THREE")
    yield Rows([("  ", Text(", ".join(never) or "none"))], label=2)
    yield heading("\nNO READING OF THE OPENING SHOWS THEM ('cannot tell from here' is right)")
    yield Rows([("  ", Text(", ".join(silent) or "none"))], label=2)
    yield heading("\nTHE MODEL CANNOT SHOW THEM")
    yield Rows([("  ", Text(", ".join(sorted(not_shown))))], label=2)


def told(lessons: pd.DataFrame) -> Iterator[RenderableType]:
    """Yield the checks that lead away from the fault on average, with their worst results, and those that tell most."""
    by = lessons.groupby("check").bits.agg(["mean", "std", "count"]).fillna(0.0)
    by["half"] = Z * by["std"] / by["count"] ** 0.5
    away = by[by["mean"] + by["half"] < 0].sort_values("mean")
    most = by.sort_values("mean", ascending=False).head(MOST_SHOWN)
    bikes = lessons.number.nunique()
    for name, part, how in (("LEADS AWAY FROM IT", away, _worst), ("TELLS MOST OF IT", most, _best)):
        yield heading(f"\n{name} (each check by itself, {bikes} bikes; bits on the fault's odds)")
        rows = [
            (f"  {one['mean']:+.2f} ± {one['half']:.2f}", Text(f"{check}: {how(lessons[lessons.check == check])}"))
            for check, one in part.iterrows()
        ]
        yield Rows(rows or [("  ", Text("none for certain"))], label=18)
    yield Text(f"of {len(by)} checks; one in forty would lead away by chance")


def _worst(lessons: pd.DataFrame) -> str:
    return _said(lessons.groupby(["fault", "says"]).bits.sum().idxmin())


def _best(lessons: pd.DataFrame) -> str:
    return _said(lessons.groupby(["fault", "says"]).bits.sum().idxmax())


def _said(key: tuple[str, str]) -> str:
    fault, says = key
    return f"of {fault}, \u201c{says}\u201d"


def accounts(places: dict[str, dict[str, int]], causes: dict[str, str]) -> Iterator[RenderableType]:
    """Yield the table of resolved cases: places by name and coding, and their causes by name.

    The first coding was made with the cause known, the other from the story alone.
    """
    grid = Table(box=None, pad_edge=False)
    for name in ("resolved case", *CODINGS, "cause"):
        grid.add_column(name.replace(ALONE, "alone"), justify="right" if name in CODINGS else "left", overflow="fold")
    for name, found in places.items():
        grid.add_row(name, *(str(found.get(stage, "-")) for stage in CODINGS), causes[name])
    yield grid
    yield Text(
        "'first' and 'second' were coded with the cause known, 'alone' from the story, by somebody who did not know it."
    )
    for stage in CODINGS:
        found_at = [one[stage] for one in places.values() if stage in one]
        if found_at:
            yield Text(f"{stage}: {share(found_at, 1):.0%} first, {share(found_at, 3):.0%} in the first three")
