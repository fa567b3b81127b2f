"""What a sheet says, how large, and in which order."""

from __future__ import annotations

from dataclasses import replace

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patches import Rectangle

from bot.pictures.sheets import draw_sheet
from bot.records.drawings import Sheet
from tests.bot.pictures.drawings import AS_TYPED, HARD, HELPER, LID


def placed(sheet: Sheet) -> list[tuple[str, float, float, float]]:
    """(text, x, y, size) of each line."""
    return [
        (text.get_text(), *text.get_position(), text.get_fontsize())
        for text in draw_sheet(sheet).figure.texts
    ]


def test_a_lid_table_says_every_figure_once_in_its_row() -> None:
    texts = placed(LID)
    for row in LID.rows:
        (y,) = {y for text, _, y, _ in texts if text == row[0]}
        on_it = [text for text, _, at, _ in sorted(texts, key=lambda one: one[1]) if at == y]
        assert on_it == list(row)


def test_figures_end_and_words_begin_under_each_other() -> None:
    words = Sheet(
        title="", head=("day", "do"), rows=(("Mon", "3 gal"), ("Sunday", "20 gal")), alt=""
    )
    paper = draw_sheet(words)
    paper.png()
    renderer = FigureCanvasAgg(paper.figure).get_renderer()
    boxes = {text.get_text(): text.get_window_extent(renderer) for text in paper.figure.texts}
    assert boxes["Mon"].x0 == pytest.approx(boxes["Sunday"].x0, abs=3)
    assert boxes["3 gal"].x1 == pytest.approx(boxes["20 gal"].x1, abs=1)
    assert boxes["3 gal"].x0 > boxes["20 gal"].x0 + 10


def test_figures_are_as_large_as_the_paper_allows() -> None:
    def size(sheet: Sheet) -> float:
        return next(size for text, _, _, size in placed(sheet) if text == sheet.rows[-1][0])

    bare = replace(LID, rows=tuple(tuple(cell.split()[0] for cell in row) for row in LID.rows))
    assert size(LID) >= 15
    assert size(bare) == 20
    assert 10 <= size(HARD["forty rows"]) <= 12


def test_a_wide_table_wraps_and_loses_nothing() -> None:
    wide = Sheet(title="", rows=(("Mon", "tide " * 20, AS_TYPED),), alt="")
    texts = [text for text, _, _, _ in placed(wide)]
    assert " ".join(texts).count("tide") == 20
    assert "Mon" in texts


def test_a_helper_sheet_reads_from_top_to_bottom() -> None:
    order = [HELPER.title, HELPER.intro, "31 mL", "1", "2", "3", "Fri 20", "Mon 23", *HELPER.foot]
    tops = {text: y for text, _, y, _ in reversed(placed(HELPER))}
    assert sorted(order, key=lambda text: tops[text]) == order
    said = " ".join(text for text, _, _, _ in placed(HELPER))
    for step in HELPER.steps:
        assert step in said


@pytest.mark.parametrize(("name", "on_bottle"), [("A", True), ("Saltmarsh two-part", False)])
def test_a_bottle_has_its_name_on_it_when_it_fits_else_beside_it(
    name: str, on_bottle: bool
) -> None:
    texts = placed(replace(HELPER, bottles=((name, "31 mL"),)))
    beside = next(x for text, x, _, _ in texts if text == "31 mL")
    assert (next(x for text, x, _, _ in texts if text == name) < beside) is on_bottle


def test_a_day_with_something_to_do_has_a_box_to_tick() -> None:
    ticked = [
        artist
        for artist in draw_sheet(HELPER).figure.get_children()
        if isinstance(artist, Rectangle) and artist.get_width() == artist.get_height() == 14
    ]
    assert len(ticked) == sum(bool(doing) for _, doing in HELPER.days) == 2
