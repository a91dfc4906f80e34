"""How well sentences are understood: `python -m tests.sentences FILE...` prints six figures, `--show` each miss.

The form of a file of sentences is explained at the head of those in `tests/intake/sentences/`.
"""

import re
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import yaml

import advisor
from advisor.case import Measured
from advisor.errors import AdvisorError
from advisor.intake.figures_said import NUMBER, in_figures
from advisor.intake.spoken import spoken
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, Side, other

HERE = Path(__file__).parent / "intake" / "sentences"
ASKED = ("heard", "offers right", "denials heard as denials", "denials taken as complaints", "nothing offered")
FIGURES = "figures taken"
NUMBERS = re.compile(NUMBER)


class Offer(msgspec.Struct, frozen=True):
    """One thing that was offered: a sign, seen or not, or a cause that is suspected."""

    name: str
    side: Side
    seen: bool
    cause: bool = False


class Outcome(msgspec.Struct):
    """How often each thing could have been, and how often it was; and each miss in words."""

    could: dict[str, int] = msgspec.field(default_factory=lambda: dict.fromkeys((*ASKED, FIGURES), 0))
    was: dict[str, int] = msgspec.field(default_factory=lambda: dict.fromkeys((*ASKED, FIGURES), 0))
    misses: list[str] = msgspec.field(default_factory=list)

    def count(self, name: str, was: bool) -> None:
        """Count one that could have been."""
        self.could[name] += 1
        self.was[name] += was

    def share(self, name: str) -> float:
        """Return how often a thing was, of what could have been, from 0 to 1."""
        return self.was[name] / self.could[name] if self.could[name] else 0.0


def scored(sentences: Iterable[dict[str, Any]], base: Rulebase) -> Outcome:
    """Return how well these sentences are understood."""
    outcome = Outcome()
    for sentence in sentences:
        _score(sentence, base, outcome)
    return outcome


def read(path: Path) -> list[dict[str, Any]]:
    """Return the sentences of a file."""
    found: list[dict[str, Any]] = yaml.safe_load(path.read_text(encoding="utf-8"))
    for sentence in found:
        for item in sentence["items"]:
            item["others"] = [one for one in sentence["items"] if one is not item]
    return found


def _score(sentence: dict[str, Any], base: Rulebase, outcome: Outcome) -> None:
    heard = advisor.understand(sentence["says"], base)
    offers, readings = _offers(heard), list(getattr(heard, "readings", ()))
    items = sentence["items"]
    missed = list[str]()
    for item in items:
        missed += _item(item, offers, readings, base, outcome)
    for offer in offers:
        right = is_right(offer, items, base)
        outcome.count("offers right", right)
        missed += [] if right else [f"wrong: {_named(offer)}"]
    if any(_counts(item) or _figure(item) for item in items):
        outcome.count("nothing offered", not offers and not readings)
    if missed:
        outcome.misses += [f"{sentence['id']} {sentence['says']}", *(f"    {one}" for one in missed)]
        outcome.misses += [f"    (offered: {', '.join(map(_named, offers))})"]


def _offers(heard: Any) -> list[Offer]:
    signs = getattr(heard, "signs", heard)
    found = [Offer(one.sign, one.side, one.seen) for one in signs]
    return found + [Offer(one.cause, one.side, True, cause=True) for one in getattr(heard, "suspected", ())]


def _named(offer: Offer) -> str:
    name = f"{offer.name}:{offer.side}" if offer.side else offer.name
    return f"{'' if offer.seen else 'not '}{'? ' if offer.cause else ''}{name}"


def _item(
    item: dict[str, Any], offers: list[Offer], readings: list[Measured], base: Rulebase, outcome: Outcome
) -> Iterator[str]:
    figure = _figure(item)
    if figure:
        taken = _taken(figure, item["side"], readings, base)
        outcome.count(FIGURES, taken)
        if not taken:
            yield f"not taken: {figure} {item['side']}"
    if not _counts(item) or (item["is"] == "measured" and figure):
        return
    if item["seen"] == "yes":
        heard = any(_means(offer, item, base) for offer in offers)
        outcome.count("heard", heard)
        if not heard:
            yield f"not heard: {item['what']} ({', '.join(_accepted(item))} {item['side']})"
        return
    denied = any(_means(offer, item, base) for offer in offers)
    outcome.count("denials heard as denials", denied)
    if not denied:
        yield f"not heard as denied: {item['what']} ({', '.join(item['accept'])} {item['side']})"
    taken_for = [one for one in offers if one.seen and not one.cause and one.name in item["accept"]]
    complaint = [one for one in taken_for if not is_right(one, _others(item), base) and _sides_fit(one, item, base)]
    outcome.count("denials taken as complaints", bool(complaint))
    if complaint:
        yield f"taken for a complaint: {item['what']} ({', '.join(map(_named, complaint))})"


def _others(item: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = item["others"]
    return found


def _accepted(item: dict[str, Any]) -> list[str]:
    causes = [item["cause"], *item.get("cause_also", [])] if "cause" in item else []
    return [*item["accept"], *(f"? {one}" for one in causes)]


def _counts(item: dict[str, Any]) -> bool:
    """Whether an item is asked for: the project has a sign, a cause or a reading for it."""
    return not {"gap", "why_none"} & item.keys() and bool(
        item["accept"] or (item["is"] == "suspected" and "cause" in item)
    )


def _figure(item: dict[str, Any]) -> dict[str, str] | None:
    found: dict[str, str] | None = item.get("reading")
    return found


def _sides_fit(offer: Offer, item: dict[str, Any], base: Rulebase) -> bool:
    sided = (base.causes[offer.name] if offer.cause else base.signs[offer.name]).sided
    return not sided or item["side"] in {"none", "both", offer.side}


def _means(offer: Offer, item: dict[str, Any], base: Rulebase) -> bool:
    """Whether an offer is what an item asks for."""
    if offer.cause:
        causes = {item.get("cause"), *item.get("cause_also", ())}
        return offer.name in causes and item["is"] in {"suspected", "there"} and _sides_fit(offer, item, base)
    if offer.seen != (item["seen"] == "yes"):
        return False
    if offer.name in item.get("accept_other_side", ()):
        return item["side"] == "none" or (item["side"] in BOTH and offer.side == other(item["side"]))
    return offer.name in item["accept"] and _sides_fit(offer, item, base)


def is_right(offer: Offer, items: list[dict[str, Any]], base: Rulebase) -> bool:
    """Whether an offer is what one of the items asks for, or at least not wrong."""
    return any(_means(offer, item, base) or _tolerated(offer, item) for item in items)


def _tolerated(offer: Offer, item: dict[str, Any]) -> bool:
    allowed = {(one["sign"], one["seen"] == "yes") for one in item.get("tolerate", ())}
    return not offer.cause and (offer.name, offer.seen) in allowed


def _taken(figure: dict[str, str], side: str, readings: list[Measured], base: Rulebase) -> bool:
    """Whether a figure is among the readings, on its side; one without a unit may have any."""
    page = base.readings[figure["id"]]
    sides = [side] if page.sided and side in BOTH else []
    for one in readings:
        if one.reading != figure["id"] or (sides and one.side not in sides):
            continue
        if figure["value"] in one.given.split() or _same(figure, one, base):
            return True
    return False


def _same(figure: dict[str, str], one: Measured, base: Rulebase) -> bool:
    """Whether a reading is the figure that was told, which the coding gives in figures or in the rider's words."""
    if NUMBERS.findall(in_figures(figure["value"])) == NUMBERS.findall(in_figures(one.given)):
        return True
    words = f"{one.side or ''} {figure['value']}"
    try:
        return spoken(figure["id"], words.strip(), base)[0].values == one.values
    except AdvisorError:
        return False


def main(arguments: list[str]) -> None:
    """Print the six figures of the files named; of those here, if none is."""
    show = "--show" in arguments
    files = [Path(one) for one in arguments if one != "--show"] or sorted(HERE.glob("*.yaml"))
    base = advisor.load_rules()
    for path in files:
        sentences = read(path)
        found = scored(sentences, base)
        sys.stdout.write(f"{path.name}: {len(sentences)} sentences" + "\n")
        for name in (*ASKED, FIGURES):
            sys.stdout.write(
                f"  {name:28} {100 * found.share(name):5.1f} %  ({found.was[name]} of {found.could[name]})" + "\n"
            )
        if show:
            sys.stdout.write("\n".join(found.misses) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
