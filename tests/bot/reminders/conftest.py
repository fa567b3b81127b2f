"""The store's fixtures: a real SQLite file with the coach, Tamsin and her kitchen in it."""

from tests.bot.storage.conftest import store, url

__all__ = ["store", "url"]
