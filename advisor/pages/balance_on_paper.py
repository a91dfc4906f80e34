"""How a balance came: each reading one line further down, to the left where the left side had more."""

from collections.abc import Iterator

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from advisor.balance.course_steps import COLUMNS
from advisor.pages.pairs_drawn import both_ways
from advisor.pages.picture import FAINT, FILL, INK, MARK, Picture, drawn, said
from advisor.quantities import show
from advisor.session.job_balance import Balance, Point, Way, point_said

A_LINE, FRAME, HIGHEST = 0.33, 0.8, 6.0  # inches: a reading's line, what is around them, and all of them at most
ALL_NAMED = 20  # readings that have their figures in the picture; of more, the first and the last
NAMES = {"columns": "the columns", "drops": "shorting one plug at a time"}


def balance_drawn(balance: Balance, name: str) -> Iterator[Picture]:
    """Yield a picture for each kind of reading of a balance."""
    for number, way in enumerate(balance.ways):
        title = f"The balance {way.where}, by {NAMES[way.by]}"
        label = f"{title}: {len(way.points)} readings, the last one {point_said(way.points[-1], way.by, way.unit)}"
        high = FRAME + min(A_LINE * len(way.points), HIGHEST)
        yield Picture(
            title=title,
            label=label,
            lines=tuple(_lines(way)),
            svg=drawn(lambda figure, way=way: _draw(figure, way), f"{name}-{number}", label, high),  # type: ignore[misc]
        )


def _lines(way: Way) -> Iterator[str]:
    if way.alike is not None:
        yield f"Alike is within {show(way.alike, way.unit)}, the band in the picture."
    yield from (f"{point.number}: {point_said(point, way.by, way.unit)}." for point in way.points)


def _draw(figure: Figure, way: Way) -> None:
    axes = figure.subplots()
    reach = 1.45 * max([abs(one.left_more) + one.within for one in way.points] + [way.alike or 0.0]) or 1.0
    if way.alike is not None:
        axes.axvspan(-way.alike, way.alike, facecolor=FILL, edgecolor="none")
    at = [-one.left_more for one in way.points]
    down = range(1, len(way.points) + 1)
    axes.plot(at, down, "-", color=FAINT, linewidth=1.0)
    for place, point in zip(down, way.points, strict=True):
        _point(axes, place, point)
        if len(way.points) <= ALL_NAMED or place in {1, len(way.points)}:
            _named(axes, place, point, way.unit, reach)
    axes.set_xlim(-reach, reach)
    axes.set_ylim(len(way.points) + 0.6, 0.4)
    apart = -(-len(way.points) // ALL_NAMED)
    axes.set_yticks(down[::apart], [f"{one.number}" for one in way.points[::apart]])
    axes.tick_params("y", length=0)
    axes.set_ylabel("reading")
    both_ways(axes, f"{way.unit}{' higher' if way.by == COLUMNS else ''}")


def _point(axes: Axes, place: float, point: Point) -> None:
    at = -point.left_more
    axes.hlines(place, at - point.within, at + point.within, colors=INK, linewidth=1.5)
    axes.plot([at], [place], "o", markersize=7, markerfacecolor=MARK, markeredgecolor=INK)


def _named(axes: Axes, place: float, point: Point, unit: str, reach: float) -> None:
    at = -point.left_more
    outer = 1 if at >= 0 else -1
    text = show(abs(point.left_more), unit).split()[0]
    beside = at + outer * (point.within + 0.03 * reach)
    said(axes, beside, place, text, ha="left" if outer > 0 else "right", va="center")
