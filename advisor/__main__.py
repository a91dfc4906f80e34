"""``python -m advisor``."""

from advisor.cli import main

main()
