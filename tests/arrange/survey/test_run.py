"""Surveys from start to table: the same rows everywhere, killed and resumed, bad files and all."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import subprocess
import sys
import zipfile
from pathlib import Path

import psutil
import pytest
from made_tunes import made_tune, write_tunes
from waiting import LIMIT, until

from harmonykit.arrange.survey import engine
from harmonykit.arrange.survey.cells import read
from harmonykit.arrange.survey.run import Work, survey
from harmonykit.arrange.survey.table import read_survey
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import write_tune
from harmonykit.score.lead import lead_score
from harmonykit.score.musicxml_out import write_musicxml

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
# Tunes of eight bars, in major and minor, in three metres.
SEEDS = (3, 9, 11, 37)
TUNES = len(SEEDS)
# The tonics of most surveys here, and as the command has them.
TONICS, KEYS = [0, 9], "C,A"


@pytest.fixture(scope="module")
def tunes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tunes")
    write_tunes(folder, SEEDS)
    return folder


@pytest.fixture(scope="module")
def undisturbed(tunes: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a survey that one process did in one go."""
    return survey(
        [tunes], tmp_path_factory.mktemp("one") / "s", [UKULELE, GUITAR], levels=[1], tonics=TONICS
    )


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file of a survey by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def parts(folder: Path) -> dict[str, int]:
    """Return when each part was written."""
    return {path.name: path.stat().st_mtime_ns for path in (folder / "parts").glob("*.csv")}


def test_a_row_for_each_tune_key_instrument_and_level(undisturbed: Path) -> None:
    table = read_survey(undisturbed)
    assert len(table) == TUNES * len(TONICS) * 2
    assert len(parts(undisturbed)) == TUNES * 2
    for seed, rows in zip(SEEDS, table.groupby("file", sort=False), strict=True):
        tune = made_tune(seed)
        assert set(rows[1]["title"]) == {tune.title}
        assert set(rows[1]["written"]) == {str(tune.key)}
        assert all(name.endswith(tune.key.mode) for name in rows[1]["key"])
        assert rows[1].groupby("instrument")["key"].nunique().to_dict() == {
            "guitar": len(TONICS),
            "ukulele": len(TONICS),
        }
    assert (table["error"] == "").all()


def test_two_processes_give_the_same_bytes(tunes: Path, undisturbed: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    survey(
        [tunes],
        tmp_path / "s",
        [UKULELE, GUITAR],
        levels=[1],
        tonics=TONICS,
        work=Work(workers=2, progress=lambda *news: told.append(news)),
    )
    assert contents(tmp_path / "s") == contents(undisturbed)
    assert told == [(done, TUNES * 2) for done in range(TUNES * 2 + 1)]


def test_a_cluster_gives_the_same_bytes(
    tunes: Path, undisturbed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import dask
    from distributed import LocalCluster

    # A cluster on a busy machine answers late.
    monkeypatch.setattr(engine, "_PATIENCE", LIMIT)
    times = {f"distributed.comm.timeouts.{kind}": LIMIT for kind in ("connect", "tcp")}
    with (
        dask.config.set(times),
        LocalCluster(
            n_workers=1, threads_per_worker=2, dashboard_address="127.0.0.1:0", silence_logs=40
        ) as cluster,
    ):
        survey(
            [tunes],
            tmp_path / "s",
            [UKULELE, GUITAR],
            levels=[1],
            tonics=TONICS,
            work=Work(scheduler=cluster.scheduler_address),
        )
    assert contents(tmp_path / "s") == contents(undisturbed)


# A survey that stops at its sixth part until it is interrupted: it cannot end unseen.
HOLDS = """
import os
from contextlib import contextmanager
from importlib import import_module
survey = import_module("harmonykit.cli.survey")

got, sent = os.pipe()
os.set_blocking(sent, False)
signal.set_wakeup_fd(sent)

@contextmanager
def bar():
    yield lambda done, total: done < 6 or os.read(got, 1)

survey._bar = bar
"""


def begin(tunes: Path, out: Path, workers: int = 2, more: str = "") -> subprocess.Popen[str]:
    """Start a survey by the command, in a session of its own, after some lines of a script."""
    script = (
        # What is started in the background inherits that Ctrl-C is ignored.
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        f"{more}\n"
        "from harmonykit.cli import main; main()"
    )
    wanted = [
        "survey",
        str(tunes),
        "--out",
        str(out),
        "--instruments",
        "ukulele,guitar",
        "--levels",
        "1",
        "--keys",
        KEYS,
        "--workers",
        str(workers),
    ]
    return subprocess.Popen(
        [sys.executable, "-c", script, *wanted],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        cwd=Path(__file__).resolve().parents[3],
    )


def await_parts(out: Path, count: int, child: subprocess.Popen[str]) -> None:
    """Wait until so many parts are written, or the survey has ended."""
    until(lambda: len(parts(out)) >= count or child.poll() is not None, f"{count} parts")


KILLS = [2, pytest.param(10, marks=pytest.mark.long)]


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
@pytest.mark.parametrize("kills", KILLS)
def test_killed_it_goes_on_where_it_was(
    kills: int, tunes: Path, undisturbed: Path, tmp_path: Path
) -> None:
    """Killed again and again, before a part and after one: the same bytes, none written twice."""
    out, written = tmp_path / "s", dict[str, int]()
    for number in range(kills):
        wanted = len(written) + number % 2
        with begin(tunes, out) as child:
            await_parts(out, wanted, child)
            workers = psutil.Process(child.pid).children(recursive=True)
            child.send_signal(signal.SIGKILL)
        psutil.wait_procs(workers, timeout=LIMIT)
        assert not [worker for worker in workers if worker.is_running()]
        assert written.items() <= parts(out).items()
        written = parts(out)
    with begin(tunes, out) as child:
        said, _ = child.communicate(timeout=LIMIT)
    assert child.returncode == 0 and f"{TUNES} tunes" in said
    assert written.items() <= parts(out).items()
    assert contents(out) == contents(undisturbed)


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
@pytest.mark.parametrize("workers", [pytest.param(1, marks=pytest.mark.long), 2])
def test_ctrl_c_ends_soon_and_says_how_to_go_on(
    workers: int, tunes: Path, undisturbed: Path, tmp_path: Path
) -> None:
    out = tmp_path / "s"
    with begin(tunes, out, workers, HOLDS) as child:
        await_parts(out, 2, child)
        below = psutil.Process(child.pid).children(recursive=True)
        # A terminal sends it to all of them.
        os.killpg(child.pid, signal.SIGINT)
        said, message = child.communicate(timeout=LIMIT)
    assert (child.returncode, said) == (130, "")
    assert "Traceback" not in message
    assert message.strip().endswith("run the same command again to continue")
    psutil.wait_procs(below, timeout=LIMIT)
    assert not [process for process in below if process.is_running()]
    with pytest.raises(HarmonyError, match="is not finished"):
        read_survey(out)
    before = parts(out)
    assert 2 <= len(before) < TUNES * 2
    survey([tunes], out, [UKULELE, GUITAR], levels=[1], tonics=TONICS)
    assert before.items() <= parts(out).items()
    assert contents(out) == contents(undisturbed)


def test_what_progress_raises_ends_it(tunes: Path, tmp_path: Path) -> None:
    def stop(done: int, total: int) -> None:
        if done == 3:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        survey([tunes], tmp_path / "s", [UKULELE], levels=[1], tonics=[0], work=Work(progress=stop))
    assert len(parts(tmp_path / "s")) == 3


def test_what_was_done_is_not_done_again_for_more(tunes: Path, tmp_path: Path) -> None:
    out = tmp_path / "s"
    survey([tunes], out, [UKULELE], levels=[1], tonics=[0])
    before = parts(out)
    survey([tunes], out, [UKULELE], levels=[1, 2], tonics=[0])
    assert before.items() <= parts(out).items()
    assert len(read_survey(out)) == TUNES * 2
    survey([tunes], out, [UKULELE], levels=[1], tonics=[0])
    assert len(read_survey(out)) == TUNES and len(parts(out)) == TUNES * 2


def test_the_same_file_twice_is_done_once(tunes: Path, tmp_path: Path) -> None:
    one = tunes / "made_0003.toml"
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / one.name).write_bytes(one.read_bytes())
    out = survey([tmp_path / "a", tmp_path / "b"], tmp_path / "s", [UKULELE], levels=[1])
    table = read_survey(out)
    assert len(parts(out)) == 1 and len(table) == 24 and table["file"].nunique() == 2
    left, right = (rows.drop(columns="file") for _, rows in table.groupby("file"))
    assert left.reset_index(drop=True).equals(right.reset_index(drop=True))


BOOK = (
    'T:Book\n\nX:1\nT:Bollard\nM:4/4\nL:1/4\nK:C\n"C"C4|"G7"D4|"C"C4|\n\n'
    "X:2\nT:Bare\nM:4/4\nL:1/4\nK:C\nC4|D4|\n\n"
    'X:2\nT:Cleat\nM:3/4\nL:1/4\nK:Am\n"Am"A3|"E7"B3|"Am"A3|\n'
)
LAUGHS = (
    '<?xml version="1.0"?><!DOCTYPE s [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
    "<score-partwise>&b;</score-partwise>"
)


@pytest.fixture(scope="module")
def rough(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with good files and bad ones."""
    folder = tmp_path_factory.mktemp("rough")
    good = find_data("tunes", "slack_water_waltz").read_bytes()
    (folder / "good.toml").write_bytes(good)
    (folder / "book.abc").write_text(BOOK)
    (folder / "score.musicxml").write_text(write_musicxml(lead_score(made_tune(3))))
    for name in ("empty.toml", "empty.abc", "empty.mxl", "empty.xml"):
        (folder / name).write_bytes(b"")
    (folder / "laughs.xml").write_text(LAUGHS)
    (folder / "noise.mxl").write_bytes(random.Random(1).randbytes(5000))
    (folder / "noise.toml").write_bytes(random.Random(2).randbytes(5000))
    (folder / "huge.abc").write_bytes(b"X" * 4_000_001)
    (folder / "gone.toml").symlink_to(folder / "nothing.toml")
    (folder / "other.toml").write_text('[project]\nname = "harmonykit"\n')
    (folder / "README.md").write_text("no tune")
    with zipfile.ZipFile(folder / "bomb.mxl", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("score.xml", b" " * 20_000_000)
    return folder


@pytest.mark.slow
def test_good_bad_empty_and_hostile_files(rough: Path, tmp_path: Path) -> None:
    out = survey([rough], tmp_path / "s", [UKULELE], levels=[1], tonics=[0, 7])
    table = read_survey(out)
    rows = {
        (Path(file).name, title): (len(group), group["error"].iloc[0])
        for (file, title), group in table.groupby(["file", "title"], sort=False)
    }
    good = {found[0]: found[1] for found, (_, error) in rows.items() if not error}
    assert {name for name, _ in rows if rows[name, _][1] == ""} == set(good)
    assert set(good) == {"good.toml", "book.abc", "score.musicxml"}
    assert [rows["book.abc", title][0] for title in ("Bollard", "Bare", "Cleat")] == [2, 1, 2]
    assert rows["book.abc", "Bare"][1].startswith("the tune has no chords")
    said = {
        "empty.toml": "format",
        "empty.abc": "no music",
        "empty.mxl": "not XML",
        "empty.xml": "not XML",
        "other.toml": "its format",
        "bomb.mxl": "too large",
        "laughs.xml": "EntitiesForbidden",
        "noise.mxl": "not XML",
        "noise.toml": "not a text file",
        "huge.abc": "too large",
        "gone.toml": "missing file",
    }
    bad = {name: error for (name, _), (count, error) in rows.items() if error and count == 1}
    assert set(bad) == {*said, "book.abc"}
    assert {name: word for name, word in said.items() if word not in bad[name]} == {}
    cleat = table[table["title"] == "Cleat"]
    assert list(cleat["key"]) == ["C minor", "G minor"] and set(cleat["number"]) == {2}


def test_bad_files_are_read_once_and_again_when_asked(rough: Path, tmp_path: Path) -> None:
    out, paths = tmp_path / "s", [rough / "noise.toml", rough / "other.toml", rough / "good.toml"]
    for retry, again in ((False, False), (False, False), (True, True)):
        before = parts(out)
        survey(paths, out, [UKULELE], levels=[1], tonics=[0], work=Work(retry=retry))
        changed = {name for name, at in before.items() if parts(out)[name] != at}
        assert len(changed) == (2 if again else 0)
    assert len(parts(out)) == 3


def test_a_file_that_changes_is_done_again_and_no_other(tunes: Path, tmp_path: Path) -> None:
    folder, out = tmp_path / "t", tmp_path / "s"
    paths = write_tunes(folder, SEEDS[:3])
    survey([folder], out, [UKULELE], levels=[1], tonics=[0])
    before = parts(out)
    write_tune(made_tune(51), paths[1])
    survey([folder], out, [UKULELE], levels=[1], tonics=[0])
    assert before.items() <= parts(out).items() and len(parts(out)) == 4
    assert made_tune(51).title in set(read_survey(out)["title"])


def test_a_worker_that_is_killed_ends_it_with_a_word(tunes: Path, tmp_path: Path) -> None:
    before = set(multiprocessing.active_children())

    def kill(done: int, total: int) -> None:
        if done == 1:
            worker = min(set(multiprocessing.active_children()) - before, key=lambda p: p.pid or 0)
            worker.kill()

    with pytest.raises(HarmonyError, match=r"(?s)a worker stopped.*again to continue"):
        survey(
            [tunes],
            tmp_path / "s",
            [UKULELE, GUITAR],
            levels=[1],
            tonics=TONICS,
            work=Work(workers=2, progress=kill),
        )


def test_no_tune_and_nobodys_folder(tmp_path: Path, tunes: Path) -> None:
    with pytest.raises(HarmonyError, match="the tune is missing"):
        survey([tmp_path], tmp_path / "s", [UKULELE])
    assert not (tmp_path / "s").exists()
    (tmp_path / "poem.txt").write_text("mine")
    with pytest.raises(HarmonyError, match="holds something other than a"):
        survey([tunes], tmp_path, [UKULELE])
    assert [path.name for path in tmp_path.iterdir()] == ["poem.txt"]


def test_reading_never_raises() -> None:
    """What no file should bring about is a sentence as well."""
    assert "not a tune file" in str(read("x", b""))
    assert isinstance(read("x.toml", b"\xff"), str)
