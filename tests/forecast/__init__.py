"""The forecast judged on towers whose water is known: `python -m tests.forecast [--towers 200]`.

towers   random towers on the demo's physics and weather, their logs, and the truth at each visit
naive    what anybody would do with the last readings: the yardsticks
judging  errors, coverage, leaks, and the same in parts
"""
