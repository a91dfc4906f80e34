"""A job on one page to print or to send: words from the records, pictures to scale. It decides nothing."""

import logging

logging.getLogger("matplotlib").setLevel(logging.ERROR)  # where it keeps its fonts is nothing to a mechanic
