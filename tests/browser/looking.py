"""What is looked at on each page: does it fit, can a glove hit it, is left on the left, can everybody read it."""

from collections.abc import Sequence
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.chromium import NARROWEST, SCHEMES, SIZES, Size, Tab

# 44 CSS pixels: Web Content Accessibility Guidelines 2.2, criterion 2.5.5, "Target Size (Enhanced)".
TARGET = 44
HARMFUL = {"serious", "critical"}
CHECKER = Axe()
FITS = """(target) => {
  const found = [], root = document.documentElement;
  const seen = (one) => one.checkVisibility() && one.getBoundingClientRect().width > 0;
  const name = (one) => `${one.tagName} '${(one.textContent.trim() || one.name || "").slice(0, 40)}'`;
  if (root.scrollWidth > root.clientWidth) found.push(`scrolls sideways: ${root.scrollWidth} in ${root.clientWidth}`);
  for (const one of document.querySelectorAll("body *")) {
    const at = one.getBoundingClientRect();
    if (!one.closest("svg, .skip") && seen(one) && (at.left < -1 || at.right > root.clientWidth + 1))
      found.push(`sticks out: ${name(one)}`);
  }
  const controls = "a, button, summary, select, textarea, label.tick, input:not([type=hidden])";
  for (const one of document.querySelectorAll(controls)) {
    if (!seen(one) || one.matches(".skip, label.tick input")) continue;
    if (one.getBoundingClientRect().height < target - 0.5) found.push(`too low: ${name(one)}`);
    if (one.matches("a, button, label") && one.scrollWidth > one.clientWidth + 1) found.push(`cut off: ${name(one)}`);
  }
  return found;
}"""
# Whatever has a left and a right: answers and ticks, fields, columns, their figures, the heads of a table.
SIDES = """() => {
  const middle = (one) => { const at = one.getBoundingClientRect(); return at.left + at.width / 2; };
  const of = (selector, says) => [...document.querySelectorAll(selector)].filter((one) =>
    one.checkVisibility() && (!says || one.textContent.trim().toLowerCase().startsWith(says)));
  const pairs = [
    [of(".pair .left"), of(".pair .right")],
    [of("[name$=left]"), of("[name$=right]")],
    [of("rect.left"), of("rect.right")],
    [of("svg .figure", "left "), of("svg .figure", "right ")],
    [of("th", "left"), of("th", "right")],
  ];
  const wrong = [];
  let many = 0;
  for (const [left, right] of pairs) {
    // A field may be for one side only.
    if (left.length && right.length && left.length !== right.length)
      wrong.push(`${left.length} left and ${right.length} right`);
    for (let at = 0; at < Math.min(left.length, right.length); at++, many++)
      if (middle(left[at]) >= middle(right[at]))
        wrong.push(left[at].outerHTML.slice(0, 90));
  }
  return [many, wrong];
}"""


# What a page is made of. The checker finds nothing more on a page that is made of the same as one before.
MADE_OF = """() => [...new Set([...document.querySelectorAll("body *")]
  .map((one) => `${one.parentElement.className.baseVal ?? one.parentElement.className} ${one.tagName}
    ${one.className.baseVal ?? one.className} ${one.getAttributeNames()}`))]"""


def made_of(page: Page) -> frozenset[str]:
    """Return what a page is made of: each kind of element in each kind of place."""
    return frozenset(page.evaluate(MADE_OF))


def resized(page: Page, size: Size) -> None:
    """Make the page this large."""
    page.set_viewport_size({"width": size[0], "height": size[1]})


def misfits(page: Page) -> list[str]:
    """Return what does not fit at the page's width: sideways scrolling, what sticks out or is cut off, low targets."""
    found: list[str] = page.evaluate(FITS, TARGET)
    return found


def sides(page: Page) -> tuple[int, list[str]]:
    """Return how many pairs of left and right a page has, and those of which left is not on the left."""
    many, wrong = page.evaluate(SIDES)
    return many, wrong


def barriers(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """Return what the accessibility checker finds serious or critical, by all its rules or by these."""
    options: dict[str, Any] = {"resultTypes": ["violations"]} | ({"runOnly": list(rules)} if rules else {})
    found = CHECKER.run(page, options=options).response["violations"]
    return [f"{one['id']}: {node['html'][:120]}" for one in found if one["impact"] in HARMFUL for node in one["nodes"]]


def looked_at(tab: Tab, *, checked: bool = True) -> tuple[int, list[str]]:
    """Look at a page at every width, light and dark; return how many lefts have a right, and all that is wrong.

    `checked`: the accessibility checker looks too.
    """
    tab.page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    wrong: list[str] = []
    pairs = 0
    for size in (NARROWEST, *SIZES):
        resized(tab.page, size)
        wrong += [f"{size[0]}: {one}" for one in misfits(tab.page)]
        pairs, misplaced = sides(tab.page)
        wrong += [f"{size[0]}: left is not on the left: {one}" for one in misplaced]
        if checked and size in SIZES:
            wrong += [f"{size[0]} {one}" for one in barriers_by_scheme(tab.page)]
    return pairs, wrong


def barriers_by_scheme(page: Page) -> list[str]:
    """Return what the checker finds in light, and what it finds in dark: there only the colours are others."""
    found: list[str] = []
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        found += [f"{scheme}: {one}" for one in barriers(page, () if scheme == SCHEMES[0] else ("color-contrast",))]
    return found
