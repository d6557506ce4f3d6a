"""What can go wrong with what a person hands us?

Every mistake that a user can cause is one of these; anything else that is raised is a
fault in the program. Each carries sentences that say what, where and what to do.

    EvaluatorError
    ├── ChartError     the chart text: every mistake found in one reading
    ├── TakeError      the MIDI file: nothing in it could be read as a take
    └── UsageError     the command line: wrong words, a path that cannot be opened
"""


class EvaluatorError(Exception):
    """Something handed to the program that it cannot use; `str()` is fit to be shown."""


class TakeError(EvaluatorError):
    """A take that holds nothing to judge, even after repairs."""


class UsageError(EvaluatorError):
    """A command that cannot be carried out as it was given."""
