"""The report as one JSON object."""

import msgspec


def dump(found: object) -> str:
    """Return any record as indented JSON."""
    return msgspec.json.format(msgspec.json.encode(found), indent=2).decode()
