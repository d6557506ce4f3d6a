"""How is the help of a command laid out, how are numbers read, and wrong options reported?

What a command is for, and remarks behind the examples, are filled to the width of the
terminal. An example is a line to be copied: it stays as it is, however long.
"""

import argparse
import sys
import textwrap
from collections.abc import Callable
from math import nan
from typing import Any, Final, NoReturn

EXAMPLES: Final = "example"
"""How a paragraph with lines to be copied begins."""
CHANNELS: Final = 16
"""MIDI channels."""


class Parser(argparse.ArgumentParser):
    """Says what it does not understand without anything in it that steers a terminal."""

    def __init__(self, **words: Any) -> None:
        super().__init__(formatter_class=HelpFormatter, allow_abbrev=False, **words)

    def error(self, message: str) -> NoReturn:
        """End with a remark on the error stream: what is wrong, and who says more.

        The library would print every option there is before it, and the remark last.
        """
        from evaluator.show.sanitise import clean_lines

        told = clean_lines(self._plainly(message))
        self.exit(2, f"{self.prog}: {told}\n`{self.prog} --help` says how it is given.\n")

    def _plainly(self, message: str) -> str:
        """The library's remark as a sentence, with the option that was probably meant."""
        missing = message.removeprefix("the following arguments are required: ")
        if missing != message:
            return f"Not given: {missing}."
        word, *_ = message.removeprefix("unrecognized arguments: ").split(" ")
        if not message.startswith("unrecognized"):
            return message
        if not word.startswith("-"):
            return f"There is no place for `{word}`."
        from difflib import get_close_matches

        name = word.partition("=")[0]
        name = name if name.strip("-").replace("-", "").isalnum() else word
        near = get_close_matches(name, self._option_string_actions, n=1)
        return f"There is no option {name}." + (f" Did you mean {near[0]}?" if near else "")

    def print_help(self, file: Any = None) -> None:
        """Write the help. Raises `OSError` where it cannot be, which argparse would not tell."""
        stream = file or sys.stdout
        if stream is not None:
            stream.write(self.format_help())


def number(what: str, low: float, high: float) -> Callable[[str], float]:
    """What reads a number from one to another."""

    def read(word: str) -> float:
        try:
            found = float(word)
        except ValueError:
            found = nan
        if not low <= found <= high:
            raise argparse.ArgumentTypeError(
                f"{word!r} is not {what}; give a number from {low:g} to {high:g}"
            )
        return found

    return read


def whole(what: str, numbers: range) -> Callable[[str], int]:
    """What reads one of some whole numbers."""

    def read(word: str) -> int:
        if not (word.isascii() and word.isdigit() and int(word) in numbers):
            raise argparse.ArgumentTypeError(
                f"{word!r} is not {what}; give {numbers[0]} to {numbers[-1]}"
            )
        return int(word)

    return read


def channel(word: str) -> int:
    """A MIDI channel, which people count from 1 and files from 0."""
    return whole("a MIDI channel", range(1, CHANNELS + 1))(word) - 1


class HelpFormatter(argparse.HelpFormatter):
    """Fills paragraphs, and leaves examples alone."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        paragraphs = text.strip().split("\n\n")
        return "\n\n".join(
            paragraph
            if paragraph.startswith(EXAMPLES)
            else textwrap.fill(
                " ".join(paragraph.split()),
                width,
                initial_indent=indent,
                subsequent_indent=indent,
            )
            for paragraph in paragraphs
        )
