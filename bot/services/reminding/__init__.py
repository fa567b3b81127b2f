"""Reminders: when they come, what the records owe, what they say, what their buttons do.

when     "every 2nd sunday 7:30 pm" -> a pattern
spoken   a pattern -> the words for it
setting  a new one                 listing   what there is
changing another time, stopped     calendar_file
facts    what a Book owes
saying   debts -> what is said: watering (refill, pump line), rounds (change, stage, step, pen)
pressed  Done, Different, In 1 hour, Tomorrow, Stop these
"""
