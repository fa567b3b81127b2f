"""Sentences as members type them, each with its records and what a good coach would answer.

data/open.jsonl       one phrasing an intent, with the intents' working, from the founders
data/tuned.jsonl      written by six who had not seen the code; three quarters of them, by the rule
                      crc32(id) % 4 != 3: read while `understanding` was written
data/untouched.jsonl  the other quarter: only ever counted, never read

Expected values come from the rules of the job, worked out beside each line ("working"), not from
the bot. `python -m tests.sentences` counts them, with and without typing slips.
"""
