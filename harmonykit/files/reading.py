"""Small files of the user's: read up to a limit, decoded as UTF-8."""

from pathlib import Path

from harmonykit.errors import HarmonyError, Place
from harmonykit.files.said import reason, shown


def read_bytes(path: Path, most: int, error: type[HarmonyError] = HarmonyError) -> bytes:
    """Return what a file holds, unless it is too much.

    Parameters
    ----------
    path : Path
    most : int
        The largest size, in bytes; no more than that is ever read.
    error : type of HarmonyError
        What is raised.

    Raises
    ------
    HarmonyError
        If the file is missing, cannot be read, or is too large.
    """
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        raise error(
            f"missing file {shown(path)}", mend="the path of a file that is there"
        ) from None
    except OSError as trouble:
        raise error(f"{shown(path)} cannot be read: {reason(trouble)}") from None
    except ValueError:
        # A null character, as a mangled path may have.
        raise error(f"{str(path)!r} is not a path") from None
    if len(data) > most:
        raise error(f"{shown(path)} is too large", rule=f"{most:,} bytes at most")
    return data


def decode(data: bytes, name: str, error: type[HarmonyError] = HarmonyError) -> str:
    """Return the text of UTF-8 bytes, without a byte order mark.

    Raises
    ------
    HarmonyError
        With the line and column of the first byte that is not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        before = data[: trouble.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode("utf-8", "replace")) + 1
        raise error(
            f"byte {data[trouble.start]:#04x} is not UTF-8",
            place=Place(name, line, column),
            mend="save the file as UTF-8",
        ) from None


def read_text(path: Path, most: int, error: type[HarmonyError] = HarmonyError) -> str:
    """Return the text of a file of at most so many bytes, its lines ended by ``\\n``.

    Raises
    ------
    HarmonyError
        As ``read_bytes`` and ``decode``.
    """
    text = decode(read_bytes(path, most, error), path.name, error)
    return plain_ends(text)


def plain_ends(text: str) -> str:
    """Return a text with every line ended by ``\\n``.

    Examples
    --------
    >>> plain_ends("one\\r\\ntwo\\rthree")
    'one\\ntwo\\nthree'
    """
    return text.replace("\r\n", "\n").replace("\r", "\n")
