"""What holds whatever sheet is typed, and whatever is played beside it?

Two promises in the manner of `tests.fuzz.promises`:

sheet    any text as a sheet, drafted by itself
draft    a short song is played, and what was played is changed: keys, pauses, bars that come
         again or are left out. The rest of the bytes is the sheet

What comes of it is a chart that reads without mistakes, bar for bar the draft, and the same once
more; or a sentence.
"""

from collections.abc import Callable
from functools import cache
from typing import Final

import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import Meter
from evaluator.draft import Asked, Draft, SheetError, draft_sheet, read_sheet, write_draft
from evaluator.draft.alone import draft_take
from evaluator.draft.played import draft_played
from evaluator.take.model import Take, make_take
from tests.playing import play

_PATTERN: Final = "pattern hands\n left | {left} |\n right | {right} |\n"
PLAYED: Final = tuple(
    "title: Tin Bird\ntempo: 120\n" + rest
    for rest in (
        _PATTERN.format(left="x . . . x . . .", right=". . x . . x x .")
        + "[A]\n| C | G/B / Am / | F | G |\n| C | C | x2\n[B]\n| Dm | 2/4: G7 | C |\n[A]\n",
        "meter: 3/4\nbass: E = G#\n" + _PATTERN.format(left="x . .", right=". x x")
        + "[A]\n| Am | E | Am | Dm |\n[B]\n| G | C | E | N.C. |\n[A]\n[End]\n| <Am> |\n",
    )
)  # fmt: skip
SHEETS: Final = (
    "Tin Bird\nTempo: 120\nTime: 4/4\n\n[A]\nC   G/B  Am  F  G\nla la la\nC\n"
    "\n[B]\nDm  G7  C\nlo lo\n\n[A]\nC   G/B  Am  F  G\nla la la\nC\n",
    "TIN BIRD\n3/4 time\n\nA:\n Am  E  Am  Dm\n la la la\nB:\nG   C   E   N.C.\nlo lo\n"
    "A:\n Am  E  Am  Dm\n la la la\nEnd: Am\n",
)
CHANGE: Final = 3
"""Bytes of a change: where, what, and how much of it."""
HINTS: Final = Asked(90.0, Meter(6, 8))


def sheet_or_refusal(raw: bytes) -> bool:
    """The text of a sheet is a draft, or refused."""
    return _check_drafted(lambda: draft_sheet(read_sheet(raw, name="x"), Asked()), again=True)


def draft_or_refusal(raw: bytes) -> bool:
    """The first byte is the song, and what is drafted from; the second the number of changes,
    and whether all is drafted twice."""
    if len(raw) < 2:
        return False
    number, of_what = raw[0] % len(PLAYED), raw[0] // len(PLAYED) % 4
    begins = 2 + CHANGE * (raw[1] % 8)
    take = changed_take(number, raw[2:begins])
    sheet = raw[begins:] or SHEETS[number].encode()
    asked = HINTS if of_what == 1 else Asked()

    def draft() -> Draft:
        if of_what == 0:
            return draft_take(take, asked, name="x")
        return draft_played(read_sheet(sheet, name="x"), take, asked)

    return _check_drafted(draft, again=raw[1] >= 128)


def _check_drafted(draft: Callable[[], Draft], *, again: bool) -> bool:
    """A draft is a chart, or nothing is drafted for a reason."""
    try:
        found = draft()
    except SheetError as refusal:
        _check_asked(str(refusal))
        return False
    text = write_draft(found)
    read_chart(text)
    graph = read_chart(write_draft(found, in_full=True))
    assert len(graph.written) == sum(1 for _ in found.bars())
    assert not again or write_draft(draft()) == text
    return True


def _check_asked(refusal: str) -> None:
    """A refusal is a sentence, or ends in the question that it leaves."""
    assert refusal.endswith((".", "?")), refusal


@cache
def _notes(number: int) -> np.ndarray:
    """(n, 4) onset, length, key and loudness of the notes of a song as it is played."""
    notes = play(read_chart(PLAYED[number]), jitter_ms=8, spread_ms=5, seed=number).notes
    return np.array([(one.onset, one.offset - one.onset, one.pitch, one.velocity) for one in notes])


def changed_take(number: int, changes: bytes) -> Take:
    """The take of a song, from some places on otherwise."""
    notes = _notes(number).copy()
    for at in range(0, len(changes), CHANGE):
        where, what, much = changes[at : at + CHANGE]
        first = where * len(notes) // 256
        last = min(len(notes), first + 1 + much)
        match what % 8:
            case 0:  # later, or at once
                notes[first:, 0] += (much - 40) / 32
                notes[first:, 0] = np.maximum(notes[first:, 0], notes[:first, 0].max(initial=0.0))
            case 1:
                notes[first:last, 2] = np.clip(notes[first:last, 2] + what // 8 - 16, 0, 127)
            case 2:
                notes = np.delete(notes, slice(first, last), axis=0)
            case 3:
                notes[first:last, 2] = 21 + what // 8 * 2
            case 4:  # slower or faster from here on
                notes[first:, :2] *= 0.25 + much / 128
                notes = notes[np.argsort(notes[:, 0], kind="stable")]
            case 5:  # once more
                again = notes[first:last].copy()
                again[:, 0] += notes[-1:, 0] - again[:1, 0] + 0.5 if len(again) else 0.0
                notes = np.concatenate([notes, again])
            case 6:
                notes = notes[:first]
            case _:  # a note of its own
                own = [notes[first, 0] if len(notes) else 0.0, 0.2, what // 2, 60]
                notes = np.insert(notes, first, own, axis=0)
    notes[:, 0] -= min(0.0, notes[:, 0].min(initial=0.0))
    onsets, lengths, keys, loud = notes.T
    return make_take(onsets, onsets + lengths, keys.astype(int), loud.astype(int))
