"""From figures to the quantities that rules compare: each reading with its bounds, and one side's lead."""
