"""How is the help of a command set?

What a command is for, and remarks behind the examples, are filled to the width of the
terminal. An example is a line to be copied: it stays as it is, however long.
"""

import argparse
import textwrap
from typing import Final

EXAMPLES: Final = "example"
"""How a paragraph with lines to be copied begins."""


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
