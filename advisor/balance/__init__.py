"""The balance of the two sides, led by figures: what a reading means, what to turn by how much, and when to stop.

`turns` names what can be turned and says a turn in words. `response` estimates how the sides stand and what a turn
does, from readings and turns. `choice` picks the next turn. `course` says what comes next, from all that was done:
read, turn, done, or look for a cause. It knows no terminal, no store and no engine: whoever leads a balance keeps the
steps and asks `course.next_step`.
"""
