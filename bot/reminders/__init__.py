"""Reminders sent: rule -> debt -> post, at the right local hour, once.

planning   whose facts changed -> what they owe now
wording    debts of a post -> what it says, worked out when it is sent
delivering one post sent and settled, under the platform's cap
worker     claims, has it worded and sent; one process, graceful stop

It knows no chat platform: the app hands it something that sends.
"""

from bot.reminders.delivering import Outbox
from bot.reminders.worker import Worker

__all__ = ["Outbox", "Worker"]
