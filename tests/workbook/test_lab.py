"""JupyterLab for tests: begun anew where it ended by itself, killed where it does not end."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest
from lab_in_browser import running


def test_a_server_that_ended_is_begun_anew_and_told(tmp_path: Path, root: Path) -> None:
    with running(tmp_path / "lab", root) as lab:
        first = lab.server
        assert first is not None and lab.runs()
        lab.mend()
        assert lab.server is first
        first.send_signal(signal.SIGKILL)
        first.wait()
        with pytest.warns(UserWarning, match=r"JupyterLab begun anew \(-9\)"):
            lab.mend()
        assert lab.runs() and lab.server is not first
        # Its port answers another token as little as no server at all.
        lab.token = "another"
        assert not lab.runs()


def test_a_server_that_does_not_end_when_asked_is_killed_and_told(
    tmp_path: Path, root: Path
) -> None:
    with running(tmp_path / "lab", root) as lab:
        server = lab.server
        assert server is not None
        server.send_signal(signal.SIGSTOP)
        with pytest.warns(UserWarning, match="did not end when asked to, and was killed"):
            lab.end(patience=0.1)
        assert server.returncode == -signal.SIGKILL
