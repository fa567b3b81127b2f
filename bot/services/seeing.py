"""A tower's record as a picture."""

from __future__ import annotations

from typing import Final

from bot.records.answer import Answer, Offer, line
from bot.records.book import Book
from bot.records.questions import Picture
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower
from bot.services.lid import lid
from bot.services.log.courses import level_plot, readings_plot, use_plot

LID: Final = "lid"
_PICTURES: Final = {
    "level": level_plot, "readings": readings_plot, "use": use_plot, LID: lid,
}  # fmt: skip


def picture(question: Picture, book: Book) -> Answer:
    """One of the pictures; the level where none is named.

    Raises
    ------
    Ask
    """
    tower = chosen_tower(question, book)
    what = (question.what or "level").strip().casefold()
    if what not in _PICTURES:
        choices = [
            Offer(label=line(f"button.picture_{one}"), question=Picture(tower=tower.name, what=one))
            for one in _PICTURES
        ]
        raise Ask(clarify("picture", line("plot.which"), offers=choices))
    return _PICTURES[what](tower, book)
