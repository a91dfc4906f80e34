"""Both sides of a reading to scale, left on the left: columns as they stand, drops with each trial and its spread."""

from collections.abc import Iterator

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from advisor.balance.course_steps import COLUMNS
from advisor.pages.picture import FAINT, FILL, INK, LINE, MARK, Picture, drawn, said
from advisor.quantities import show
from advisor.session.job_balance import give_or_take
from advisor.session.job_readings import Bar, Lead, Pair

HALF_WIDE = 0.3  # of a column on the picture, of the distance between the two
AT = {"left": 0.0, "right": 1.0}


def pair_drawn(pair: Pair, name: str, top: float = 0.0) -> Picture:
    """Return the picture of a reading with both sides, or of their difference alone.

    Both sides are drawn to the scale of what was read, or up to `top` if that is more.
    """
    title = f"{pair.title}, {pair.when}" if pair.when else pair.title
    label = f"{title}: {pair.given}"
    alone = pair.left is None

    def draw(figure: Figure) -> None:
        if alone:
            _draw_lead(figure, pair)
        else:
            _draw_both(figure, pair, max(top, highest(pair)))

    return Picture(
        title=title,
        label=label,
        lines=tuple(_lines(pair)),
        svg=drawn(draw, name, label, 1.3 if alone else 2.9),
    )


def _lines(pair: Pair) -> Iterator[str]:
    for side, bar in (("Left", pair.left), ("Right", pair.right)):
        if bar is not None:
            yield f"{side} {_bar_said(bar, pair.unit)}."
    if pair.lead is not None:
        yield f"{lead_said(pair.lead, pair.unit)}."


def _bar_said(bar: Bar, unit: str) -> str:
    value = f"{bar.typed}, that is {_value(bar, unit)}" if bar.typed else _value(bar, unit)
    parts = []
    if len(bar.values) > 1:
        parts.append(f"the mean of {', '.join(show(one, unit).split()[0] for one in bar.values)}")
    if bar.stalls:
        parts.append(f"it stalled {bar.stalls} times" if bar.stalls > 1 else "it stalled once")
    if bar.low is not None:
        high = show(bar.high, unit).split()[0] if bar.high is not None else "more"
        parts.append(f"trusted from {show(bar.low, unit).split()[0]} to {high}")
    return f"{value} ({'; '.join(parts)})" if parts else value


def _value(bar: Bar, unit: str) -> str:
    return "a stall" if bar.value is None else show(bar.value, unit)


def lead_said(lead: Lead, unit: str) -> str:
    """Return which side is ahead, by how much, and how closely that is known."""
    size, half = show(lead.value, unit), max(lead.high - lead.value, lead.value - lead.low)
    ahead = "Level" if size.split()[0] == "0" else f"{str(lead.side).capitalize()} more by {size}"
    return f"{ahead} ({give_or_take(half)})"


def highest(pair: Pair) -> float:
    """Return the most that is drawn of a reading, in its unit."""
    return max([*_reach(pair), 0.0])


def _reach(pair: Pair) -> list[float]:
    bars = [one for one in (pair.left, pair.right) if one is not None]
    return [one for bar in bars for one in (*bar.values, bar.value, bar.low, bar.high) if one is not None]


def _draw_both(figure: Figure, pair: Pair, most: float) -> None:
    axes = figure.subplots()
    bars = [(side, bar) for side, bar in (("left", pair.left), ("right", pair.right)) if bar is not None]
    top = 1.2 * most or 1.0
    for side, bar in bars:
        if pair.by == COLUMNS:
            _column(axes, AT[side], bar)
        else:
            _trials(axes, AT[side], bar, top)
        above = max(one for one in (*bar.values, bar.high, bar.low, bar.value, 0.0) if one is not None)
        text = bar.typed or _value(bar, pair.unit)
        said(axes, AT[side], above + 0.03 * top, text, ha="center", va="bottom", weight="bold")
    axes.set_xlim(-0.6, 1.6)
    axes.set_ylim(min([*_reach(pair), 0.0]), top)
    axes.set_xticks([*AT.values()], [*AT])
    axes.tick_params("x", length=0)
    axes.set_ylabel(pair.unit)


def _column(axes: Axes, at: float, bar: Bar) -> None:
    value = bar.value or 0.0
    axes.bar(at, value, 2 * HALF_WIDE, facecolor=FILL, edgecolor=INK, linewidth=1.0)
    _trusted(axes, at, bar)


def _trials(axes: Axes, at: float, bar: Bar, top: float) -> None:
    if bar.value is None:
        axes.annotate("", (at, top * 0.8), (at, 0.0), arrowprops={"arrowstyle": "->", "edgecolor": INK, "lw": 1.5})
        return
    axes.vlines(at, 0.0, bar.value, colors=LINE, linewidth=1.0)
    axes.hlines(bar.value, at - HALF_WIDE, at + HALF_WIDE, colors=INK, linewidth=2.0)
    _trusted(axes, at, bar)
    many = len(bar.values)
    apart = [at + HALF_WIDE * 0.8 * (2 * (one + 1) / (many + 1) - 1) for one in range(many)]
    axes.plot(apart, bar.values, "o", markersize=6, markerfacecolor=MARK, markeredgecolor=INK)


def _trusted(axes: Axes, at: float, bar: Bar) -> None:
    """Draw the bounds within which a side is trusted; a bound that is open has no cap."""
    low = bar.low if bar.low is not None else bar.value
    high = bar.high if bar.high is not None else bar.value
    if low is None or high is None:
        return
    axes.vlines(at, low, high, colors=INK, linewidth=1.5)
    caps = [one for one in (bar.low, bar.high) if one is not None]
    axes.hlines(caps, at - 0.06, at + 0.06, colors=INK, linewidth=1.5)


def _draw_lead(figure: Figure, pair: Pair) -> None:
    """Draw a difference alone: to the left where the left side has more."""
    axes = figure.subplots()
    lead = pair.lead
    if lead is not None:
        way = -1.0 if lead.side == "left" else 1.0
        reach = 1.25 * max(abs(lead.low), abs(lead.high), abs(lead.value)) or 1.0
        axes.barh(0, way * lead.value, 0.5, facecolor=FILL, edgecolor=INK)
        axes.hlines(0, way * lead.low, way * lead.high, colors=INK, linewidth=1.5)
        axes.set_xlim(-reach, reach)
        said(axes, way * lead.value / 2, 0.36, show(lead.value, pair.unit), ha="center", va="bottom", weight="bold")
    both_ways(axes, pair.unit)
    axes.set_ylim(-0.5, 1.0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)


def both_ways(axes: Axes, unit: str) -> None:
    """Make an axis of which both ends are more: to the left for the left side, to the right for the right one."""
    axes.axvline(0, color=FAINT, linewidth=0.8)
    axes.xaxis.set_major_formatter(lambda value, _: f"{abs(value):g}")
    axes.set_xlabel(f"← left more      {unit}      right more →")
