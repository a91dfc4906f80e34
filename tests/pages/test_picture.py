"""A picture for a page: text as text, the page's colours, ids of its own, and nothing of the user's own settings."""

import matplotlib as mpl
from matplotlib.figure import Figure

from advisor.pages.picture import INK, drawn, said
from tests.pages.markup import svg_of


def draw(figure: Figure) -> None:
    axes = figure.subplots()
    axes.plot([0, 1, 2], [1, 3, 2], "o", color=INK)
    said(axes, 1, 3, "$3 & <more>")


def test_text_stays_text_and_colours_are_the_pages() -> None:
    found = drawn(draw, "one", 'its "label" <here>', 2.0)
    root = svg_of(found)
    assert root.get("aria-label") == 'its "label" <here>'
    assert root.get("role") == "img"
    assert "$3 & <more>" in [one.text for one in root.iter("text")]
    assert "var(--ink)" in found
    assert INK not in found
    assert not {"metadata", "style", "clipPath"} & {one.tag for one in root.iter()}


def test_two_pictures_share_no_id_and_each_finds_its_own() -> None:
    ids = []
    for name in ("one", "two"):
        root = svg_of(drawn(draw, name, "label", 2.0))
        own = {one.get("id") for one in root.iter()} - {None}
        assert {(one.get("href") or "").removeprefix("#") for one in root.iter("use")} <= own
        assert own
        ids.append(own)
    assert not ids[0] & ids[1]


def test_the_users_own_settings_of_the_library_change_nothing_and_stay() -> None:
    plain = drawn(draw, "one", "label", 2.0)
    with mpl.rc_context({"font.size": 30, "svg.fonttype": "path", "axes.grid": True}):
        assert drawn(draw, "one", "label", 2.0) == plain
        assert mpl.rcParams["font.size"] == 30


def test_what_a_reader_could_not_see_is_spelt_out() -> None:
    def hidden(figure: Figure) -> None:
        said(figure.subplots(), 0, 0, "c\ud800d")

    found = drawn(hidden, "one", "a\u202eb", 2.0)
    assert "a\\u202eb" in found
    assert "c\\ud800d" in found
