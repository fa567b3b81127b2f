"""Every picture: its size, its letters, its place on the paper, and that nothing is shared."""

from __future__ import annotations

import os
import subprocess
import sys
import warnings
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from io import BytesIO
from itertools import combinations
from pathlib import Path

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from bot.pictures import draw
from bot.pictures.charts import draw_chart
from bot.pictures.paper import WIDTH, Paper
from bot.pictures.sheets import draw_sheet
from bot.records.drawings import Chart, Drawing
from tests.bot.pictures.drawings import AS_TYPED, ENDLESS, FOREIGN, HARD, LEVEL, LID, USUAL

ROOT = Path(__file__).parents[3]
ALL = USUAL | HARD
MOST_BYTES = 150_000


def papered(drawing: Drawing) -> Paper:
    return draw_chart(drawing) if isinstance(drawing, Chart) else draw_sheet(drawing)


def texts(drawing: Drawing) -> list[str]:
    return [text.get_text() for text in papered(drawing).figure.texts]


@pytest.mark.parametrize("name", ALL)
def test_draws_whatever_is_handed_in_without_a_warning(name: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        picture = Image.open(BytesIO(draw(ALL[name])))
    assert picture.format == "PNG"
    assert picture.width == 1080
    assert picture.height == round(3 * papered(ALL[name]).height)


@pytest.mark.parametrize("name", [*USUAL, "many dots", "forty rows"])
def test_a_picture_is_small_enough_for_a_slow_line(name: str) -> None:
    assert len(draw(ALL[name])) <= MOST_BYTES


@pytest.mark.parametrize("name", USUAL)
def test_a_picture_stands_upright_on_a_phone(name: str) -> None:
    picture = Image.open(BytesIO(draw(USUAL[name])))
    assert 1.0 <= picture.height / picture.width <= 2.0


@pytest.mark.parametrize("name", ALL)
def test_letters_are_never_too_small_for_a_phone(name: str) -> None:
    sizes = [text.get_fontsize() for text in papered(ALL[name]).figure.texts]
    assert min(sizes, default=9) >= 9


@pytest.mark.parametrize("name", ALL)
def test_all_text_is_on_the_paper_and_none_upon_another(name: str) -> None:
    paper = papered(ALL[name])
    paper.png()
    renderer = FigureCanvasAgg(paper.figure).get_renderer()
    boxes = [
        text.get_window_extent(renderer) for text in paper.figure.texts if text.get_text().strip()
    ]
    for box in boxes:
        assert box.x0 >= 0 and box.x1 <= 3 * WIDTH
        assert box.y0 >= 0 and box.y1 <= 3 * paper.height
    for one, other in combinations(boxes, 2):
        across = min(one.x1, other.x1) - max(one.x0, other.x0)
        down = min(one.y1, other.y1) - max(one.y0, other.y0)
        assert min(across, down) <= 1


@pytest.mark.parametrize("height", [100.1, 100.2, *(n / 3 for n in (217, 222, 227, 234, 239))])
def test_any_height_is_rounded_to_a_pixel(height: float) -> None:
    paper = Paper()
    paper.height = height
    assert Image.open(BytesIO(paper.png())).size == (1080, round(3 * height))


def test_text_stands_as_typed() -> None:
    assert " ".join(texts(HARD["forty rows"])[:2]) == AS_TYPED
    for text in papered(HARD["many dots"]).figure.texts:
        assert not text.get_parse_math()


def test_dollar_signs_are_drawn() -> None:
    """As a formula "$x$" would be one slanted letter, narrower than "x"."""
    paper = Paper()
    paper.text((20, 40), "$x$", size=20)
    plain = Paper()
    plain.text((20, 40), "x", size=20)
    widths = []
    for one in (paper, plain):
        one.png()
        renderer = FigureCanvasAgg(one.figure).get_renderer()
        widths.append(one.figure.texts[0].get_window_extent(renderer).width)
    assert widths[0] > 2.5 * widths[1]


def test_a_letter_the_font_lacks_is_a_box_and_a_joiner_is_nothing() -> None:
    assert texts(HARD["one dot"])[0] == "□□ □ ab"
    assert FOREIGN.startswith("日本")


def test_widths_are_those_that_are_drawn() -> None:
    paper = Paper()
    for bold in (False, True):
        paper.text((10, 50), "Kitchen: 3.9 gal, ½ in — pump", size=16, bold=bold)
    paper.png()
    renderer = FigureCanvasAgg(paper.figure).get_renderer()
    for bold, text in zip((False, True), paper.figure.texts, strict=True):
        measured = 3 * paper.width(text.get_text(), size=16, bold=bold)
        assert text.get_window_extent(renderer).width == pytest.approx(measured, rel=0.02)


def test_long_text_is_wrapped_and_a_very_long_one_ends_in_dots() -> None:
    paper = Paper()
    for width in (60.0, 200.0):
        lines = paper.wrapped("The tide goes out over Saltmarsh twice a day", width, size=10)
        assert " ".join(lines) == "The tide goes out over Saltmarsh twice a day"
        assert all(paper.width(line, size=10) <= width for line in lines)
    assert "".join(paper.wrapped("Oystercatcher", 20, size=10)) == "Oystercatcher"
    endless = paper.wrapped(ENDLESS, 100, size=10)
    assert len(endless) == 10
    assert endless[-1].endswith("…")
    assert all(paper.width(line, size=10) <= 100 for line in endless)


def test_the_same_drawing_is_the_same_picture_in_any_thread() -> None:
    here = {name: sha256(draw(one)).digest() for name, one in USUAL.items()}
    assert len(set(here.values())) == len(here)
    with ThreadPoolExecutor(4) as pool:
        there = pool.map(lambda name: (name, sha256(draw(USUAL[name])).digest()), [*USUAL] * 3)
        assert all(here[name] == digest for name, digest in there)


def test_paper_is_light_and_opaque() -> None:
    picture = Image.open(BytesIO(draw(LID)))
    assert picture.mode == "P"
    assert "transparency" not in picture.info
    corner = picture.convert("RGB").getpixel((0, 0))
    assert isinstance(corner, tuple)
    assert all(
        abs(seen - meant) <= 2 for seen, meant in zip(corner, (0xFB, 0xFA, 0xF5), strict=True)
    )


STARTED = """
import sys
from bot.pictures import draw
assert not {"matplotlib", "PIL"} & {name.split(".")[0] for name in sys.modules}
from tests.bot.pictures.drawings import LEVEL
picture = draw(LEVEL)
assert "matplotlib.pyplot" not in sys.modules
sys.stdout.buffer.write(picture)
"""


def test_no_home_and_no_settings_of_the_operator_change_a_picture(tmp_path: Path) -> None:
    """And the library is imported with the first picture only."""
    (tmp_path / "home").write_text("a file where a folder should be")
    (tmp_path / "matplotlibrc").write_text("text.usetex: True\nsavefig.dpi: 50\nno such line\n")
    unset = ("MPLCONFIGDIR", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "MATPLOTLIBRC")
    environment = {key: value for key, value in os.environ.items() if key not in unset}
    environment |= {"HOME": str(tmp_path / "home"), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", STARTED],
        cwd=tmp_path, env=environment, capture_output=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.stderr == b""
    assert done.stdout == draw(LEVEL)
