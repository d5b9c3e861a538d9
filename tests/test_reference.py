"""The reference: every public name is on it, as it is typed, and nothing that is not offered."""

from __future__ import annotations

import inspect
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType

import pytest

import harmonykit as hk

ROOT = Path(__file__).resolve().parents[1]
FLOORS = [name for name in hk.__all__ if isinstance(getattr(hk, name), ModuleType)]
PAGES = {"hk": hk, **{f"hk/{name}": getattr(hk, name) for name in FLOORS}}


class Read(HTMLParser):
    """The ids, the links and the text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.ids: set[str] = set()
        self.sections: set[str] = set()
        self.links: set[str] = set()
        self.words: list[str] = []
        self.feed(page)
        self.text = " ".join("".join(self.words).split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.ids.add(found.get("id") or "")
        if tag == "section" and found.get("id"):
            self.sections.add(str(found["id"]))
        if tag == "a" and found.get("href"):
            self.links.add(str(found["href"]))

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def letters(text: str) -> str:
    return re.sub(r"\W", "", text)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("made") / "reference"
    script = [sys.executable, str(ROOT / "shared" / "run_tests.py"), "reference", str(out)]
    said = subprocess.run(script, capture_output=True, text=True, check=True)
    assert said.stdout.startswith(str(out / "index.html"))
    return out


@pytest.fixture(scope="module")
def pages(folder: Path) -> dict[str, Read]:
    read = {name: (folder / f"{name}.html").read_text(encoding="utf-8") for name in PAGES}
    return {name: Read(page) for name, page in read.items()}


def test_there_is_a_page_for_each_floor_and_no_other(folder: Path) -> None:
    made = {path.relative_to(folder).with_suffix("").as_posix() for path in folder.rglob("*.html")}
    assert made == {"index", *PAGES}


@pytest.mark.parametrize("page", PAGES)
def test_every_public_name_is_there_and_no_other(page: str, pages: dict[str, Read]) -> None:
    names = {name for name in PAGES[page].__all__ if name not in FLOORS}
    assert pages[page].sections == names
    assert not [each for each in pages[page].ids if re.search(r"\._(?!_init)", each)]
    for name in FLOORS:
        assert any(link.endswith(f"{name}.html") for link in pages[page].links)


@pytest.mark.parametrize("page", PAGES)
def test_each_name_has_its_signature_and_what_is_said_of_it(
    page: str, pages: dict[str, Read]
) -> None:
    for name in PAGES[page].__all__:
        value = getattr(PAGES[page], name)
        if inspect.isfunction(value):
            first = next(iter(inspect.signature(value).parameters), "")
            assert re.search(rf"\bdef\s+{name}\s*\(\W*{first}", pages[page].text), name
        if inspect.isfunction(value) or inspect.isclass(value):
            said = " ".join((inspect.getdoc(value) or "").partition("\n\n")[0].split())
            assert letters(said) in letters(pages[page].text), name


@pytest.mark.parametrize("page", PAGES)
def test_names_are_shown_as_they_are_typed(page: str, pages: dict[str, Read]) -> None:
    # Where something is defined is of no use to who reads: no path into the package.
    assert re.findall(r"harmonykit(?:\.\w+)+", pages[page].text) == []


def test_links_lead_somewhere(folder: Path, pages: dict[str, Read]) -> None:
    for name, page in pages.items():
        for link in page.links:
            path, _, part = link.partition("#")
            if path.startswith("https:"):
                continue
            here = folder / f"{name}.html"
            there = (here.parent / path).resolve() if path else here
            found = pages[there.relative_to(folder).with_suffix("").as_posix()]
            assert not part or part in found.ids, link


def test_a_folder_of_the_users_is_left_alone(tmp_path: Path) -> None:
    kept = tmp_path / "mine.txt"
    kept.write_text("mine", encoding="utf-8")
    script = [sys.executable, str(ROOT / "shared" / "reference.py"), str(tmp_path)]
    said = subprocess.run(script, capture_output=True, text=True, check=False)
    assert said.returncode == 1 and "Traceback" not in said.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
