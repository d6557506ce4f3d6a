"""Where do the documents of a class wait until all of them are there?

In a nameless file that is gone with the program, so that a class of any size fits into
memory.
"""

import tempfile
from collections.abc import Iterator
from types import TracebackType


class Spool:
    """Texts put aside, one after another, and given back in that order."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 closed by `__exit__`
        self._lengths: list[int] = []

    def __enter__(self) -> "Spool":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._file.close()

    def __len__(self) -> int:
        return len(self._lengths)

    def add(self, text: str) -> None:
        """Put one text aside."""
        self._lengths.append(self._file.write(text.encode("utf-8")))

    def __iter__(self) -> Iterator[str]:
        self._file.seek(0)
        for length in self._lengths:
            yield self._file.read(length).decode("utf-8")
