"""What can go wrong with what a person hands us?

Every mistake that a user, or whoever imports the program, can cause is one of these; anything
else that is raised is a fault in the program. Each carries sentences that say what, where and
what to do. Those that stand in other folders are defined where they are raised.

    EvaluatorError
    ├── TextError               a text with mistakes in it: every one found in one reading
    │   ├── ChartError          the chart
    │   ├── RubricError         the rubric
    │   └── RosterError         the list of a class's names
    ├── TakeError               the MIDI file: nothing in it could be read as a take
    ├── UsageError              wrong words, or an option, hand or passage that there is not
    │   ├── MissingLibraryError notation: scores need a library that is not there
    │   └── NoBackendError      live: this installation cannot talk to a piano
    ├── FileError               cli: a file that cannot be read or written
    ├── ScoreError              notation: a score that cannot be made a chart of
    ├── SheetError              draft: a text that is no sheet with chords
    ├── PortRefusedError        live: a piano that is there and cannot be opened
    ├── PortGoneError           live: the piano that was open is gone
    ├── ServerGoneError         live: the JACK server is gone
    ├── CaptureError            live: nothing can be recorded any more
    ├── ClusterError            batch: the cluster cannot do the work
    ├── JournalError            batch: the file of what is done is somebody else's
    ├── HistoryError            history: it cannot be read or written
    │   └── DamagedError        history: the file is none, or not all of it is one
    ├── RefusedError            chart: a value that cannot stand; the reader knows its place
    ├── ChordSymbolError        theory: a text that is no chord symbol
    ├── Unreadable              theory: where the reading of one stopped
    └── OffTheKeyboardError     theory: a note that no piano has
"""

TYPE_CHECKING = False
if TYPE_CHECKING:  # `typing` itself would have to be waited for by `evaluator --help`
    from evaluator.errors.mistake import Mistake

SHOWN = 20
"""Mistakes written out before the rest are only counted: about a screenful."""


class EvaluatorError(Exception):
    """Something handed to the program that it cannot use; `str()` is fit to be shown."""


class TextError(EvaluatorError):
    """A text with mistakes in it: all of them, in the order of the text."""

    def __init__(self, mistakes: "tuple[Mistake, ...]") -> None:
        super().__init__(mistakes)
        self.mistakes = mistakes

    def __str__(self) -> str:
        shown = [str(mistake) for mistake in self.mistakes[:SHOWN]]
        rest = len(self.mistakes) - len(shown)
        if rest:
            shown.append(f"and {rest} more {'mistake' if rest == 1 else 'mistakes'}")
        return "\n".join(shown)


class ChartError(TextError):
    """A chart text with mistakes in it."""


class RubricError(TextError):
    """A rubric with mistakes in it."""


class RosterError(TextError):
    """A roster with mistakes in it."""


class TakeError(EvaluatorError):
    """A take that holds nothing to judge, even after repairs."""


class UsageError(EvaluatorError):
    """A command that cannot be carried out as it was given."""
