"""`advisor explain CASE CAUSE [--against CAUSE]`."""

from pathlib import Path

import click

from advisor.cli.common import advisor, format_option, rules_option
from advisor.errors import AdvisorError, nearest
from advisor.explain.why_not import contrast, find_cause
from advisor.intake.casefile import read_case
from advisor.report import Report
from advisor.sides import Sided


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("cause")
@click.option("--against", metavar="CAUSE", help="The cause to hold against it.")
@format_option
@rules_option
def explain(case: Path, cause: str, against: str | None, form: str, overlays: tuple[Path, ...]) -> None:
    """Show why a cause stands where it stands, or why this one and not that one.

    CAUSE is a cause's name, with its side if it has one: "intake-joint-leak left".
    Without a side the likelier one is meant.
    """
    ready = advisor(overlays)
    told = read_case(case, ready.base)
    found = ready.diagnose(told, exact=True)
    chosen = _cause(found, cause)
    if against is None:
        ranked = next(one for one in found.causes if (one.id, one.side) == chosen)
        if form == "json":
            from advisor.show.json import dump  # noqa: PLC0415 - only what is drawn is imported

            click.echo(dump(ranked))
            return
        from advisor.show.explain import explained  # noqa: PLC0415 - as above
        from advisor.show.screen import console  # noqa: PLC0415 - as above

        console().print(explained(ranked, ready.reasons()))
        return
    other = _cause(found, against)
    if other == chosen:
        msg = f"'{cause}' and '{against}' are the same cause here; name two, with their sides"
        raise AdvisorError(msg)
    chained, ranking = ready.rank(told)
    places = {key: index for index, key in enumerate(ranking.network.causes)}
    held = contrast(ready.base, ranking, chained.evidence, places[chosen], places[other])
    if form == "json":
        from advisor.show.json import dump  # noqa: PLC0415 - as above

        click.echo(dump(held))
        return
    from advisor.show.explain import contrasted  # noqa: PLC0415 - as above
    from advisor.show.screen import console  # noqa: PLC0415 - as above

    console().print(contrasted(held))


def _cause(found: Report, name: str) -> Sided:
    chosen = find_cause(found, name)
    if chosen is None:
        known = [f"{one.id} {one.side}" if one.side else one.id for one in found.causes]
        msg = f"no cause is called '{name}'{nearest(name, known)}"
        raise AdvisorError(msg)
    return chosen
