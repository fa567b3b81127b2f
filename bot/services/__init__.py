"""A question and a Book -> an Answer. Pure: no clock, no store, no sentences."""

from bot.services.answering import answer, refused

__all__ = ["answer", "refused"]
