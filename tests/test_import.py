"""``import harmonykit`` is light, and every public name is reached from it."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import IPython
import pytest

import harmonykit as hk
from harmonykit.public import offered

ROOT = Path(__file__).resolve().parents[1]
FLOORS = {name: value for name in hk.__all__ if isinstance(value := getattr(hk, name), ModuleType)}
PACKAGES = {"hk": hk, **{f"hk.{name}": floor for name, floor in FLOORS.items()}}
NAMES = [(package, name) for package, module in PACKAGES.items() for name in module.__all__]


def run(script: str) -> str:
    return subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout


def test_importing_loads_the_standard_library_alone() -> None:
    script = (
        "import sys; before = set(sys.modules); import harmonykit as hk; {}"
        "print(*sorted({{n.partition('.')[0] for n in set(sys.modules) - before}}))"
    )
    # Also where a floor is only looked into, as tab completion does.
    for look in ("", "dir(hk); dir(hk.draw); dir(hk.workbook); dir(hk.survey);"):
        loaded = set(run(script.format(look)).split())
        assert "harmonykit" in loaded
        assert loaded - {"harmonykit"} <= sys.stdlib_module_names


def test_a_silent_lesson_loads_no_library_of_panels_recordings_or_files_of_music() -> None:
    loads = "import sys, harmonykit.cli.lesson, harmonykit.lesson.build; print(*sys.modules)"
    heavy = {"IPython", "anywidget", "ipywidgets", "mido", "music21", "pandas", "scipy"}
    heavy |= {"distributed", "pyarrow", "soundfile", "typst", "verovio"}
    modules = set(run(loads).split())
    loaded = {name.partition(".")[0] for name in modules}
    assert "harmonykit" in loaded
    assert not loaded & heavy
    # Nor what reads messages, which is the half of its own that takes longest to load.
    assert not modules & {"harmonykit.score.typed", "harmonykit.tune.text.pasted.message"}


@pytest.mark.parametrize(("package", "name"), NAMES)
def test_a_public_name_is_reached_and_says_what_it_is(package: str, name: str) -> None:
    value = getattr(PACKAGES[package], name)
    if inspect.isclass(value) or inspect.isfunction(value):
        assert value.__module__.startswith("harmonykit.")
        assert not value.__name__.startswith("_")
        assert value.__doc__


@pytest.mark.parametrize(("package", "name"), NAMES)
def test_help_shows_short_types(package: str, name: str) -> None:
    # "chord: 'Chord | str'" and not "chord: harmonykit.theory.chord.Chord | str".
    value = getattr(PACKAGES[package], name)
    parts = dict(inspect.getmembers(value)) if inspect.isclass(value) else {name: value}
    for part, each in parts.items():
        if inspect.isfunction(each) and (part == "__init__" or part[0] != "_"):
            assert "harmonykit." not in str(inspect.signature(each)), part


@pytest.mark.parametrize("package", PACKAGES)
def test_dir_lists_the_public_names_and_no_others(package: str) -> None:
    module = PACKAGES[package]
    assert dir(module) == sorted(module.__all__)
    assert len(set(module.__all__)) == len(module.__all__)


def test_no_module_hides_a_public_name() -> None:
    for package in PACKAGES.values():
        folder = Path(package.__path__[0])
        modules = {path.stem for path in folder.iterdir() if path.suffix in (".py", "")}
        assert not modules & {name for name in package.__all__ if name not in FLOORS}


def test_every_name_is_found_first_in_a_process_of_its_own() -> None:
    # Nothing depends on the order in which names are asked for: here, the last first.
    script = (
        "import harmonykit as hk\n"
        "for name in reversed(hk.__all__):\n"
        "    value = getattr(hk, name)\n"
        "    for inner in reversed(getattr(value, '__all__', [])):\n"
        "        print(name, inner, type(getattr(value, inner)).__name__)\n"
    )
    found = {tuple(line.split()[:2]): line.split()[2] for line in run(script).splitlines()}
    assert set(found) == {(floor, name) for floor in FLOORS for name in FLOORS[floor].__all__}
    assert "module" not in found.values()


@pytest.mark.parametrize(
    ("look", "said"),
    [
        (lambda: hk.Kord, "'harmonykit' has no attribute 'Kord'"),
        (lambda: hk.find_voicing, "no attribute 'find_voicing'; similar: find_voicings"),
        (lambda: hk.chord_scale, "it is now called scale_of_chords"),
        (lambda: hk.scales, "similar: .*scales_for, scales_holding"),
        (lambda: hk.clock, "similar: hk.draw.clock"),
        (lambda: hk.draw.chord, "similar: hk.chord"),
        (lambda: hk.transpose, r"similar: .*Chord\.transpose"),
        (lambda: hk.draw.clok, "'harmonykit.draw' has no attribute 'clok'; similar: clock"),
    ],
)
def test_an_unknown_name_is_an_attribute_error(look: object, said: str) -> None:
    with pytest.raises(AttributeError, match=said):
        look()  # type: ignore[operator]


def test_a_name_that_is_listed_in_one_place_alone_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "lacking" / "__init__.py"
    package.parent.mkdir()
    imports = "from typing import TYPE_CHECKING\n\nif TYPE_CHECKING:\n    from math import {}\n"
    for imported, name in (("tau", "pi"), ("pi, tau", "pi")):
        text = f'"""Lacks."""\n\n{imports.format(imported)}\n__all__ = ["{name}"]\n'
        package.write_text(text, encoding="utf-8")
        ruff = [sys.executable, "-m", "ruff", "check", "--isolated", "--select=F", str(package)]
        assert subprocess.run(ruff, capture_output=True, check=False).returncode == 1
    monkeypatch.syspath_prepend(str(tmp_path))
    lacking = __import__("lacking")
    get, names = offered("lacking", renamed={"tau": "tauus"})
    assert (get("pi"), names()) == (lacking.pi, ["pi"])
    with pytest.raises(AttributeError, match="now called tauus"):
        get("tau")


@pytest.mark.parametrize("package", ["hk", "hk.draw", "hk.workbook", "hk.theory"])
@pytest.mark.parametrize("static", [True, False])
def test_tab_completion_offers_the_public_names(package: str, static: bool) -> None:
    shell = IPython.core.interactiveshell.InteractiveShell()
    shell.user_ns["hk"] = hk
    shell.Completer.use_jedi = static
    text = f"{package}."
    with IPython.core.completer.provisionalcompleter():
        offers = {each.text.lstrip(".") for each in shell.Completer.completions(text, len(text))}
    offers = {each for each in offers if not each.startswith("_")}
    assert offers == set(PACKAGES[package].__all__)
