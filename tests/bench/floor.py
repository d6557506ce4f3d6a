"""The least that a command of this kind could do, for the benchmark of `grade`.

    python -m tests.bench.floor TAKE

Imports the libraries that the program cannot do without and reads the same file with
mido; nothing is followed, judged or drawn.
"""

import sys

import mido
import numpy as np
import rich.console
import rich.text


def main(take: str) -> None:
    """Read the take and say how much there is."""
    notes = [message for message in mido.MidiFile(take) if message.type == "note_on"]
    pitches = np.array([message.note for message in notes])
    rich.console.Console().print(rich.text.Text(f"{len(pitches)} notes"))


if __name__ == "__main__":
    main(sys.argv[1])
