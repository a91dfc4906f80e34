"""Sessions at the bike and on the phone: answers one by one, each kept at once."""
