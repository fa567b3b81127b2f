"""A drawing as a PNG: the only place that knows how to draw.

Nothing is shared between two pictures, so any worker thread may draw one. The drawing library is
imported with the first picture, not when the bot starts.
"""

from __future__ import annotations

import logging

from bot.records.drawings import Chart, Drawing


def draw(drawing: Drawing) -> bytes:
    """The picture of a drawing, as a PNG made for a phone."""
    # What it says of folders it cannot write or fonts it looks for is nobody's concern: it makes
    # do with a folder of its own.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    from bot.pictures.charts import draw_chart
    from bot.pictures.sheets import draw_sheet

    paper = draw_chart(drawing) if isinstance(drawing, Chart) else draw_sheet(drawing)
    return paper.png()
