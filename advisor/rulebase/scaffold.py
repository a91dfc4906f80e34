"""Writes the skeleton of a new page, with its blanks marked."""

import re
import shlex
from collections.abc import Mapping
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.rulebase.model import Rulebase
from advisor.rulebase.page_record import Record
from advisor.rulebase.source import FELT, place_of

NAME = re.compile(r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$")

CAUSE = """\
# A cause: one fault with one remedy. Fill every ___ and delete what you do not need; then run:
#   advisor rules check --rules {folder}
# Keep or put "..." round a text that holds ": " or begins with {{side}}.
id: {name}
# What is wrong, as one would say it. A fault of one side says {{side}}.
title: "___ on the {{side}}"
# one: it can be on the left or the right. whole bike: it has no side.
sides: one
# How often it is met on a bike that will not settle: {met}.
met: ___
# How often each sign is there when this is the cause, the most frequent first: {shows}.
# A sign of the whole bike stands under 'the bike', one that is on a side under 'same side' or 'other side'; in a fault
# of the whole bike under 'each side', or 'either side' if it can be on one only. Delete the lines you do not need.
# Find signs with: advisor rules search "plain words"
# None settles it yet? Write one and its check, same --into and --place:
#   advisor rules new sign NAME, advisor rules new check NAME
signs:
  nearly always:
    same side: [___-sign-that-settles-it]
  often:
    the bike: [___-sign-of-the-whole-bike]
    same side: [___]
# The check that decides it; it must reveal one of the signs above. Find checks with: advisor rules search "plain words"
settled by: ___
# What puts it right, and how long that takes (a bare number).
remedy: ___
minutes: ___
# Take the # away where it is so. One job for both sides, in these minutes, whichever side the fault was on:
# both sides at once: yes
# Causes that are put right with it, as a new plug is not fouled:
# also cures: [name-of-another-cause]
# Parts that have to be bought:
# new parts: yes
# What can hurt while it is put right: names from cautions.yaml, like [stuck-throttle, hot-parts]. Nothing? Say none.
cautions: ___
# Signs that must be gone afterwards.
then must hold: [___-sign-that-settles-it]
# Why it shows these signs: the physics in two sentences.
reason: ___
source: common practice, no source
examples:
  # Two small cases in which it must come first, and one in which it must not although it looks like it.
  - name: ___
    seen: {{___-sign-of-the-whole-bike: yes, ___-sign-that-settles-it: {{left: yes, right: no}}}}
    expect: {{first: {name} left}}
  - name: ___
    seen: {{___-sign-of-the-whole-bike: yes, ___-sign-that-settles-it: {{right: yes, left: no}}}}
    expect: {{first: {name} right}}
  - name: ___
    seen: {{___-sign-of-the-whole-bike: yes, ___-sign-that-settles-it: neither}}
    expect: {{not first: {name} left}}
"""

SIGN = """\
# A sign: something one can see or hear. Fill every ___; then name it in a cause and in a check.
{name}:
  # As the trade says it. A sign that is on a side says {{side}}.
  title: "___ on the {{side}}"
  # As a rider would say it.
  plain: "___ on the {{side}}."
  # A question to be answered yes or no, without tools where that is possible.
  question: "___ on the {{side}}?"
  # Other words people use for it, each in "..." if it holds a comma.
  also: [___]
  # each: left or right. none: the whole bike; then no text says {{side}}.
  sides: each
  # Who can see it: {persons}.
  seen by: ___
  # How often it is there with nothing wrong: {healthy}.
  healthy: ___
"""

CHECK = """\
# A check: something to do that reveals signs. Fill every ___.
{name}:
  # one at a time: done for each side on its own, and the title says {{side}}. once: for both together.
  title: "___ on the {{side}}"
  # say: "What is read aloud to a rider on the phone, where the question of the sign will not do?"
  # The steps, each in quotes: ["Engine off, tap off.", "Bowl off."]; without quotes a comma begins a new step.
  do: [___]
  sides: one at a time
  # Who can do it: {persons}. How it is then known: {trust}.
  who: ___
  how: ___
  # Delete what is not needed. The names of tools are in means.yaml of the shipped rules (advisor rules show screwdriver
  # tells where). engine: cold, warm or any.
  tools: [___]
  engine: any
  minutes: ___
  # drawing: the name of a picture that shows where to look; drawings.yaml of the shipped rules lists them.
{stage}  # The names of cautions are in cautions.yaml of the shipped rules, like fuel-fire, hot-parts.
  cautions: [___]
  outcomes:
    # Done once: only this side, both, neither; or yes, no for a sign of the whole bike.
    - {{says: "___ is found.", shows: {{___-sign: this side}}}}
    - {{says: "___ is not found.", shows: {{___-sign: not this side}}}}
"""

STAGE = """\
  # Where it belongs in the order of a tune-up, since it is only felt: {places}.
  place: ___
"""
TEMPLATES = {"cause": CAUSE, "sign": SIGN, "check": CHECK}


def _in_one_place_only(kind: str, name: str, folder: Path, place: str) -> None:
    """Refuse a page that already exists in another place of the folder."""
    for page in sorted(folder.glob(f"*/{kind}s/{name}.yaml")):
        if place_of(page) != place:
            msg = f"{page} is there already; one {kind} has one page (to move it, move the file)"
            raise AdvisorError(msg)


def write_new(kind: str, name: str, folder: Path, place: str, base: Rulebase) -> Path:
    """Write a new page with blanks and return its path. Raises AdvisorError when the name is taken or malformed."""
    if not NAME.match(name):
        msg = f"'{name}' cannot be a name; use small letters, figures and single hyphens, like idle-jet-loose"
        raise AdvisorError(msg)
    pages: dict[str, Mapping[str, Record]] = {"cause": base.causes, "sign": base.signs, "check": base.checks}
    taken = pages[kind]
    if name in taken:
        msg = f"there is a {kind} called '{name}' already: {taken[name].file}:{taken[name].line}"
        raise AdvisorError(msg)
    places = [one for area in base.areas for one in area.places]
    among = places if kind == "cause" else [*places, FELT]
    if place not in among:
        msg = f"'{place}' is not a place; one of: {', '.join(among)}"
        raise AdvisorError(msg)
    _in_one_place_only(kind, name, folder, place)
    path = folder / place / f"{kind}s" / f"{name}.yaml"
    words = base.words
    text = TEMPLATES[kind].format(
        name=name,
        folder=shlex.quote(str(folder)),
        met=", ".join(words.met),
        shows=", ".join(words.shows),
        healthy=", ".join(words.healthy),
        trust=", ".join(words.trust),
        persons=", ".join(base.persons),
        stage=STAGE.format(places=", ".join(places)) if place == FELT else "",
    )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        msg = f"{path} is there already; it was left as it is"
        raise AdvisorError(msg) from None
    except OSError as error:
        msg = f"{path} cannot be written: {error.strerror or error}"
        raise AdvisorError(msg) from error
    return path
