"""A recorded idle with its trend, and a shake by orders and against the revs."""

from collections.abc import Iterator, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from advisor.pages.picture import FAINT, FILL, INK, LINE, MARK, Picture, drawn, said
from advisor.quantities import KMH, show
from advisor.readings.idle_log import IdleLog, Span
from advisor.readings.shake_reports import Ride
from advisor.session.job import Shook
from advisor.session.job_logs import IdleDrawn, ShakeDrawn, SoundDrawn
from advisor.show.logs import idle_rows, shake_rows
from advisor.show.sound import heard

MILE = 1609.344  # m (international mile)
MOST_RIDES, MOST_NAMED = 12, 5  # told one by one; named in the picture
MOST_LINES, OVER = 0.9, 0.6  # share of a log's points that set the scale; how far over these it goes, of their spread
CUT = "Blips go on above the picture."


def idle_picture(one: IdleDrawn, name: str) -> Picture:
    """Return the picture of an idle log: the revs, the idle it should have, and the trend of its idle."""
    title = f"The idle as it was recorded ({one.name})"
    spans = _spans(one.found)
    level = f", {show(spans[-1].level, 'rpm')} in the end" if spans else ""
    rows = [f"{label.strip().capitalize()}: {text}." for label, text in idle_rows(one.found, one.repairs)]
    return Picture(
        title=title,
        label=f"{title}{level}",
        lines=(
            *one.says,
            *rows,
            *_about_the_picture(one),
        ),
        svg=drawn(lambda figure: _draw_revs(figure, one, spans), name, f"{title}{level}", 2.9),
    )


def sound_picture(one: SoundDrawn, name: str) -> Picture:
    """Return the picture of a recording of the exhaust: the revs by ear, as those of an idle log."""
    title = f"The revs by ear ({one.name})"
    label = f"{title}: {show(one.found.level, 'rpm')}" if one.found.level is not None else title
    spans = _spans(one.found.idle) if one.found.idle else []
    rows = [f"{label_.strip().capitalize()}: {text}." for label_, text in heard(one.found)]
    return Picture(
        title=title,
        label=label,
        lines=(*one.says, *rows, *_about_the_picture(one)),
        svg=drawn(lambda figure: _draw_revs(figure, one, spans), name, label, 2.9),
    )


def _spans(found: IdleLog) -> list[Span]:
    return [span for span in (found.cold, found.warm) if span is not None]


def _about_the_picture(one: IdleDrawn | SoundDrawn) -> Iterator[str]:
    low, high = (show(value, "rpm") for value in one.wanted)
    yield f"The band is the idle it should have: {low.split()[0]} to {high}."
    if _highest(one) > _scale(one)[1]:
        yield CUT


def _draw_revs(figure: Figure, one: IdleDrawn | SoundDrawn, spans: Sequence[Span]) -> None:
    axes = figure.subplots()
    axes.axhspan(*one.wanted, facecolor=FILL, edgecolor="none")
    bottom, top = _scale(one)
    for part in one.line:
        axes.plot([at for at, _ in part], [min(revs, top) for _, revs in part], color=LINE, linewidth=0.9)
    axes.set_ylim(bottom, top)
    for span in spans:
        _trend(axes, span)
    axes.set_xlabel("seconds")
    axes.set_ylabel("rpm")
    axes.set_xlim(one.line[0][0][0], one.line[-1][-1][0])


def _highest(one: IdleDrawn | SoundDrawn) -> float:
    return max(revs for part in one.line for _, revs in part)


def _scale(one: IdleDrawn | SoundDrawn) -> tuple[float, float]:
    """Return the least and the most revs on the picture: it is about the idle, and a blip goes far beyond that."""
    revs = sorted(revs for part in one.line for _, revs in part)
    few = int((1 - MOST_LINES) * len(revs))
    low, high = min(revs[few // 2], one.wanted[0]), max(revs[-1 - few], one.wanted[1])
    over = OVER * (high - low)
    return max(0.0, low - over / 2), high + over


def _trend(axes: Axes, span: Span) -> None:
    """Draw the level of a span, or its trend; a drift is in rpm a minute."""
    half = (span.end - span.start) / 2
    by = span.drift.value * half / 60 if span.drift else 0.0
    axes.plot([span.start, span.end], [span.level - by, span.level + by], color=INK, linewidth=2.0)
    if span.drift:
        for slope in (span.drift.low, span.drift.high):
            off = slope * half / 60
            ends = [span.level - off, span.level + off]
            axes.plot([span.start, span.end], ends, color=INK, linewidth=0.8, linestyle="--")
    middle = (span.start + span.end) / 2
    top = axes.get_ylim()[1]
    said(axes, middle, top, f"{span.level:.0f} rpm", ha="center", va="bottom", weight="bold")


def shake_picture(one: ShakeDrawn, name: str) -> Iterator[Picture]:
    """Yield the picture of a shake by its orders, and against the revs where these change."""
    title = f"The shake by orders of the engine ({one.name})"
    strongest = one.found.orders[0] if one.found.orders else None
    label = f"{title}: most of it {strongest.name}, {strongest.amplitude:.2f} m/s2" if strongest else title
    rows = [f"{label_.capitalize()}: {text}." for label_, text in shake_rows(one.found, one.repairs)]
    yield Picture(
        title=title,
        label=label,
        lines=(one.do, *rows),
        svg=drawn(lambda figure: _draw_orders(figure, one), name, label, 0.8 + 0.5 * len(one.found.orders)),
    )
    if one.by_revs:
        yield _against_revs(one, f"{name}-revs")


def _draw_orders(figure: Figure, one: ShakeDrawn) -> None:
    axes = figure.subplots()
    orders = sorted(one.found.orders, key=lambda order: order.order)
    most = max((order.amplitude for order in orders), default=0.0) or 1.0
    for place, order in enumerate(orders):
        axes.barh(place, order.amplitude, 0.6, facecolor=FILL, edgecolor=INK)
        text = f"{order.amplitude:.2f} m/s2 at {order.rate:.1f} Hz"
        said(axes, order.amplitude + 0.02 * most, place, text, va="center")
    axes.set_yticks(range(len(orders)), [f"{order.order:.2f} a turn" for order in orders])
    axes.invert_yaxis()
    axes.set_xlim(0, 1.7 * most)
    axes.set_xlabel("m/s2")


def _against_revs(one: ShakeDrawn, name: str) -> Picture:
    title = f"The shake against the revs ({one.name})"
    revs, most = max(one.by_revs, key=lambda point: point[1])
    least = min(shake for _, shake in one.by_revs)
    low, high = one.by_revs[0][0], one.by_revs[-1][0]
    line = f"From {low:.0f} to {high:.0f} rpm; most at {revs:.0f} rpm, {most:.2f} m/s2; least {least:.2f} m/s2."

    def draw(figure: Figure) -> None:
        axes = figure.subplots()
        axes.plot(*zip(*one.by_revs, strict=True), "o", markersize=4, markerfacecolor=MARK, markeredgecolor=INK)
        said(axes, revs, most * 1.04, f"{revs:.0f} rpm", ha="center", va="bottom", weight="bold")
        axes.set_ylim(0, most * 1.2)
        axes.set_xlabel("rpm")
        axes.set_ylabel("m/s2 (root mean square)")

    return Picture(title=title, label=f"{title}: {line}", lines=(line,), svg=drawn(draw, name, title, 2.7))


def shook_picture(shook: Shook, name: str) -> Picture:
    """Return the picture of what a rider told: where it shook and where not, by the revs or else by the speed."""
    by_revs = all(one.revs is not None for one in shook.rides)
    title = f"When it shook, by {'the revs' if by_revs else 'the speed'}"
    shaking = sum(one.shakes for one in shook.rides)
    label = f"{title}: it shook {shaking} of {len(shook.rides)} times"
    return Picture(
        title=title,
        label=label,
        lines=(shook.do, *map(_ride_said, shook.rides[:MOST_RIDES])),
        svg=drawn(lambda figure: _draw_rides(figure, shook.rides, by_revs=by_revs), name, label, 1.6),
    )


def _ride_said(one: Ride) -> str:
    parts = [
        f"{KMH * one.speed:.0f} km/h ({3600 * one.speed / MILE:.0f} mph)" if one.speed is not None else "",
        show(one.revs, "rpm") if one.revs is not None else "",
        "clutch in" if one.clutch_in else "",
        f"throttle {one.throttle}" if one.throttle else "",
    ]
    return f"{', '.join(filter(None, parts))}: {'it shook' if one.shakes else 'it did not shake'}."


def _draw_rides(figure: Figure, rides: tuple[Ride, ...], *, by_revs: bool) -> None:
    axes = figure.subplots()
    for one in rides:
        at = one.revs if by_revs else one.speed and KMH * one.speed
        if at is not None:
            colour = INK if one.shakes else "none"
            axes.plot([at], [one.shakes], "o", markersize=9, markerfacecolor=colour, markeredgecolor=INK)
            if len(rides) <= MOST_NAMED:
                said(axes, at, one.shakes + 0.2, f"{at:.0f}", ha="center", va="bottom")
    axes.set_yticks([1, 0], ["it shook", "it did not"])
    axes.margins(x=0.1)
    axes.set_ylim(-0.4, 1.7)
    axes.set_xlabel("rpm" if by_revs else "km/h")
    axes.grid(axis="x", color=FAINT, linewidth=0.4)
