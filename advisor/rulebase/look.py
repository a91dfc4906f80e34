"""How drawings look: what each class of a sheet becomes. No style sheet is needed, so a drawing can stand in any page.

Lines and words have the colour of the page's own text, and most fills let the page through, so a drawing is readable on
white and on black. A page may set the colours: `--drawing-fuel` and so on.
"""

INK = "currentColor"
METAL = "var(--drawing-metal, rgba(128,134,145,.3))"
RUBBER = "var(--drawing-rubber, rgba(112,112,122,.75))"
HOSE = "var(--drawing-hose, rgb(128,130,140))"
BRASS = "var(--drawing-brass, rgba(196,160,60,.7))"
FUEL = "var(--drawing-fuel, rgba(226,140,20,.6))"
FUEL_FLOW = "var(--drawing-fuel-flow, rgb(198,112,0))"
AIR_FLOW = "var(--drawing-air-flow, rgb(48,132,204))"
FLUID = "var(--drawing-fluid, rgba(48,132,204,.55))"
LIVE = "var(--drawing-live, rgb(214,62,50))"
SOOT, TAN, PALE = "rgb(38,38,40)", "rgb(190,142,92)", "rgb(246,245,240)"  # the colours of a plug are what they are

Look = dict[str, str]


def _line(colour: str, width: float, dashes: str = "") -> Look:
    ends = {"stroke-linecap": "round", "stroke-linejoin": "round"}
    return {"fill": "none", "stroke": colour, "stroke-width": f"{width:g}", **ends} | (
        {"stroke-dasharray": dashes} if dashes else {}
    )


def _filled(colour: str, width: float = 1.4) -> Look:
    return {**_line(INK, width), "fill": colour}


def _text(size: int, weight: str = "normal") -> Look:
    return {"fill": INK, "font-size": str(size), "font-weight": weight}


LOOK: dict[str, Look] = {
    # what parts are made of, and what is in them
    "metal": _filled(METAL),
    "rubber": _filled(RUBBER),
    "brass": _filled(BRASS, 1.1),
    "fuel": {"fill": FUEL},
    "fluid": {"fill": FLUID},
    "soot": _filled(SOOT, 1),
    "tan": _filled(TAN, 1),
    "pale": _filled(PALE, 1),
    # lines
    "line": _line(INK, 1.4),
    "fine": _line(INK, 0.9),
    "bold": _line(INK, 2.6),
    "plate": _line(INK, 4),
    "hidden": _line(INK, 0.9, "4 3"),
    "hose": _line(HOSE, 3.4),
    # what flows or moves, each with the head of its arrow
    "air": _line(AIR_FLOW, 2.4),
    "air hidden": _line(AIR_FLOW, 2, "5 4"),
    "air head": {"fill": AIR_FLOW},
    "flow": _line(FUEL_FLOW, 2.4),
    "flow hidden": _line(FUEL_FLOW, 2, "5 4"),
    "flow head": {"fill": FUEL_FLOW},
    "live": _line(LIVE, 2.4),
    "live head": {"fill": LIVE},
    "move": _line(INK, 2.2),
    "move head": {"fill": INK},
    # words
    "leader": {**_line(INK, 0.8), "opacity": ".75"},
    "name": _text(14),
    "note": _text(13),
    "head": _text(16, "bold"),
}
