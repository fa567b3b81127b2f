"""The adapter to discord.py: who asks, a card as a message, an answer in time."""
