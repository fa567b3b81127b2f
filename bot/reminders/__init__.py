"""Reminders sent: rule -> debt -> post, at the right local hour, once.

planning   whose facts changed -> what they owe now
wording    debts of a post -> what it says, worked out when it is sent
worker     claims, sends, settles; one process, graceful stop

It knows no chat platform: the app hands it something that sends.
"""

from bot.reminders.worker import Outbox, Worker

__all__ = ["Outbox", "Worker"]
