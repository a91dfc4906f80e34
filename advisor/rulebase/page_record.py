"""What every record of a rule base has, once read."""

import msgspec


class Record(msgspec.Struct, frozen=True, kw_only=True, array_like=True):  # cached without field names
    """A record with its file and line, so that every message can say where to look."""

    id: str
    file: str
    line: int
