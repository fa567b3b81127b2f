"""A sentence and a Book -> the question that a slash command would have made."""

from bot.understanding.hearing import hear

__all__ = ["hear"]
