"""The records of a dialogue on a terminal: one drawing for each."""

from rich.console import RenderableType
from rich.text import Text

from advisor.errors import with_typed
from advisor.session import shown
from advisor.session.events import PHONE
from advisor.session.shown import Shown
from advisor.show import bench, figures, phone
from advisor.show.explain import explained
from advisor.show.sheet import sheet


def drawn(one: Shown) -> RenderableType:  # noqa: C901, PLR0911, PLR0912 - one return a kind of record
    """Return one record, to be printed."""
    match one:
        case shown.Trouble() | shown.Mistake():
            return Text(f"! {with_typed(one.says, one.typed)}")
        case shown.GoesOn():
            return bench.goes_on(one)
        case shown.Begins():
            return bench.begins(one)
        case shown.OthersOpen():
            return bench.others_open(one)
        case shown.OtherRules():
            return bench.other_rules(one)
        case shown.AskWords():
            return Text("What is wrong, in your own words?")
        case shown.AskWho():
            return Text(f"Who is at the bike: {', '.join(one.persons)}?")
        case shown.ToolsListed():
            return bench.tools(one)
        case shown.AskTools():
            return Text("Tools?")
        case shown.AskTool():
            return bench.ask_tool(one)
        case shown.AskToolRoll():
            return phone.tool_roll(one)
        case shown.NotedDown():
            return Text(f"noted: {one.about}: {one.says}")
        case shown.Remembered():
            return bench.remembered(one)
        case shown.Understood():
            return bench.understood(one)
        case shown.Troubles():
            return bench.troubles(one)
        case shown.AskNumbers():
            return Text("Numbers?")
        case shown.QuestionShown():
            return phone.question(one) if one.kind == PHONE else bench.question(one)
        case shown.Changed():
            return bench.changed(one)
        case shown.KeptInWords():
            return bench.kept_in_words(one)
        case shown.ReadBack():
            return phone.read_back(one.says)
        case shown.ToldSoFar():
            return phone.told(one) if one.kind == PHONE and not one.listed else bench.told(one)
        case shown.ReadingsTaken():
            return Text("; ".join(one.says))
        case shown.FigureMeans():
            return figures.means(one.found)
        case shown.TakenAs():
            return figures.taken_as(one)
        case shown.TakenBack():
            return Text(f"Taken back: {'; '.join(one.steps)}")
        case shown.Contradiction():
            return bench.contradiction(one)
        case shown.SetRight():
            return phone.set_right(one) if one.kind == PHONE and one.says else bench.set_right(one)
        case shown.AnswersShown():
            return bench.answers(one)
        case shown.Cautions():
            return bench.warnings(one.says) if one.says else Text("No caution for this step.")
        case shown.Help():
            return bench.help_lines(one.kind)
        case shown.Standing():
            return bench.standing(one)
        case shown.LedStands():
            return bench.led_stands(one)
        case shown.WhyAsked():
            return bench.why(one.question)
        case shown.Explained():
            return explained(one.cause, one.reasons)
        case shown.WouldBe():
            return bench.would_be(one)
        case shown.SaveAs() | shown.SaveSheet() | shown.SaveReport():
            return Text(f"written: {one.name}")
        case shown.AskReplace():
            return Text(f"{one.name} is there already: 1 replaces it, 2 leaves it as it is.")
        case shown.LeftAlone():
            return Text(f"left as it is: {one.name}")
        case shown.Sheet():
            return sheet(one.found)
        case shown.RecordShown():
            return Text(f"\n{one.text}")
        case shown.Ended():
            return bench.ended(one)
