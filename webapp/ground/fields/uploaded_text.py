"""An uploaded file as text, in the encodings that table programs write, and no others."""

from __future__ import annotations

import codecs
import re
from typing import Final

from webapp.ground.text.i18n import gettext as _

#: Largest file that is looked at [bytes]: about 10,000 units.
FILE_LIMIT: Final = 2_000_000
#: Largest request that may carry a file: the file and what a form puts around it [bytes].
UPLOAD_LIMIT: Final = FILE_LIMIT + 50_000

_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
#: What no text has: it is a picture, a workbook or a database that was chosen by mistake.
_NO_TEXT: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


class FileTextError(ValueError):
    """The bytes are not a text that is read here; the message says what to do."""


def file_text(data: bytes) -> str:
    """Return the text of a file in UTF-8 or UTF-16, with or without a mark, or in Windows-1252.

    Raises
    ------
    FileTextError
        When it is too large, empty, or not such a text.
    """
    if len(data) > FILE_LIMIT:
        raise FileTextError(_("The file is larger than %(n)d MB. Split it.", n=FILE_LIMIT // 1_000_000))
    encoding = _encoding(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        message = _(
            "The file's encoding is unknown: byte %(at)d is not valid. Save the file as UTF-8 and try again.",
            at=error.start + 1,
        )
        raise FileTextError(message) from error
    text = text.removeprefix("\ufeff")
    found = _NO_TEXT.search(text)
    if found is not None:
        line = text.count("\n", 0, found.start()) + 1
        message = _(
            "Line %(line)d contains a control character. This is not a text file. Save it as CSV or TOML.", line=line
        )
        raise FileTextError(message)
    if not text.strip():
        raise FileTextError(_("The file is empty."))
    return text


def _encoding(data: bytes) -> str:
    for mark, name in _MARKS:
        if data.startswith(mark):
            return name
    start = data[:4_000]
    if start[:2].count(0) == 1:  # the first letter of a heading, in two bytes
        zeros_first = start[0::2].count(0) > len(start) // 4
        return "utf-16-be" if zeros_first else "utf-16-le"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"
