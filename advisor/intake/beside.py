"""Files that a case names: they lie in its own folder or below, unless other folders are allowed too.

A case may come from somebody else. What it names is opened, and parts of it can show in a message.
"""

from collections.abc import Sequence
from pathlib import Path

from advisor.yaml_nodes import Node


def beside(node: Node, files_from: Sequence[Path]) -> Path | None:
    """Return the file that a node names, relative to the node's own page; note why there is none to be read.

    Links are followed: what counts is where the file itself lies.
    """
    name = node.anything()
    if not name:
        return None
    own = Path(node.file).parent
    try:
        real = (own / name).resolve()
    except (OSError, RuntimeError, ValueError):  # a ring of links, a NUL
        node.wrong(f"'{name}' is not a file name")
        return None
    if not any(real.is_relative_to(folder.resolve()) for folder in (own, *files_from)):
        node.wrong(
            f"'{name}' lies outside the case's own folder; put it there, or allow it with --files-from {real.parent}"
        )
        return None
    return own / name
