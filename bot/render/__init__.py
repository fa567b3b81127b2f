"""An Answer -> what a person reads. The only place where text and numbers for people are made."""

from bot.render.cards import card, form_card, label, plain

__all__ = ["card", "form_card", "label", "plain"]
