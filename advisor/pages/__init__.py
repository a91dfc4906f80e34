"""A job on one page to print or to send: words from the records, pictures to scale. It decides nothing."""
