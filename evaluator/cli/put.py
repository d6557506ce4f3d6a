"""How does what was asked for as a file get there, or onto the standard output?"""

import sys
from collections.abc import Iterable

from evaluator.cli.files import write_pieces, write_text
from evaluator.cli.grade_words import STANDARD_OUTPUT


def put(path: str, pieces: Iterable[bytes]) -> None:
    """Write a file piece by piece; `-` is the standard output. Raises `FileError`."""
    if path != STANDARD_OUTPUT:
        write_pieces(path, pieces)
    elif sys.stdout is not None:
        sys.stdout.flush()
        sys.stdout.buffer.writelines(pieces)
        sys.stdout.buffer.flush()


def put_chart(path: str | None, text: str) -> None:
    """Write a chart that was made, or print it where no file is named. Raises `FileError`."""
    if path is not None:
        write_text(path, text)
    elif sys.stdout is not None:
        from evaluator.show.page import sheet_for

        sheet = sheet_for(sys.stdout)
        for row in text.splitlines():
            print(sheet.text(row))
