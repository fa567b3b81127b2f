"""An Answer -> what a person reads. The only place where text and numbers for people are made."""

from bot.render.cards import card, content_of, form_card, label, plain, waiting_note

__all__ = ["card", "content_of", "form_card", "label", "plain", "waiting_note"]
