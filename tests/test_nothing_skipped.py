"""CI leaves no test out: each way to skip one, or to let one fail, is a failure there."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

# What a test file says, and the reason that is given.
LEFT_OUT = {
    "call": ("def test_it():\n    pytest.skip('low tide')", "Skipped: low tide"),
    "mark": ("@pytest.mark.skip('no wind')\ndef test_it():\n    pass", "Skipped: no wind"),
    "fails": ("@pytest.mark.xfail(reason='fog')\ndef test_it():\n    assert 0", "fog"),
    "module": ("pytest.importorskip('no_such_module')", "could not import 'no_such_module'"),
}


@pytest.mark.parametrize(
    ("ci", "held"), [("1", True), pytest.param("true", True, marks=pytest.mark.long), ("", False)]
)
def test_what_is_left_out_fails_in_ci_with_the_reason(
    ci: str, held: bool, root: Path, tmp_path: Path
) -> None:
    shutil.copyfile(root / "conftest.py", tmp_path / "conftest.py")
    for name, (text, _) in LEFT_OUT.items():
        (tmp_path / f"test_{name}.py").write_text(f"import pytest\n\n{text}\n")
    (tmp_path / "test_runs.py").write_text("def test_it():\n    pass\n")
    done = subprocess.run(
        [
            *(sys.executable, "-m", "pytest", "-p", "no:nbval", "-p", "no:cacheprovider"),
            *("--continue-on-collection-errors", "."),
        ],
        cwd=tmp_path,
        env={**os.environ, "CI": ci},
        capture_output=True,
        text=True,
    )
    assert done.returncode == (pytest.ExitCode.TESTS_FAILED if held else pytest.ExitCode.OK)
    for name, (_, reason) in LEFT_OUT.items():
        told = f"CI leaves nothing out, and test_{name}.py" in done.stdout
        assert (told and reason in done.stdout) == held
