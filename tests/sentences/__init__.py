"""Sentences as members type them.

phrases/<kind>.txt    examples of each kind of question, with what each number in them is: what
                      `bot/understanding/learned.json` is learned from (`python -m tests.sentences
                      learn`); written by sixteen who had not seen the code, and some by us
data/open.jsonl       one phrasing an intent with its records and what a good coach would answer,
                      with the intents' working, from the founders
data/read.jsonl       written by eighteen more who had not seen the code, in three rounds; read
                      while `understanding` was written, and among the examples
data/untouched.jsonl  of the first round the quarter with crc32(id) % 4 == 3, of the third the half
                      with crc32(id) % 2 == 1: only ever counted; read were only the few lines that
                      were dangerous, to mend them

Expected values come from the rules of the job, worked out beside each line ("working"), not from
the bot. `python -m tests.sentences` counts them, with and without typing slips.
"""
