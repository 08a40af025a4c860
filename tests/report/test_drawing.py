"""Drawings: what they hold, how they come out, and that a job's words stay words."""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pdf_pages import bookmarks, pages
from PIL import Image

import samples
import shadewright
from shadewright.report.pages.drawing import (
    FONTS,
    MOTIF,
    Drawing,
    Text,
    blank,
    printed_width,
    text_width,
)
from shadewright.report.pages.making_card import draw_cards
from shadewright.report.pages.picture import pictures_of
from shadewright.report.pages.rendering import PicturePart, dpi_of, pdf, png, png_pages, svg
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.wall_view import draw_wall
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import ON_EVERY_PAGE

SVG = "{http://www.w3.org/2000/svg}"
MARKUP = """</text><script>a&b</script> #panic("x") $x$ "q" 'a' ]]> \\u{41} %"""


def shown(drawing: Drawing, dpi: float = 100) -> Image.Image:
    (page,) = png_pages([drawing], dpi)
    assert page is not None
    return Image.open(BytesIO(page)).convert("RGB")


def inked(image: Image.Image) -> tuple[int, int, int, int]:
    """The box of all that is not white."""
    box = Image.eval(image.convert("L"), lambda light: 255 if light < 200 else 0).getbbox()
    assert box is not None
    return box


def test_a_rectangle_stands_where_it_is_put() -> None:
    """Inches from the lower left, dots from the upper left."""
    drawing = Drawing(4, 3)
    drawing.rectangle((0.5, 0.25), 2, 1, fill="#000000")
    assert inked(shown(drawing)) == (50, 175, 250, 275)
    assert shown(drawing).size == (400, 300)


def test_areas_lie_below_lines_and_text_above_all() -> None:
    drawing = Drawing(1, 1)
    drawing.text(0.5, 0.5, "█", 40, ha="center", color="#0000ff")
    drawing.line((0, 0.5), (1, 0.5), color="#00ff00", lw=20)
    drawing.rectangle((0, 0), 1, 1, fill="#ff0000")
    image = shown(drawing)
    places = (5, 5), (5, 50), (50, 50)
    assert [image.getpixel(at) for at in places] == [(255, 0, 0), (0, 255, 0), (0, 0, 255)]


def test_what_is_drawn_inside_a_rectangle_ends_at_its_edge() -> None:
    drawing = Drawing(2, 2)
    inside = drawing.rectangle((0.5, 0.5), 1, 1)
    drawing.shapes([((0, 0), (2, 0), (2, 2), (0, 2))], inside, "#000000", 1)
    assert inked(shown(drawing)) == (50, 50, 150, 150)


def test_opacity_lets_what_lies_below_through() -> None:
    drawing = Drawing(1, 1)
    drawing.rectangle((0, 0), 1, 1, fill="#ff0000")
    drawing.rectangle((0, 0), 1, 1, fill="#0000ff", alpha=0.5)
    assert shown(drawing).getpixel((50, 50)) == pytest.approx((128, 0, 128), abs=2)


@pytest.mark.parametrize(("hatch", "lines"), [("rising", 12), ("crossed", 24)])
def test_a_hatch_fills_its_rectangle_and_no_more(hatch: str, lines: int) -> None:
    """Lines lie 1/12 in apart, so an edge of an inch meets twelve of each direction."""
    drawing = Drawing(3, 3)
    drawing.rectangle((1, 1), 1, 1, edge="#000000", hatch=hatch)
    image = shown(drawing, 300)
    left, top, right, bottom = inked(image)
    assert (left, top) >= (298, 298)
    assert (right, bottom) <= (602, 602)
    # A quarter of a step beside where lines cross.
    row = [image.getpixel((x, 456)) < (170, 170, 170) for x in range(300, 600)]
    assert sum(now and not before for before, now in pairwise(row)) in (lines - 1, lines)


def test_dashes_leave_gaps() -> None:
    """Dashes count in thicknesses: 6 pt and 6 pt at 3 pt thick, over 72 pt."""
    drawing = Drawing(1, 1)
    drawing.line((0, 0.5), (1, 0.5), lw=3, dashes=(2, 2))
    image = shown(drawing, 144)
    dark = [image.getpixel((x, 72)) < (128, 128, 128) for x in range(144)]
    assert sum(a != b for a, b in pairwise(dark)) == 11


def test_a_double_arrow_has_a_head_at_each_end() -> None:
    drawing = Drawing(1, 3)
    drawing.double_arrow((0.5, 0.5), (0.5, 2.5), "#000000", 0.5)
    heads = [line.points for line in drawing.lines if len(line.points) == 3]
    tips = sorted(points[1][1] for points in heads)
    # Each tip is 2 pt short of its end; the heads are 4 pt long.
    assert tips == pytest.approx([0.5 + 2 / 72, 2.5 - 2 / 72])
    for one, tip, other in heads:
        assert one[1] == pytest.approx(other[1])
        assert abs(one[1] - tip[1]) == pytest.approx(4 / 72)
        assert 0.5 < one[1] < 2.5
        assert abs(one[0] - other[0]) == pytest.approx(4 / 72)


@pytest.mark.parametrize(
    ("ha", "upright"), [("left", False), ("center", False), ("right", False), ("center", True)]
)
@pytest.mark.parametrize("bold", [False, True])
def test_text_stands_in_its_box(ha: str, upright: bool, bold: bool) -> None:
    """What is printed fills the box that is reckoned for it, to two hundredths of an inch."""
    drawing = Drawing(4, 4)
    drawing.text(2, 2, "lap 12 x 34 lip", 12, ha=ha, upright=upright, bold=bold)
    left, bottom, right, top = drawing.texts[0].box
    found = [side / 200 for side in inked(shown(drawing, 200))]
    assert found == pytest.approx([left, 4 - top, right, 4 - bottom], abs=0.025)


def test_a_label_judged_to_fit_does_fit() -> None:
    for said in ("1   Lake bay 1, 1 of 3", '47 1/2" × 83"', "MMMM WWWW", "Größe ½ m", "日本の家"):
        for bold in (False, True):
            if said != "MMMM WWWW":
                assert printed_width(said, 8, bold=bold) <= text_width(said, 8, bold=bold)


def test_a_box_lies_behind_the_text_and_hides_what_is_below() -> None:
    drawing = Drawing(2, 1)
    drawing.line((0, 0.5), (2, 0.5), color="#ff0000", lw=2)
    drawing.text(1, 0.5, "i   i", 12, ha="center", behind="#ffffff")
    image = shown(drawing)
    assert image.getpixel((5, 50)) == (255, 0, 0)
    assert image.getpixel((100, 50)) == (255, 255, 255)


def test_words_of_a_job_are_never_markup() -> None:
    drawing = blank(1)
    drawing.text(0.2, 0.5, MARKUP, 8, behind="white")
    root = ElementTree.fromstring(svg([drawing]))
    assert [text.text for text in root.iter(f"{SVG}text")] == [MARKUP]
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {"svg", "rect", "text"}
    assert shown(drawing).size == (1000, 100)
    assert pdf([PicturePart(MARKUP, 1, [drawing])]).startswith(b"%PDF")


@pytest.mark.filterwarnings("error")
def test_any_script_is_drawn(capfd: pytest.CaptureFixture[str]) -> None:
    """What the type lacks comes out as boxes, without a word."""
    drawing = blank(1)
    drawing.text(0.2, 0.5, "日本 العربية עברית 🪟 ไทย \u200f x", 12, behind="white")
    assert inked(shown(drawing))
    assert pdf([PicturePart("日本", 1, [drawing])]).startswith(b"%PDF")
    assert capfd.readouterr() == ("", "")


def test_the_type_travels_with_the_package() -> None:
    package = Path(shadewright.__file__).parent
    assert package in FONTS.parents
    assert {file.name for file in FONTS.iterdir()} == {
        "DejaVuSans.ttf",
        "DejaVuSans-Bold.ttf",
        "LICENSE_DEJAVU.txt",
    }
    text = Text((0, 0), "W", 72, "left", "#000000", False, False, None)
    # DejaVu Sans: 2025 of 2048 units.
    assert text.box[2] == pytest.approx(2025 / 2048, abs=0.005)


def test_one_picture_holds_drawings_one_below_the_other() -> None:
    first, second = Drawing(2, 1), Drawing(2, 1.5)
    first.rectangle((0, 0), 1, 1, fill="#ff0000")
    second.rectangle((0, 0), 1, 1.5, fill="#0000ff")
    for drawing in (first, second):
        drawing.shapes([((0, 0), (1, 1), (0, 1))], drawing.rectangle((0, 0), 1, 1), MOTIF, 1)
    root = ElementTree.fromstring(svg([first, second]))
    assert root.get("viewBox") == "0 0 144 180"
    names = [clip.get("id") for clip in root.iter(f"{SVG}clipPath")]
    assert len(set(names)) == len(names) == 2


def test_a_png_holds_one_drawing_fit_to_be_printed() -> None:
    first, second = Drawing(2, 1), Drawing(2, 1.5)
    second.rectangle((0, 0), 2, 1.5, fill="#0000ff")
    images = [Image.open(BytesIO(page)) for page in png([first, second])]
    assert [image.size for image in images] == [(300, 150), (300, 225)]
    assert images[1].convert("RGB").getpixel((150, 100)) == (0, 0, 255)


def test_very_many_pages_are_rendered_less_finely() -> None:
    page = Drawing(10, 6)
    assert dpi_of([page] * 20) == 150
    for number in (200, 2000):
        dpi = dpi_of([page] * number)
        assert 59_000_000 < dpi**2 * 60 * number < 61_000_000


def test_a_part_without_drawings_is_named_where_the_next_one_begins() -> None:
    card = Drawing(2, 1)
    parts = [PicturePart("Cards", 1, []), PicturePart("Bay $x$", 2, [card, card])]
    held = pdf(parts)
    assert sorted(filter(None, bookmarks(held))) == ["Bay $x$", "Cards"]
    assert len(pages(held)) == 2


@pytest.mark.slow
def test_pictures_come_a_page_a_file_and_all_in_one_pdf() -> None:
    account = Account(*samples.mixed())
    drawings = [
        *draw_roll(account, ON_EVERY_PAGE),
        *draw_wall(account, ON_EVERY_PAGE),
        *draw_cards(account),
    ]
    # Each page that goes to people has its cautions.
    for drawing in drawings:
        assert any("strangle" in text.said for text in drawing.texts)
        assert all(text.box[1] >= 0 and text.box[2] <= drawing.width for text in drawing.texts)
    drawn = pictures_of(account, ".svg")
    assert [part.decode() for part in drawn] == [svg([drawing]) for drawing in drawings]
    (whole,) = pictures_of(account, ".PDF")
    assert len(pages(whole)) == len(drawings)
    wanted = {"Roll map", "Wall view", "Making cards", *(card.called for card in account.cards)}
    assert set(bookmarks(whole)) >= wanted
