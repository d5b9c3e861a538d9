"""Scripts, joined into one text and each as it is written; our fonts as CSS, whole within it."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

import harmonykit
from harmonykit.draw.base.web import COLOPHON, font_faces, join, names, script
from harmonykit.errors import HarmonyError
from harmonykit.paths import shared_dir

FOLDER = shared_dir() / "scripts"
SCRIPTS = sorted(FOLDER.rglob("*.js"))
# What the package asks for: views and pages are made of it, all else is there for one of them.
ENTRIES = sorted(
    {
        name
        for file in Path(harmonykit.__file__).parent.rglob("*.py")
        if file.name != "web.py"
        for name in re.findall(r'\bscript\("([^"]+)"\)', file.read_text("utf-8"))
    }
)
PAGES = ("essays/page.js", "page/page.js", "page/wall.js", "practice/page.js")
LONGEST = 25


def written(folder: Path, **modules: str) -> Path:
    for name, text in modules.items():
        (folder / f"{name}.js").write_text(text, encoding="utf-8")
    return folder / f"{next(iter(modules))}.js"


def test_each_module_comes_once_after_those_that_it_needs(tmp_path: Path) -> None:
    one = written(
        tmp_path,
        one='import { b } from "./two.js";\nimport { c } from "./three.js";\nb(c);\n',
        two='import { c } from "./three.js";\nexport function b() {}\n',
        three="export const c = 1;\nlet own = 2;\n",
    )
    assert join(one) == "const c = 1;\nlet own = 2;\nfunction b() {}\nb(c);\n"


def test_notes_on_types_are_left_out_and_no_code_with_them(tmp_path: Path) -> None:
    text = (
        "/**\n * About it.\n * @returns {void}\n */\nexport function a() {\n"
        "  /** @type {Element} */ (b).c();\n  /** @type {string[]} */\n  const d = [];\n}\n"
    )
    assert join(written(tmp_path, a=text)) == (
        "function a() {\n  /** @type {Element} */ (b).c();\n  const d = [];\n}\n"
    )


@pytest.mark.parametrize(
    ("modules", "said"),
    [
        ({"a": 'import { x } from "./b.js";\n'}, "the script b.js is missing"),
        ({"a": 'import { x, y } from "./b.js";\n', "b": "export const x = 1;\nconst y = 2;\n"},
         "a.js imports y, which b.js lacks"),
        ({"a": 'import { x } from "./b.js";\nconst y = 1;\n', "b": "export let x;\nclass y {}\n"},
         "y is defined in b.js and in a.js"),
        ({"a": 'import { x } from "./b.js";\nexport let y;\n',
          "b": 'import { y } from "./a.js";\nexport let x;\n'},
         "a.js needs itself, by way of b.js"),
    ],
)  # fmt: skip
def test_what_cannot_be_joined_is_said(tmp_path: Path, modules: dict[str, str], said: str) -> None:
    with pytest.raises(HarmonyError, match=re.escape(said)):
        join(written(tmp_path, **modules))


@pytest.mark.parametrize("entry", ENTRIES)
def test_what_is_joined_is_one_module_that_needs_no_other(entry: str) -> None:
    text = script(entry)
    assert not re.search(
        r"^import |^export (?!default)|import\(|https?://(?!www\.w3\.org)", text, re.M
    )
    assert text.count("export default { render };") == (entry not in PAGES)


def test_every_script_is_used_by_an_entry() -> None:
    assert set(PAGES) < set(ENTRIES)
    used = "".join(script(entry) for entry in ENTRIES)
    for path in SCRIPTS:
        text = path.read_text(encoding="utf-8")
        assert all(re.search(rf"\b{name}\b", used) for name in names(text)), path.name


def functions(text: str) -> Iterator[tuple[str, int]]:
    """Give the first line of each function or method, and how many lines it has.

    By the house style: it ends at the first closing brace that stands as far left as it begins.
    """
    lines = text.splitlines()
    for start, line in enumerate(lines):
        head = re.match(r"( *)(?:export )?(?:async |static |get )?(?:function )?(\w+)\(.*\{$", line)
        named = re.match(r"( *)(?:export )?const (\w+) = (?:async )?\(.*\) => \{$", line)
        found = named or (None if head and head[2] in ("if", "for", "while", "switch") else head)
        if found:
            end = next(n for n in range(start, len(lines)) if lines[n].startswith(f"{found[1]}}}"))
            yield found[2], end - start + 1


def test_lengths_are_counted_by_the_closing_brace() -> None:
    text = "function a() {\n  if (b) {\n    c();\n  }\n}\nclass D {\n  e(f) {\n  }\n}\n"
    assert list(functions(text)) == [("a", 5), ("e", 2)]


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.relative_to(FOLDER).as_posix())
def test_functions_can_be_read(path: Path) -> None:
    long = [each for each in functions(path.read_text("utf-8")) if each[1] > LONGEST]
    assert long == []


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.relative_to(FOLDER).as_posix())
def test_every_function_says_what_it_takes_and_gives(path: Path) -> None:
    """A note on types before each function and method that stands by itself."""
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("// ")
    for n, line in enumerate(lines):
        head = re.match(r"(?:export )?(?:async )?function (\w+)\((.*)\) \{$", line) or re.match(
            r"  (?:async |get )?(\w+)\((.*)\) \{$", line
        )
        plain = head and (head[1], head[2]) == ("constructor", "")
        if head and not plain and head[1] not in ("if", "for", "while", "switch", "catch"):
            assert lines[n - 1].strip().endswith("*/"), f"{path.name}:{n + 1} {line}"
            begin = max(k for k in range(n) if lines[k].strip().startswith("/**"))
            note = "\n".join(lines[begin:n])
            taken = note.count("@param")
            assert bool(taken) == bool(head[2]), f"{path.name}:{n + 1} {line}"


RULE = re.compile(
    r'@font-face\{font-family:"([^"]+)";font-weight:(\d+);font-style:(\w+);'
    r'src:url\(data:font/woff2;base64,([A-Za-z0-9+/=]+)\) format\("woff2"\)\}'
)


def test_each_rule_holds_the_font_that_it_names() -> None:
    found = RULE.findall(font_faces(italic=True))
    assert len(found) == 5
    for family, weight, style, data in found:
        font = TTFont(io.BytesIO(base64.b64decode(data)))
        assert font["name"].getBestFamilyName() == family
        assert font["OS/2"].usWeightClass == int(weight)
        assert bool(font["post"].italicAngle) == (style == "italic")


def test_the_fonts_makers_and_licence_are_said_in_a_comment() -> None:
    assert font_faces().startswith(f"/* Fonts: {COLOPHON} */\n")
    for part in ("Adobe", "Google", "SIL Open Font License 1.1"):
        assert part in COLOPHON
