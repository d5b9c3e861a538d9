"""An installed wheel carries all that it needs: it works from any folder, without the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
LESSON = "stiff_dominant"

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel and unpack it into a folder of its own."""
    top = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "-qq"]
    subprocess.run([*pip, "wheel", "--no-deps", "-w", str(top), str(ROOT)], check=True)
    (wheel,) = top.glob("harmonykit-*.whl")
    subprocess.run([*pip, "install", "--no-deps", "-t", str(top / "site"), str(wheel)], check=True)
    return top / "site"


def run(site: Path, folder: Path, *command: str) -> str:
    """Run Python in another folder, with the wheel before the checkout; return what it prints."""
    done = subprocess.run(
        [sys.executable, "-P", *command],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(site)},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


def test_it_uses_the_copies_inside_it(site: Path, tmp_path: Path) -> None:
    script = (
        "import harmonykit.paths as p\n"
        "for f in (p.data_dir(), p.shared_dir(), p.notebooks_dir()): print(f)"
    )
    found = run(site, tmp_path, "-c", script).splitlines()
    assert found == [
        str(site / "harmonykit" / f"_{name}") for name in ("data", "shared", "notebooks")
    ]


def test_it_carries_every_shipped_file(site: Path) -> None:
    listed = subprocess.run(
        ["git", "ls-files", "data", "notebooks", "shared"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    for name in listed.stdout.splitlines():
        assert (site / "harmonykit" / f"_{name}").read_bytes() == (ROOT / name).read_bytes()


def test_it_builds_the_same_lesson_as_the_checkout(site: Path, tmp_path: Path) -> None:
    command = ("-m", "harmonykit", "lesson", LESSON, "--out")
    run(site, tmp_path, *command, "installed")
    run(ROOT, tmp_path, *command, "checked_out")
    made, expected = (
        {p.relative_to(top): p.read_bytes() for p in top.rglob("*") if p.is_file()}
        for top in (tmp_path / "installed", tmp_path / "checked_out")
    )
    assert made.keys() == expected.keys()
    assert made == expected
