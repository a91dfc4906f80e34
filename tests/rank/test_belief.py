"""What was found is believed: a deciding sign settles its cause, more exact is never less, far weighs more than near."""

import math
from math import prod

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.intake.figures import figure as _unused  # noqa: F401
