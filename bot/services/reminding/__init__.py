"""Reminders: when they come, what the records owe, what they say, what their buttons do.

when     "every 2nd sunday 7:30 pm" -> a pattern
spoken   a pattern -> the words for it
ruling   new, list, change, stop, calendar
facts    what a Book owes
saying   debts -> what is said
pressed  Done, Different, In 1 hour, Tomorrow, Stop these
"""
