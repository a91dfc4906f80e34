"""Fault finding and tune-up advice for an air-cooled opposed twin with one CV carburettor a side.

This is the front door for programs: a page, a script, a notebook. Names are imported when they are first used.

>>> import advisor
>>> ready = advisor.Advisor(advisor.load_rules())
>>> told = advisor.case_from({"seen": {"idle-hangs": True}, "measured": {"idle-speed": "1500 rpm"}}, ready.base)
>>> report = ready.diagnose(told)
>>> 0 < report.causes[0].probability < 1
True
>>> len(report.next_checks) > 0
True

Bad input raises one of the `AdvisorError` family (`advisor.errors`), which holds every mistake found.
"""

TYPE_CHECKING = False  # as type checkers read it, True; importing typing for it takes longer than all else here

if TYPE_CHECKING:
    from advisor.case import Case
    from advisor.diagnose import Advisor
    from advisor.intake.casefile import read_case
    from advisor.intake.mapping import case_from
    from advisor.intake.sentence import understand
    from advisor.report import Report
    from advisor.rulebase.load import load_rules
else:
    import importlib

    _WHERE = {
        "Advisor": "advisor.diagnose",
        "Case": "advisor.case",
        "Report": "advisor.report",
        "case_from": "advisor.intake.mapping",
        "load_rules": "advisor.rulebase.load",
        "read_case": "advisor.intake.casefile",
        "understand": "advisor.intake.sentence",
    }

    def __getattr__(name):  # noqa: ANN001, ANN202 - type checkers read the imports above
        """Return a public name, importing its module now (PEP 562)."""
        if name not in _WHERE:
            msg = f"module 'advisor' has no attribute {name!r}"
            raise AttributeError(msg)
        found = globals()[name] = getattr(importlib.import_module(_WHERE[name]), name)
        return found

    def __dir__():  # noqa: ANN202 - as above
        return sorted({*globals(), *__all__})


__all__ = [
    "Advisor",
    "Case",
    "Report",
    "__version__",
    "case_from",
    "load_rules",
    "read_case",
    "understand",
]
__version__ = "0.1.0"
