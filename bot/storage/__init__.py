"""The only SQLAlchemy: the tables, two kinds of transaction, a Book out, changes in.

engine   opening the file; read() and write(), and no third way
models   the tables
books    one person's Book in one query
changes  an answer's changes in one transaction, once per interaction; what each writes is in
         people, towers, logbook, coaching, talk and forgetting
handles  what a button remembers
tidying  what nobody needs any more
leaving  communities that the bot was put out of
reminding/  rules, debts and posts of reminders
schema   migrations
"""

from bot.storage.books import load_book
from bot.storage.changes import Writing, apply, set_welcome
from bot.storage.engine import Store, Unavailable
from bot.storage.handles import find_offer, keep_offers, named
from bot.storage.leaving import forget_left, present_in
from bot.storage.schema import check_schema, migrate
from bot.storage.tidying import tidy

__all__ = [
    "Store",
    "Unavailable",
    "Writing",
    "apply",
    "check_schema",
    "find_offer",
    "forget_left",
    "keep_offers",
    "load_book",
    "migrate",
    "named",
    "present_in",
    "set_welcome",
    "tidy",
]
