NOT_SENSED: dict[str, str] = {}
