"""`advisor rules check|show|search|new`."""

import shlex
from pathlib import Path

import click
from rich.text import Text

from advisor.cli.common import echo, folders, rulebase, rules_option
from advisor.cli.save import destination, written
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError, RulesError, nearest
from advisor.examples import check as run_examples
from advisor.rulebase import load
from advisor.rulebase.coverage import coverage as measured
from advisor.rulebase.drawing import drawing
from advisor.rulebase.scaffold import write_new
from advisor.rulebase.search import Index
from advisor.show.coverage import table
from advisor.show.rule_pages import page
from advisor.show.screen import Rows, console

KINDS = ("signs", "readings", "rules", "causes", "checks", "limits", "shakes", "parts", "tools", "cautions", "drawings")


@click.group()
def rules() -> None:
    """Check, show, search and extend the rule base."""


@rules.command()
@click.option("--coverage", is_flag=True, help="Show what the rule base covers, as a table.")
@rules_option
def check(coverage: bool, overlays: tuple[Path, ...]) -> None:
    """Check every page, the whole set, and every example that stands in a page."""
    base = load(folders(overlays), cached=False)  # what is in the pages, whatever is kept of them
    count, failed = run_examples(folders(overlays), Advisor(base))
    if failed:
        raise RulesError(failed)
    kinds = ", ".join(
        f"{len(getattr(base, kind))} {kind}" for kind in ("causes", "signs", "checks", "rules", "readings", "limits")
    )
    echo(f"{kinds}; {count} examples hold")
    if coverage:
        console().print(table(measured(base)))


@rules.command()
@click.argument("name")
@rules_option
def show(name: str, overlays: tuple[Path, ...]) -> None:
    """Show one page: a cause, sign, check, rule, reading, limit, shake, part, tool, caution or drawing by its name."""
    base = rulebase(overlays)
    found = [getattr(base, kind)[name] for kind in KINDS if name in getattr(base, kind)]
    if not found:
        every = [one for kind in KINDS for one in getattr(base, kind)]
        msg = f"nothing is called '{name}'{nearest(name, every)}; find it with: advisor rules search WORDS"
        raise AdvisorError(msg)
    for record in found:
        console().print(page(record, base))


@rules.command()
@click.argument("name")
@click.argument("file")
@rules_option
def draw(name: str, file: str, overlays: tuple[Path, ...]) -> None:
    """Write a drawing as an SVG file, which any browser shows. 'advisor rules show' of a check names its drawing."""
    text = drawing(name, rulebase(overlays))
    path, there = destination(file)
    if there:
        msg = f"{path} is there already; it was left as it is"
        raise AdvisorError(msg)
    written(path, text)
    echo(f"{path} is written")


@rules.command()
@click.argument("words", nargs=-1, required=True)
@click.option("--most", default=8, show_default=True, type=click.IntRange(1, 100), help="How many to show.")
@rules_option
def search(words: tuple[str, ...], most: int, overlays: tuple[Path, ...]) -> None:
    """Find signs, causes, checks and readings by plain words; misspellings are forgiven."""
    found = Index(rulebase(overlays)).search(" ".join(words))[:most]
    if not found:
        msg = f"nothing found for '{' '.join(words)}'; try other words for what is seen or heard"
        raise AdvisorError(msg)
    wide = max(27, *(len(one.id) + 1 for one in found))
    lines = [(f"{one.kind:8}{one.id:{wide}}", Text(one.title.replace("{side}", "left or right"))) for one in found]
    console().print(Rows(lines, label=wide + 9))


@rules.command()
@click.argument("kind", type=click.Choice(["cause", "sign", "check"]))
@click.argument("name")
@click.option(
    "--place",
    default="carburettor",
    show_default=True,
    help="Where it belongs: a place of order.yaml, or felt for a sign or check that only a rider tells.",
)
@click.option(
    "--into",
    type=click.Path(path_type=Path),
    default=Path("rules"),
    show_default=True,
    help="The rule folder to write into.",
)
def new(kind: str, name: str, place: str, into: Path) -> None:
    """Write the skeleton of a new page, its blanks marked ___, with what may stand in each."""
    path = write_new(kind, name, into, place, rulebase())
    echo(f"{path} is written; fill every ___, then: advisor rules check --rules {shlex.quote(str(into))}")
