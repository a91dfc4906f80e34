"""The laboratory: hidden bikes on a stand, played by the planner, and how often it was right."""
