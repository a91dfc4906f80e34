"""Where the shipped rule base and demo cases lie: beside the package in a checkout, inside it in a wheel."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def shipped(name: str) -> Path:
    """Return the folder `rules` or `cases_demo`, from the wheel if it is there, else from the checkout."""
    inside = PACKAGE / "_shipped" / name
    return inside if inside.is_dir() else PACKAGE.parent / name
