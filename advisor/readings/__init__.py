"""From figures to what rules compare: each reading with its bounds, and one side's lead over the other."""
