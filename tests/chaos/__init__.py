"""The bot killed again and again in the middle of its reminders: nothing lost, nothing doubled.

`python -m tests.chaos --kills N` runs real processes on a real SQLite file against the loopback
server, which lives in the chaos process and so outlives every kill. Everything is real time.

town      people, and reminders whose texts are all different
process   one `bot run`, started, killed, stopped
raid      the run: starting and ending it N times, then letting it drain
verdict   what the server and the file say afterwards
"""
