"""What an operator does at the terminal beside running the bot.

backup   a whole copy beside a running bot
restore  a copy in the file's place; first only a list of what it would hold
check    what is wrong here, and what to do about each
"""

from bot.operate.backup import backup
from bot.operate.check import check
from bot.operate.restore import restore

__all__ = ["backup", "check", "restore"]
