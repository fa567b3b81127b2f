"""What an operator does at the terminal beside running the bot, each imported by itself.

locking  one process a data folder; a database that is lost is not begun anew
backup   a whole copy beside a running bot
restore  a copy in the file's place; first only a list of what it would hold
check    what is wrong here, and what to do about each
"""
