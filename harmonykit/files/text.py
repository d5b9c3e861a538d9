"""The bytes of a file as text: UTF-8; of what a person typed, in what code it may be."""

from harmonykit.errors import HarmonyError, Place

# How a PDF, an archive (which documents of text programs are), PNG and JPEG begin.
_NO_TEXT = (b"%PDF", b"PK", b"\x89PNG", b"\xff\xd8")


def decode(data: bytes, name: str, error: type[HarmonyError] = HarmonyError) -> str:
    """Return the text of UTF-8 bytes, without a byte order mark.

    Raises
    ------
    HarmonyError
        If it is a picture, a document of a text program or the like; else with the line and column
        of the first byte that is not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        if b"\0" in data or data.startswith(_NO_TEXT):
            raise error(
                f"{name} is not a text file",
                rule="a picture, or a document with pages and fonts, cannot be read",
                mend="copy its words, and paste them into a file that ends in .txt",
            ) from None
        before = data[: trouble.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode("utf-8", "replace")) + 1
        raise error(
            f"byte {data[trouble.start]:#04x} is not UTF-8",
            place=Place(name, line, column),
            mend="save the file as UTF-8",
        ) from None


def decode_typed(data: bytes, name: str, error: type[HarmonyError] = HarmonyError) -> str:
    """Return the text of what a person typed: UTF-8, UTF-16 by its mark, else Windows-1252.

    Raises
    ------
    HarmonyError
        If it is no text.

    Examples
    --------
    >>> decode_typed("Gulls".encode("utf-16"), "a.txt"), decode_typed(b"Caf\\xe9", "a.txt")
    ('Gulls', 'Café')
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    try:
        return decode(data, name, error)
    except error as trouble:
        # Without a place it is no text at all.
        if trouble.place is None:
            raise
        return data.decode("cp1252", "replace")
