"""An apprentice practises on hidden bikes: rounds, hints, lessons, and a verdict at the end."""
