"""Reading is never slower than in proportion to what is read.

The work is counted in lines of Python that are run, which is the same on every machine; what
C does in one line (to find, to copy) is measured by `tests.bench.hostile` instead. Twice the
input may take twice the work and a little, for families of input that say one thing over and
over. Own bound, no source.
"""

from collections.abc import Callable
from contextlib import suppress

import pytest

from evaluator.errors import EvaluatorError
from tests.fuzz.heavy import HEAVY
from tests.lines_run import lines_run

OFTEN = 100
LITTLE = 1.15
"""More than twice the work: a sort, a table that grows."""
A_BYTE = 40
"""Lines of Python for one byte of a MIDI file at most; a note of seven bytes takes 120."""

FAMILIES = [(kind, name) for kind, reader in HEAVY.items() for name in reader.families]


def steps(read: Callable[..., object], given: bytes | str) -> int:
    """Lines of Python that reading it takes."""

    def work() -> None:
        with suppress(EvaluatorError):
            read(given)

    return lines_run(work)


def grows_evenly(first: int, second: int, fourth: int) -> bool:
    """Whether the work for one, two and four times the input grows as the input does.

    Less work for more input means that it is refused, as it is from some size on.
    """
    if second < first:
        return fourth <= 2 * second * LITTLE
    return fourth < second or fourth - second <= 2 * (second - first) * LITTLE


@pytest.mark.parametrize(("kind", "name"), FAMILIES, ids=[": ".join(row) for row in FAMILIES])
def test_twice_the_input_is_at_most_twice_the_work(kind: str, name: str) -> None:
    reader = HEAVY[kind]
    make = reader.families[name]
    for given in (make(1), make(OFTEN)):
        steps(reader.read, given)  # what is worked out once, such as imports and chords, is known
    first, second, fourth = (steps(reader.read, make(OFTEN * times)) for times in (1, 2, 4))
    assert grows_evenly(first, second, fourth)


@pytest.mark.parametrize("name", HEAVY["midi"].families)
def test_no_byte_of_a_midi_file_is_much_work(name: str) -> None:
    """Keys that are held must not be looked through for every message that follows."""
    reader = HEAVY["midi"]
    short, long = (reader.families[name](OFTEN * times) for times in (1, 2))
    more = steps(reader.read, long) - steps(reader.read, short)
    assert more <= A_BYTE * (len(long) - len(short))


def test_a_reader_that_goes_back_to_the_beginning_would_be_caught() -> None:
    def careless(given: str) -> None:
        for end in range(len(given)):
            for _ in given[:end]:
                pass

    first, second, fourth = (steps(careless, "x" * (20 * times)) for times in (1, 2, 4))
    assert not grows_evenly(first, second, fourth)
