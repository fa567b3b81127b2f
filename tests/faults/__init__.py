"""Every fault that the reminders must survive, F1 to F29, one test each, named after it.

The real sender and a real SQLite file against the loopback server's scripted faults. The oracle is
always the same: messages created == reminders owed, and nothing left without a next time.

office      people with reminders, a worker that can be killed
platform    F1-F10: what the platform answers
process     F11-F14: killed, stopped, doubled, paused
calendar    F15-F19: clocks and zones
disk        F20-F24: locked, full, damaged, cut, restored
queue       F25-F29: backlog, poison, edits in flight, a stalled loop
"""
