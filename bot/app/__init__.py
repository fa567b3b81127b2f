"""The composition root: the only wiring. Nothing runs at import.

serving      the bot on the chat platform
rehearsing   the same bot in the demo town
"""
