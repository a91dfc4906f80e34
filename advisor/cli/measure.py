"""`advisor measure READING WORDS...` and `advisor measure log|sound|shake|feel|speed|tube|altitude`."""

import math
import re
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click
from rich.console import RenderableType
from rich.text import Text

from advisor.calculator import work_out
from advisor.case import Bike, LogFile, ShakeReport
from advisor.cli.common import advisor, echo, format_option, rulebase, rules_option
from advisor.errors import MOST_QUOTED, AdvisorError, did_you_mean, shortened
from advisor.intake.bike_sheet import read_sheet
from advisor.intake.riding import SOUND
from advisor.intake.spoken import spoken
from advisor.lazy import lazy
from advisor.quantities import ENGINE_SPEED, KMH, RATIO, ROAD_SPEED, Bounds, parse_within, show
from advisor.readings.air import HEIGHTS, at_height
from advisor.readings.manometer import TUBE
from advisor.readings.manometer import tube as work_out_tube
from advisor.readings.road import engine_speed, tyre_diameter, wheel_rate
from advisor.readings.shake_reports import belongs_to, next_step
from advisor.rulebase.model import Reading, Rulebase
from advisor.show import measure as draw
from advisor.show.json import dump
from advisor.show.screen import Rows, console
from advisor.sides import BOTH, Side

if TYPE_CHECKING:
    import rapidfuzz

    from advisor.intake import logfile
    from advisor.readings import idle_log, logs, orders, sound_readings
    from advisor.show import logs as draw_logs
    from advisor.show import sound as draw_sound
else:  # reading logs imports numpy and pandas; only a mistake needs the string library
    rapidfuzz = lazy("rapidfuzz")
    logfile = lazy("advisor.intake.logfile")
    idle_log = lazy("advisor.readings.idle_log")
    logs = lazy("advisor.readings.logs")
    orders = lazy("advisor.readings.orders")
    sound_readings = lazy("advisor.readings.sound_readings")
    draw_logs = lazy("advisor.show.logs")
    draw_sound = lazy("advisor.show.sound")

T = TypeVar("T")
THOUSANDS_MARK = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
ALIKE = 75  # out of 100: similarity from which one word counts as a misspelling of another; judgement
MOST_NEAR = 3
LONGEST_MOMENT = 100  # signs
WARM = Bounds(-40, 400, "C")  # as in a log


class Methods(click.Group):
    """The methods, and one command for every reading of the rule base."""

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a method, or the command for the reading of this name."""
        found = super().get_command(ctx, cmd_name)
        return found or _reading(cmd_name)


class Figures(click.FloatRange):
    """A range of figures; 'nan' is in none."""

    def convert(self, value: float | str, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the figure. Fails when it is outside, or no figure."""
        found = float(super().convert(value, param, ctx))  # type: ignore[arg-type]  # click's own stub wants a figure
        if math.isnan(found):
            self.fail(f"'{value}' is not a figure.", param, ctx)
        return found


class ReadingCommand(click.Command):
    """Works out one reading; its help shows a valid example."""

    def format_help_text(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - click's signature
        """Write what it does, with figures for this reading."""
        base = rulebase()
        name, _ = _named(self.name or "", (), base)
        page = base.readings[name]
        formatter.write_paragraph()
        with formatter.indentation():
            formatter.write_text(f"Work out {page.title.replace('{side}', 'each side')}: {page.taken}.")
            formatter.write_paragraph()
            formatter.write_text(f"advisor measure {name} {example(page)}")


def example(page: Reading) -> str:
    """Return valid words for this reading."""
    low = max(page.lowest, 0.0)
    figure = show(low + 0.3 * (page.highest - low), page.unit)
    return f"left {figure} right {figure}" if page.sided else figure


def _named(name: str, words: tuple[str, ...], base: Rulebase) -> tuple[str, str]:
    """Return a reading's name, typed with spaces or hyphens, and the words after it. Raises AdvisorError."""
    said = f"{name} {' '.join(words)}".split()
    for size in range(min(len(said), 4), 0, -1):
        called = "-".join(said[:size]).lower().rstrip(":")
        if called in base.readings:
            return called, " ".join(said[size:])
    near = _near([one[:MOST_QUOTED] for one in said[:4]], base)
    msg = f"no method or reading is called '{shortened(name)}'{near}; list them: advisor measure readings"
    raise AdvisorError(msg)


def _near(said: list[str], base: Rulebase) -> str:
    """Return ` (did you mean 'x' or 'y'?)`: a similar name, else another word for one, or a title with it."""
    words = [one.lower() for one in takewhile(lambda one: one.lower() not in BOTH and not one[0].isdigit(), said)] or [
        ""
    ]
    first, tried = words[0], ["-".join(words[:size]) for size in (1, 2, 3)]
    names = base.readings.keys()
    found = [rapidfuzz.process.extractOne(one, names, scorer=rapidfuzz.fuzz.ratio) for one in tried]
    best = max(found, key=lambda one: one[1])
    meant = [best[0]] if best[1] >= ALIKE else _meant(first, base)
    meant = meant or [name for name in base.readings if first and first in name.split("-")][:MOST_NEAR]
    return did_you_mean(meant)


def _meant(word: str, base: "Rulebase") -> list[str]:
    """Return the readings that people mean by a word, those whose names begin with it first."""
    found = [one.id for one in base.readings.values() if word in one.also]
    return sorted(found, key=lambda name: (not name.startswith(word), name))


EPILOG = """Any reading may stand for COMMAND, with its figures behind it; 'advisor measure readings' lists them:
advisor measure drop-idle left 210 rpm, 200 rpm right 280 rpm"""


@click.group(cls=Methods, epilog=EPILOG)
def measure() -> None:
    """Work out one reading on its own: a mechanic's calculator."""


def _reading(name: str) -> click.Command:
    @click.command(name, cls=ReadingCommand, context_settings={"ignore_unknown_options": True})
    @click.argument("words", nargs=-1)
    @_bike_option
    @format_option
    @rules_option
    def command(words: tuple[str, ...], sheet: Path | None, form: str, overlays: tuple[Path, ...]) -> None:
        ready = advisor(overlays)
        called, figures = _named(name, words, ready.base)
        _need(figures, f"{called} {example(ready.base.readings[called])}")
        given = spoken(called, figures, ready.base)
        found = work_out(called, given, _bike(sheet, ready.base), ready)
        _out(form, found, draw.worked(found))

    return command


def _need(words: object, like: str) -> None:
    """Raise AdvisorError when no figure was given."""
    if not words:
        msg = f"there is no figure; write it like: advisor measure {like}"
        raise AdvisorError(msg)


def _bike_option(command: T) -> T:
    option = click.option(
        "--bike", "sheet", type=click.Path(path_type=Path), metavar="SHEET", help="The bike's own sheet."
    )
    return option(command)  # type: ignore[type-var]  # click's decorator keeps the callable


def _bike(sheet: Path | None, base: Rulebase) -> Bike:
    return read_sheet(sheet, base) if sheet else Bike()


def _out(form: str, found: object, drawn: RenderableType) -> None:
    if form == "json":
        echo(dump(found))
    else:
        console().print(drawn)


def _quantity(text: str, bounds: Bounds, what: str, base: Rulebase) -> float:
    found = parse_within(text, bounds, base.units)
    if isinstance(found, str):
        msg = f"{what}: {found}"
        raise AdvisorError(msg)
    return found.value


@measure.command()
@rules_option
def readings(overlays: tuple[Path, ...]) -> None:
    """List every reading that can be worked out, with its unit."""
    base = rulebase(overlays)
    rows = [
        (one.id, Text(f"{one.title.replace('{side}', 'each side')} ({one.unit})")) for one in base.readings.values()
    ]
    console().print(Rows(rows, label=24))


@measure.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--starts", type=click.Choice(["cold", "warm"]), help="How the engine was when the log began.")
@click.option("--warm-at", metavar="TEMPERATURE", help="Count it as warm from here on, like '80 C'.")
@format_option
@rules_option
def log(file: Path, starts: str | None, warm_at: str | None, form: str, overlays: tuple[Path, ...]) -> None:
    """Reduce an idle log: a CSV with 'time s', 'revs rpm' and perhaps 'temperature C'."""
    base = rulebase(overlays)
    warm = _quantity(warm_at, WARM, "--warm-at", base) if warm_at else None
    table = logfile.read_log(file, ("time", "revs"), ("temperature",))
    found = idle_log.reduce_idle(table, starts or "", warm)
    _out(form, found, draw_logs.idle(found, table.repairs, logs.idle_picture(found, base)))


@measure.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--starts", type=click.Choice(["cold", "warm"]), help="How the engine was when the recording began.")
@click.option("--near", metavar="RPM", help="About how fast it ran, like '1000 rpm', if you know.")
@click.option("--shorted", metavar="SIDES", help="Whose plug was shorted, in order, like 'left right left right'.")
@format_option
@rules_option
def sound(
    file: Path, starts: str | None, near: str | None, shorted: str | None, form: str, overlays: tuple[Path, ...]
) -> None:
    """Read the revs from a recording of the exhaust: a WAV file, from a phone a metre behind the silencers."""
    base = rulebase(overlays)
    turning = _quantity(near, ENGINE_SPEED, "--near", base) if near else None
    one = LogFile(
        kind=SOUND, path=str(file), starts=starts or "", near=turning, shorted=_sides(shorted or ""), how="measured"
    )
    found = sound_readings.sound_of(one)
    cautions = [base.cautions[name].says for name in sound_readings.cautions(found)]
    _out(form, found, draw_sound.sound(found, sound_readings.picture(found, one, base), cautions))


def _sides(text: str) -> tuple[Side, ...]:
    """Return the sides that are named, in their order. Raises AdvisorError."""
    words = [one.lower() for one in re.split(r"[\s,;]+", text) if one]
    wrong = next((one for one in words if one not in BOTH), "")
    if wrong:
        msg = f"--shorted: '{shortened(wrong)}' is not a side; write it like 'left right left right'"
        raise AdvisorError(msg)
    return tuple(side for one in words for side in BOTH if one == side)


@measure.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--revs", metavar="RPM", help="The engine's steady speed, like '3500 rpm', if the log has none.")
@click.option("--speed", metavar="SPEED", help="The road speed, like '100 km/h'.")
@click.option("--gear", type=click.IntRange(1, 6), help="The gear it was ridden in.")
@_bike_option
@format_option
@rules_option
def shake(  # noqa: PLR0913 - a ride has these figures
    file: Path,
    revs: str | None,
    speed: str | None,
    gear: int | None,
    sheet: Path | None,
    form: str,
    overlays: tuple[Path, ...],
) -> None:
    """Reduce a recorded shake: a CSV with 'time s', 'acceleration m/s2' and perhaps 'revs rpm'."""
    base = rulebase(overlays)
    turning = _quantity(revs, ENGINE_SPEED, "--revs", base) if revs else None
    road = _quantity(speed, ROAD_SPEED, "--speed", base) / KMH if speed else None
    if turning is not None:
        table = logfile.read_log(file, ("time", "acceleration"), ("revs",))
        found = orders.reduce_shake(table, base.shakes, turning)
    else:
        table, found = logs.shake_of(
            LogFile(kind="shake", path=str(file), speed=road, gear=gear or 0, how="measured"), _bike(sheet, base), base
        )
    _out(form, found, draw_logs.shake(found, table.repairs, orders.next_step(found, base)))


BARE = re.compile(r"^[-+]?[0-9]+(?:\.[0-9]+)?$")
MOMENT = re.compile(
    r"^(?:gear (?P<gear>[1-6])\b)?\s*(?P<clutch>clutch in\b)?\s*(?P<figure>[\d.]+ \S+)?"
    r"\s*(?P<throttle>shut|part|wide)?\s*(?P<state>shakes|smooth)$"
)


@measure.command()
@click.argument("moments", nargs=-1)
@_bike_option
@format_option
@rules_option
def feel(moments: tuple[str, ...], sheet: Path | None, form: str, overlays: tuple[Path, ...]) -> None:
    """Tell what a shake belongs to, from moments: 'gear 5 100 km/h shakes' 'clutch in 100 km/h smooth'."""
    _need(moments, "feel 'gear 5 100 km/h shakes' 'clutch in 100 km/h smooth'")
    base = rulebase(overlays)
    bike = _bike(sheet, base)
    found = belongs_to([_moment(text, base) for text in moments], bike)
    said = [(("yes" if seen else "no"), base.signs[name].title) for name, seen in found.items()]
    _out(form, found, draw.lines("What the shake belongs to", said, [next_step(found, base)]))


def _moment(text: str, base: Rulebase) -> ShakeReport:
    match = MOMENT.match(" ".join(text.split())) if len(text) <= LONGEST_MOMENT else None
    if match is None or not match["figure"]:
        like = "'gear 5 100 km/h shakes', 'clutch in 100 km/h smooth' or '3500 rpm part shakes'"
        msg = f"'{shortened(text)}' is not a moment; write it like {like}"
        raise AdvisorError(msg)
    engine = match["figure"].endswith("rpm")
    value = _quantity(match["figure"], ENGINE_SPEED if engine else ROAD_SPEED, f"'{text}'", base)
    return ShakeReport(
        shakes=match["state"] == "shakes",
        speed=None if engine else value / KMH,
        revs=value if engine else None,
        gear=int(match["gear"] or 0),
        clutch_in=bool(match["clutch"]),
        throttle=match["throttle"] or "",
        how="told",
    )


@measure.command()
@click.argument("speed", nargs=-1)
@click.option("--tyre", help="The rear tyre's size as printed on it, like 120/90-18.")
@click.option("--ratio", type=Figures(*RATIO), help="Engine turns for one turn of the rear wheel.")
@_bike_option
@format_option
def speed(speed: tuple[str, ...], tyre: str | None, ratio: float | None, sheet: Path | None, form: str) -> None:
    """Turn a road speed into engine and wheel speeds, gear by gear: advisor measure speed 100 km/h --bike SHEET."""
    _need(speed, "speed 100 km/h --tyre 120/90-18 --ratio 4.5")
    base = rulebase()
    bike = _bike(sheet, base)
    road = _quantity(" ".join(speed), ROAD_SPEED, "speed", base) / KMH
    size = tyre or bike.tyre
    diameter = tyre_diameter(size)
    if diameter is None and size:
        msg = f"'{shortened(size)}' is not a tyre size; write it as printed on the tyre, like 120/90-18 or 4.00-18"
        raise AdvisorError(msg)
    if diameter is None:
        msg = "the tyre is needed: --tyre 120/90-18, or a --bike sheet that says it"
        raise AdvisorError(msg)
    gears = (
        {"": ratio} if ratio is not None else {f"gear {number}": one for number, one in enumerate(bike.gears, start=1)}
    )
    if not gears:
        msg = "the gearing is needed: --ratio 4.5 (engine turns for one wheel turn), or a --bike sheet with its gears"
        raise AdvisorError(msg)
    wheel = wheel_rate(road, diameter)
    rows = [("tyre", f"{1000 * diameter:.1f} mm across (nominal), {wheel:.1f} turns a second")]
    turning = {name: engine_speed(road, diameter, one) for name, one in gears.items()}
    rows += [
        (name or "engine", f"{revs:.0f} rpm; a turn {revs / 60:.1f} Hz, each side fires {revs / 120:.1f} Hz")
        for name, revs in turning.items()
    ]
    _out(
        form,
        {"wheel_hz": wheel, "tyre_mm": 1000 * diameter, "engine_rpm": turning},
        draw.lines("Road speed", rows, [base.ride_next.at_one_speed]),
    )


@measure.command()
@click.option("--bore", default="3/16 in", show_default=True, help="Inside width of the tube.")
@click.option("--leg", default="300 mm", show_default=True, help="Height of the fluid in each leg at rest.")
@click.option("--top", default="900 mm", show_default=True, help="Height of the tube's top above its bottom.")
@click.option("--loop", default="1200 mm", show_default=True, help="Length of tube below the legs that joins them.")
@click.option("--density", default="860 kg/m3", show_default=True, help="The fluid's density.")
@click.option("--viscosity", default="70 cSt", show_default=True, help="The fluid's kinematic viscosity.")
@format_option
def tube(bore: str, leg: str, top: str, loop: str, density: str, viscosity: str, form: str) -> None:  # noqa: PLR0913 - a tube has these figures
    """Work out a U-tube: how long to wait, how much fluid to fill, and when it is drawn into the engine."""
    base = rulebase()
    given = {"bore": bore, "leg": leg, "top": top, "loop": loop, "density": density, "viscosity": viscosity}
    figures = {name: _quantity(text, TUBE[name], f"--{name}", base) for name, text in given.items()}
    wide, high, upto, below = (figures[name] / 1000 for name in ("bore", "leg", "top", "loop"))
    heavy, thick = figures["density"], figures["viscosity"] * 1e-6
    if high >= upto:
        msg = "the fluid's leg must be lower than the top of the tube"
        raise AdvisorError(msg)
    found = work_out_tube(bore=wide, leg=high, top=upto, loop=below, density=heavy, viscosity=thick)
    told = {
        "wait_s": found.settles.wait,
        "time_constant_s": found.settles.time_constant,
        "fill_ml": found.fill * 1e6,
        "most_kpa": found.most / 1000,
        "draws_in": found.draws_in,
    }
    _out(form, told, draw.tube(found, heavy))


@measure.command(context_settings={"ignore_unknown_options": True})  # a height may be negative
@click.argument("height", nargs=-1)
@click.option("--set-at", default="0 m", show_default=True, help="Where the mixture was set.")
@format_option
def altitude(height: tuple[str, ...], set_at: str, form: str) -> None:
    """Tell what thin air does to the mixture: advisor measure altitude 1500 m."""
    _need(height, "altitude 1500 m --set-at '300 m'")
    base = rulebase()
    # Nobody needs a height of 1.500 m, so a comma marks the thousands.
    plain = [THOUSANDS_MARK.sub("", one) for one in (*height, set_at)]
    height, set_at = _unit_of_option(tuple(plain[:-1]), plain[-1])
    here, there = _quantity(" ".join(height), HEIGHTS, "height", base), _quantity(set_at, HEIGHTS, "--set-at", base)
    found = at_height(here, there)
    told = {"pressure_kpa": found.pressure / 1000, "density": found.density, "lambda_times": found.lambda_times}
    _out(form, told, draw.altitude(found, there))


def _unit_of_option(words: tuple[str, ...], option: str) -> tuple[tuple[str, ...], str]:
    """Return both with the unit restored that the shell split from an unquoted option: 1500 m --set-at 300 m."""
    if not BARE.match(option):
        return words, option
    if len(words) > 2:  # noqa: PLR2004 - a figure and its unit are two
        at = -1 if BARE.match(words[0]) else 0
        rest = words[:-1] if at else words[1:]
        return rest, f"{option} {words[at]}"
    return words, f"{option} m"
