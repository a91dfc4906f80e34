"""`python -m advisor`, and the command `advisor`."""

from advisor import interrupt

interrupt.end_at_once()  # before anything slow; this module is imported only to be run

from advisor.lazy import lazy  # noqa: E402 - after it

TYPE_CHECKING = False  # as in the package itself
if TYPE_CHECKING:
    from advisor import cli
else:
    cli = lazy("advisor.cli")  # importing it takes longest


def main() -> None:
    """Run the command line."""
    cli.main()


if __name__ == "__main__":
    main()
