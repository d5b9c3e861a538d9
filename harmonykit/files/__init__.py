"""The user's files: read up to a limit, written whole or not at all, never lost.

``file`` reads and writes one file, and words what the system refused; ``toml`` reads TOML,
``table`` writes CSV; ``folder`` writes a folder with its ``manifest``, which takes over what is the
user's; ``lock`` keeps two writers apart.
"""

from harmonykit.files.file import (
    decode,
    plain_ends,
    read_bytes,
    read_text,
    refused,
    shown,
    write_new,
    write_whole,
)

__all__ = [
    "decode",
    "plain_ends",
    "read_bytes",
    "read_text",
    "refused",
    "shown",
    "write_new",
    "write_whole",
]
