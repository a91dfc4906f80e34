"""The rule base: YAML pages in, one frozen `Rulebase` out, or every mistake at once."""

from advisor.rulebase.load import load, load_rules
from advisor.rulebase.model import Rulebase

__all__ = ["Rulebase", "load", "load_rules"]
