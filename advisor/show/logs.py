"""A log's reduction on a terminal."""

from rich.console import Group

from advisor.quantities import show
from advisor.readings.idle_log import MOST_STEPS, IdleLog, Slope, Span
from advisor.readings.logs import hangs_said
from advisor.readings.orders import Shake
from advisor.show.measure import lines

MOST_PAUSES = 5  # named one by one


def idle(found: IdleLog, repairs: tuple[str, ...], picture: list[str]) -> Group:
    """Return an idle log's reduction and its `picture` in words, to be printed."""
    return lines("Idle log", idle_rows(found, repairs), picture)


def idle_rows(found: IdleLog, repairs: tuple[str, ...]) -> list[tuple[str, str]]:
    """Return an idle log's reduction as labels with words."""
    rows = [("log", f"{found.rows} rows, {found.rate:.3g} a second")]
    return rows + [("repaired", text) for text in repairs] + reduced_idle(found)


def reduced_idle(found: IdleLog) -> list[tuple[str, str]]:
    """Return the figures of an idle, as labelled lines."""
    rows = _pauses(found.gaps)
    rows += _span("cold", found.cold) + _span("warm", found.warm)
    if found.warm:
        rows.append(("wander", _wander(found)))
    rows += _steps(found.steps or ())
    if found.hangs:
        rows.append(("after a blip", f"falls in {hangs_said(found.hangs)}"))
    return rows


def _pauses(gaps: tuple[tuple[float, float], ...]) -> list[tuple[str, str]]:
    """Return a line for each pause, or a single one if there are many."""
    if len(gaps) <= MOST_PAUSES:
        return [("pause", f"from {start:.0f} s to {end:.0f} s") for start, end in gaps]
    lengths = sorted(end - start for start, end in gaps)
    return [("pauses", f"{len(gaps)} of them, from {lengths[0]:.0f} s to {lengths[-1]:.0f} s long")]


def _wander(found: IdleLog) -> str:
    if found.swing is None:
        return "not known"
    every = f", regular, every {show(found.period, 's')}" if found.period else ""
    return f"{show(found.swing, 'rpm')} from low to high{every}"


def _steps(steps: tuple[tuple[float, float], ...]) -> list[tuple[str, str]]:
    """Return a line for each step, or a single one if there are many."""
    if len(steps) <= MOST_STEPS:
        return [("step", f"{size:+.0f} rpm at {at:.0f} s, and stays") for at, size in steps]
    at, size = max(steps, key=lambda one: abs(one[1]))
    ups = sum(one > 0 for _, one in steps)
    return [("steps", f"{ups} up and {len(steps) - ups} down; the largest {size:+.0f} rpm at {at:.0f} s")]


def _span(name: str, span: Span | None) -> list[tuple[str, str]]:
    if span is None:
        return []
    rows = [
        (name, f"{span.level:.0f} rpm (±{max(span.level_within, 1):.0f}), from {span.start:.0f} s to {span.end:.0f} s")
    ]
    if span.drift:
        rows.append(("  drift", _slope(span.drift, "rpm a minute", 1.0)))
    if span.by_temperature:
        rows.append(("  by heat", _slope(span.by_temperature, "rpm for each 10 C", 10.0)))
    return rows


def _slope(slope: Slope, unit: str, times: float) -> str:
    return f"{times * slope.value:+.1f} {unit} (95%: {times * slope.low:+.1f} to {times * slope.high:+.1f})"


def shake(found: Shake, repairs: tuple[str, ...], step: str) -> Group:
    """Return a shake log's reduction and the next `step`, to be printed."""
    return lines("Shake by orders", shake_rows(found, repairs), [step])


def shake_rows(found: Shake, repairs: tuple[str, ...]) -> list[tuple[str, str]]:
    """Return a shake log's reduction as labels with words."""
    rows = [("engine", f"{found.revs:.0f} rpm"), ("whole", f"{found.whole:.2f} m/s2 (root mean square)")]
    rows += [("repaired", text) for text in repairs]
    rows += [
        (f"{one.order:.2f} a turn", f"{one.amplitude:.2f} m/s2 at {one.rate:.1f} Hz, {one.name}")
        for one in found.orders
    ]
    return rows
