"""How are a person's mistakes told?

On the error stream, in plain sentences, whatever a file is called and whatever the
terminal can write.
"""

import sys


def say_error(text: str, *, who: str = "evaluator: ") -> None:
    """One message of one or more lines, with the name of who says it before it."""
    if sys.stderr is None:
        return
    from evaluator.show.glyphs import fitted
    from evaluator.show.sanitise import clean_lines

    shown = fitted(clean_lines(text), sys.stderr.encoding or "utf-8")
    print(f"{who}{shown}", file=sys.stderr)
