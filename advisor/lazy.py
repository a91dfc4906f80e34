"""Imports a module when it is first used: for modules that take longer to import than most commands take to run.

    if TYPE_CHECKING:
        import pint
    else:
        pint = lazy("pint")

Type checkers and import-linter read the plain import; Python runs the other branch. Use the module's names
through it, as in `pint.UnitRegistry`.
"""

import importlib
from types import ModuleType


class _Lazy(ModuleType):
    """Stands for a module, and imports it when one of its names is asked for."""

    def __getattr__(self, name: str) -> object:
        return getattr(importlib.import_module(self.__name__), name)


def lazy(name: str) -> ModuleType:
    """Return a stand-in for the module of this full name. A missing module raises ImportError when it is used."""
    return _Lazy(name)
