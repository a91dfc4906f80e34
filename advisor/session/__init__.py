"""Sessions at the bike and on the phone: answers one by one, kept as they come."""
