"""The lesson's own pictures: read, measured as another library writes them, and put everywhere."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from PIL import Image
from sheets import read, text_of

from harmonykit.errors import HarmonyError, Place
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import gather_handout
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Text
from harmonykit.lesson.plan.pictures import _place, in_folder, own_pictures, pixels
from harmonykit.lesson.script import write_script
from harmonykit.lesson.write import Writer


def _bytes(kind: str, size: tuple[int, int], **how: object) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", size, (200, 60, 30)).save(file, kind, **how)
    return file.getvalue()


@pytest.mark.parametrize("size", [(1, 1), (40, 25), (801, 1203)])
@pytest.mark.parametrize(
    ("kind", "how"),
    [
        ("PNG", {}), ("JPEG", {}), ("JPEG", {"progressive": True}),
        ("JPEG", {"comment": b"a hand"}), ("WEBP", {}), ("WEBP", {"lossless": True}),
        ("WEBP", {"exif": b"Exif\0\0MM\0*\0\0\0\b\0\0"}),
    ],
)  # fmt: skip
def test_its_pixels(kind: str, how: dict[str, object], size: tuple[int, int]) -> None:
    """As Pillow wrote it."""
    assert pixels(_bytes(kind, size, **how)) == size


def test_what_cannot_be_measured_is_refused() -> None:
    for data in (b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"RIFF0000WEBPVP8 ", b"GIF89a"):
        with pytest.raises(HarmonyError, match="damaged"):
            pixels(data)


TEXT = '![My hand at fret 5](photos/hand.png "50 mm")'


@pytest.fixture
def with_hand(lesson_path: Path) -> Path:
    (lesson_path.parent / "photos").mkdir()
    (lesson_path.parent / "photos" / "hand.png").write_bytes(_bytes("PNG", (400, 200)))
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace("## The tune", f"## How I hold it\n\n{TEXT}\n\n## The tune")
    lesson_path.write_text(text, encoding="utf-8")
    return lesson_path


def test_its_file_may_be_named_as_people_name_files(with_hand: Path) -> None:
    """CommonMark 0.31, "Links": a name with a space is one only between angle brackets."""
    (with_hand.parent / "photos" / "hand.png").rename(
        with_hand.parent / "photos" / "my hand (2).png"
    )
    text = with_hand.read_text(encoding="utf-8").replace("hand.png", "my hand (2).png")
    with_hand.write_text(text, encoding="utf-8")
    lesson = load_lesson(with_hand)
    assert '![My hand at fret 5](pictures/photos-my-hand-(2).png "50 mm")' in write_script(lesson)
    assert '<img alt="My hand at fret 5" src="data:image/png' in write_page(lesson)
    pages = read(gather_handout(lesson).pdf()).pages
    assert any("My hand at fret 5" in text_of(page) for page in pages)
    with_hand.write_text(text.replace("my hand (2).png", "my hat.png"), encoding="utf-8")
    with pytest.raises(HarmonyError, match=r"the picture 'photos/my hat.png' cannot be put in"):
        load_lesson(with_hand)


def test_it_stands_in_script_page_and_sheet(with_hand: Path, tmp_path: Path) -> None:
    lesson = load_lesson(with_hand)
    assert '![My hand at fret 5](pictures/photos-hand.png "50 mm")' in write_script(lesson)
    # 50 mm are 189 pixels of CSS, 96 to an inch of 25.4 mm.
    found = re.search(r'<img alt="([^"]*)" src="data:image/png;base64,[^"]+" width="(\d+)">',
                      write_page(lesson))  # fmt: skip
    assert found is not None and found.groups() == ("My hand at fret 5", "189")
    reader = read(gather_handout(lesson).pdf())
    (page,) = (page for page in reader.pages if "How I hold it" in text_of(page))
    assert any((image.image.size == (400, 200)) for image in page.images)
    assert "My hand at fret 5" in str(reader.trailer["/Root"]) or "fret 5" in text_of(page)
    folder = tmp_path / "built"
    folder.mkdir()
    writer = Writer(lesson, folder)
    dict(writer.tasks())["script"]()
    assert (folder / "pictures" / "photos-hand.png").read_bytes() == (
        with_hand.parent / "photos" / "hand.png"
    ).read_bytes()
    assert "pictures/photos-hand.png" in writer.made


def test_it_is_set_as_wide_as_is_asked(with_hand: Path) -> None:
    (one,) = own_pictures(TEXT, with_hand.parent)
    assert (one.width_mm, one.high_mm, one.alt) == (50, 25, "My hand at fret 5")
    (usual,) = own_pictures("![hand](photos/hand.png)", with_hand.parent)
    assert (usual.width_mm, usual.high_mm) == (60, 30)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("![x](foot.png)", "'foot.png' cannot be put in"),
        ("![x](../photos/hand.png)", "cannot be put in"),
        ('![x](photos/hand.png "4 mm")', "is 4 mm wide"),
        ('![x](photos/hand.png "200 mm")', "is 200 mm wide"),
    ],
)
def test_what_is_wrong_is_placed_in_the_text(with_hand: Path, text: str, said: str) -> None:
    whole = with_hand.read_text(encoding="utf-8").replace(TEXT, text)
    with_hand.write_text(whole, encoding="utf-8")
    with pytest.raises(HarmonyError) as wrong:
        load_lesson(with_hand)
    assert said in wrong.value.what and wrong.value.place is not None
    assert wrong.value.place.line == 1 + whole[: whole.index(text)].count("\n")
    # The caret stands under the picture's first sign; columns count from 1.
    line = whole.split("\n")[wrong.value.place.line - 1]
    assert wrong.value.place.column == 1 + line.index("![")


def test_a_picture_from_elsewhere_stays_where_it_is(tmp_path: Path) -> None:
    text = "![it](https://example.org/hand.png)"
    assert in_folder(text, tmp_path) == text and not list(own_pictures(text, tmp_path))


def test_an_error_that_names_no_picture_stands_at_the_first_line_of_its_text() -> None:
    path = Path("a.md")
    assert _place(Text("Hold it.\nThen go.", lines=(7, 8)), path, "too large") == Place("a.md", 7)
    assert _place(Text("Hold it."), path, "too large") == Place("a.md")
    text = Text("Hold it.\n![x](a%20b.png)", lines=(7, 8))
    assert _place(text, path, "'a b.png' is missing") == Place("a.md", 8, 1, "![x](a%20b.png)")
