"""The child process that reads a foreign file: bytes in, plain data out, within limits.

``python -m harmonykit.score.child SUFFIX SECONDS [NUMBER]`` loads music21 where ABC or MIDI needs
it, takes its limits of memory and of processor time, says ``ready``, reads the file from standard
input and writes one JSON object: ``{"score": ...}`` or ``{"error": {"what", "rule", "mend"}}``.
music21 is handed text, never a path, so that nothing is opened and nothing is cached.
"""

import io
import json
import math
import sys
import zipfile
import zlib
from typing import Any
from xml.etree.ElementTree import Element, ParseError

from harmonykit.score.abc_lines import AbcTune, split_tunes
from harmonykit.tune.bar import TuneError

READY = b"ready\n"
MEMORY_BYTES = 2 * 1024**3
MOST_MEMBERS = 100
MOST_MEMBER_BYTES = 16_000_000
MOST_LISTED = 30
_MIDI = (".mid", ".midi")


def main(arguments: list[str]) -> None:
    """Read one file from standard input; see the module."""
    out, sys.stdout = sys.stdout, sys.stderr
    if arguments[0] == ".abc":
        import music21.abcFormat
    elif arguments[0] in _MIDI:
        import music21.midi  # noqa: F401
    limit(float(arguments[1]))
    out.buffer.write(READY)
    out.buffer.flush()
    data = sys.stdin.buffer.read()
    number = int(arguments[2]) if len(arguments) > 2 else None
    out.buffer.write(json.dumps(answer(data, arguments[0], number)).encode())
    out.buffer.flush()


def answer(data: bytes, suffix: str, number: int | None) -> dict[str, Any]:
    """Return the score of a file as plain data, or the error that says why there is none."""
    try:
        return {"score": _read(data, suffix, number)}
    except TuneError as error:
        return {"error": {"what": error.what, "rule": error.rule, "mend": error.mend}}
    except (MemoryError, RecursionError):
        return {"error": {"what": "the file is too large or nests too deeply"}}
    except Exception as error:  # noqa: BLE001  whatever a broken file makes its reader raise
        reader = "music21" if suffix in (".abc", *_MIDI) else "the MusicXML reader"
        said = f"{reader} cannot read it: {type(error).__name__}: {error}"
        return {"error": {"what": said[:300]}}


def limit(seconds: float) -> None:
    """Limit this process's memory, and the processor time that it may use from now on.

    The system counts the time, in whole seconds, and ends a process that uses it up: whatever else
    the machine does meanwhile takes nothing from it.  Where there are no such limits the parent's
    deadline holds.
    """
    try:
        import resource
    except ImportError:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    until = math.ceil(used.ru_utime + used.ru_stime + seconds)
    for kind, soft in ((resource.RLIMIT_AS, MEMORY_BYTES), (resource.RLIMIT_CPU, until)):
        try:
            _, most = resource.getrlimit(kind)
            resource.setrlimit(kind, (soft, most))
        except (ValueError, OSError):
            pass  # Not every system has each of them.


def _read(data: bytes, suffix: str, number: int | None) -> dict[str, Any]:
    if suffix == ".abc":
        from harmonykit.score.abc import read_abc

        text, doubts = _decode(data)
        score = read_abc(choose(split_tunes(text), number))
        score["doubts"] += doubts
        return score
    if number not in (None, 1):
        raise TuneError(
            f"the file holds one tune, not number {number}", mend="leave the number out"
        )
    if suffix in _MIDI:
        from harmonykit.score.midi import read_midi

        return read_midi(data)
    from harmonykit.score.musicxml import read_xml

    return read_xml(_tree(_unzipped(data) if data.startswith(b"PK") else data))


def _decode(data: bytes) -> tuple[str, list[tuple[None, str]]]:
    try:
        return data.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        return data.decode("latin-1"), [(None, "the file is not UTF-8: read as Latin-1")]


def choose(tunes: tuple[AbcTune, ...], number: int | None) -> AbcTune:
    """Return the tune with a reference number, or the only one.

    Raises
    ------
    TuneError
        With a list to choose from.
    """
    found = [tune for tune in tunes if number is None or tune.number == number]
    if len(found) == 1 or (found and number is not None):
        return found[0]
    listed = ", ".join(f"{tune.number} {tune.title}" for tune in tunes[:MOST_LISTED])
    more = f" and {len(tunes) - MOST_LISTED} more" if len(tunes) > MOST_LISTED else ""
    said = f"no tune with number {number}" if number is not None else f"{len(tunes)} tunes"
    raise TuneError(
        f"the file holds {said}",
        rule=f"it holds {listed}{more}",
        mend=f"--number {tunes[0].number} behind the command; in Python number={tunes[0].number}",
    )


def _tree(data: bytes) -> Element:
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    try:
        root: Element = fromstring(data, forbid_dtd=False, forbid_entities=True)
        return root
    except DefusedXmlException as error:
        raise TuneError(
            f"the XML has a declaration that a score does not need ({type(error).__name__})",
            rule="entities are refused",
        ) from None
    except (ParseError, ValueError, LookupError) as error:
        raise TuneError(f"this is not XML: {error}") from None


def _unzipped(data: bytes) -> bytes:
    """Return the score of a compressed file: the first root file that its container names."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if len(archive.infolist()) > MOST_MEMBERS:
                raise TuneError("the archive has too many files", rule=f"{MOST_MEMBERS} at most")
            names = archive.namelist()
            name = None
            if "META-INF/container.xml" in names:
                container = _tree(_member(archive, "META-INF/container.xml"))
                name = next((e.get("full-path") for e in container.iter("rootfile")), None)
            scores = [n for n in names if n.endswith((".xml", ".musicxml")) and "META-INF" not in n]
            name = name or next(iter(scores), None)
            if name is None or name not in names:
                raise TuneError("the compressed file holds no score")
            return _member(archive, name)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError) as error:
        raise TuneError(f"this is not a compressed score: {error}") from None


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    """Return a member's bytes, never more than the limit, whatever size it declares."""
    with archive.open(name) as file:
        data = file.read(MOST_MEMBER_BYTES + 1)
    if len(data) > MOST_MEMBER_BYTES or archive.getinfo(name).file_size > MOST_MEMBER_BYTES:
        raise TuneError(f"{name} is too large", rule=f"{MOST_MEMBER_BYTES:,} bytes at most")
    return data


if __name__ == "__main__":
    main(sys.argv[1:])
