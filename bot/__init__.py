"""Tankwren: a chat bot for tower growers and their coach. DEVELOPERS.md draws the layers."""
