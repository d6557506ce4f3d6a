"""Which keys does a hand strike in each bar of its staff, and how?

All voices of the staff together: what begins at one place is one strike, held until the
next strike of the staff or its own end. A tie strikes nothing. Notes in small print (grace
notes, cue notes) stand around the strike that they lead to, or else come from. What cannot
be kept is counted.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any, Final

from evaluator.chart.model import NoteSign
from evaluator.notation.score import Tone
from evaluator.theory.keyboard import HIGHEST_KEY, LOWEST_KEY, Pitch, key_text, parse_pitch
from evaluator.theory.pitch import NoteName

SIGN_OF: Final[dict[str, NoteSign]] = {
    "Trill": "tr",
    "Shake": "tr",
    "Turn": "turn",
    "GeneralMordent": "mord",
    "Tremolo": "trem",
    "ArpeggioMark": "roll",
    "Fermata": "hold",
    "Caesura": "hold",
    "Staccato": "short",
    "Staccatissimo": "short",
    "Spiccato": "short",
}
"""The sign behind a note for each class of expressions and articulations."""
STEPS: Final = "CDEFGAB"
SHORTENED: Final = "written shorter than printed, as another of the same hand comes meanwhile"
LASTING: Final = frozenset(("tr", "trem"))
"""Signs of what goes on while other voices of the hand move."""
SMALL: Final = "left out, being in small print and leading to no other"


def read_hand(
    measures: Sequence[Any], remarks: list[str], losses: Counter[str]
) -> Mapping[int, tuple[Tone, ...]]:
    """The strikes of each bar, by its index, in order of their offsets.

    What is not kept is counted in `losses`, by what it is.
    """
    return {place: _Bar(measure, remarks).read(losses) for place, measure in enumerate(measures)}


@dataclass(slots=True)
class _Moment:
    """What begins at one place of the staff."""

    struck: dict[int, Pitch] = field(default_factory=dict)
    held: dict[int, Pitch] = field(default_factory=dict)
    end: Fraction = Fraction(0)
    graces: list[Pitch] = field(default_factory=list)
    after: list[Pitch] = field(default_factory=list)
    signs: list[NoteSign] = field(default_factory=list)

    def sign(self, signs: Sequence[NoteSign]) -> None:
        self.signs += [one for one in signs if one not in self.signs]

    def may_have(self, keys: Sequence[Pitch]) -> None:
        """Small notes behind it that are not among them yet."""
        self.after += [key for key in keys if key not in self.after]


class _Bar:
    """Reads one bar of a staff."""

    def __init__(self, measure: Any, remarks: list[str]) -> None:
        self._measure = measure
        self._remarks = remarks
        self._moments: dict[Fraction, _Moment] = {}
        self._small: list[tuple[Fraction, bool, Pitch]] = []
        """Place, whether it is a grace note, pitch."""
        self._waits: list[Fraction] = []
        """Places of fermatas over rests."""
        self._lasting: list[tuple[Fraction, Fraction, tuple[Pitch, ...]]] = []
        """From where to where trills and tremolos go on, and on which keys."""
        self._tremolos: dict[int, dict[Fraction, tuple[Pitch, ...]]] = {}
        """The two strikes of each tremolo between two; one, if the other is the other hand's."""

    def read(self, losses: Counter[str]) -> tuple[Tone, ...]:
        """The strikes, in order."""
        for note in self._measure.recurse().notesAndRests:
            if "Harmony" in note.classes or is_slash(note):
                continue
            offset = Fraction(note.getOffsetInHierarchy(self._measure))
            if note.isRest:
                self._waits += [offset] if "hold" in signs_of(note) else []
            elif note.pitches:
                self._take(note, offset)
        if getattr(self._measure.rightBarline, "pause", None) is not None:
            self._waits.append(Fraction(self._measure.duration.quarterLength))
        onsets = sorted(self._moments)
        self._go_on(onsets)
        for offset in self._waits:
            before = [onset for onset in onsets if onset < offset]
            if before:
                self._moments[before[-1]].sign(["hold"])
        losses[SMALL] += sum(not self._place(onsets, *small) for small in self._small)
        losses[SHORTENED] += sum(
            self._moments[one].end > after and bool(self._moments[one].struck)
            for one, after in pairwise(onsets)
        )
        return tuple(self._tones(onsets))

    def _take(self, note: Any, offset: Fraction) -> None:
        grace = bool(note.duration.isGrace)
        # What is not printed says how a program is to play what is: it may be played so.
        small = grace or _is_cue(note) or bool(note.style.hideObjectOnPrint)
        for one in getattr(note, "notes", (note,)):
            pitch = self._pitch(one.pitch)
            if pitch is None:
                continue
            if small:
                self._small.append((offset, grace, pitch))
                continue
            moment = self._moments.setdefault(offset, _Moment())
            tied = one.tie is not None and one.tie.type in ("stop", "continue")
            (moment.held if tied else moment.struck)[pitch.key] = pitch
            moment.end = max(moment.end, offset + Fraction(note.quarterLength))
            moment.sign(signs_of(note))
        if not small:
            self._take_ornaments(note, offset)

    def _take_ornaments(self, note: Any, offset: Fraction) -> None:
        """What of it goes on while other voices move, and what goes to and fro."""
        own = tuple(filter(None, map(self._pitch, note.pitches)))
        end = offset + Fraction(note.quarterLength)
        if own and LASTING.intersection(signs_of(note)):
            around = (_next_step(own[-1], note, -1), own[-1], _next_step(own[-1], note, 1))
            trilled = "tr" in signs_of(note)
            self._lasting.append((offset, end, around if trilled else own))
        if own and any("Schleifer" in one.classes for one in note.expressions):
            slide = [_next_step(own[-1], note, steps) for steps in (-2, -1)]
            self._moments[offset].graces += slide
        for slide in note.getSpannerSites("Glissando"):
            begins, *_, ends = slide.getSpannedElements()
            if begins is note and own and ends.pitches:
                self._moments[offset].may_have(_slid_over(own[-1].key, round(ends.pitches[-1].ps)))
        for tremolo in note.getSpannerSites("TremoloSpanner"):
            pair = self._tremolos.setdefault(id(tremolo), {})
            pair[offset] = own

    def _go_on(self, onsets: Sequence[Fraction]) -> None:
        """Give what goes on as small notes to the strikes meanwhile."""
        for begins, ends, keys in self._lasting:
            for onset in onsets:
                if begins < onset < ends and self._moments[onset].struck:
                    self._moments[onset].may_have(keys)
        for pair in self._tremolos.values():
            for offset in pair:
                self._moments[offset].sign(["trem"])
                for other, keys in pair.items():
                    self._moments[offset].may_have(keys if other != offset else ())

    def _place(self, onsets: Sequence[Fraction], offset: Fraction, grace: bool, one: Pitch) -> bool:
        """Give a small note to the strike beside it; whether there is one."""
        struck = [onset for onset in onsets if self._moments[onset].struck]
        before = [onset for onset in struck if onset < offset]
        behind = [onset for onset in struck if onset >= offset]
        leads = behind and (grace or behind[0] == offset or not before)
        if leads:
            self._moments[behind[0]].graces.append(one)
        elif before:
            self._moments[before[-1]].after.append(one)
        return bool(leads or before)

    def _tones(self, onsets: Sequence[Fraction]) -> Iterator[Tone]:
        """Strikes with their lengths. What a tie goes on with counts where nothing is struck."""
        for place, onset in enumerate(onsets):
            moment = self._moments[onset]
            after = onsets[place + 1] if place + 1 < len(onsets) else moment.end
            keys = moment.struck or moment.held
            pitches = tuple(keys[key] for key in sorted(keys))
            tone = Tone(onset, min(moment.end, after) - onset, pitches, bool(moment.struck))
            if moment.struck:
                tone = replace(
                    tone,
                    graces=tuple(moment.graces),
                    after=tuple(moment.after),
                    signs=tuple(moment.signs),
                )
            yield tone

    def _pitch(self, pitch: Any) -> Pitch | None:
        key = round(pitch.ps)
        if not LOWEST_KEY <= key <= HIGHEST_KEY:
            label = self._measure.measureNumberWithSuffix()
            self._remarks.append(f"bar {label}: a note that no piano has is left out")
            return None
        alter = pitch.accidental.alter if pitch.accidental else 0
        if alter == int(alter) and -2 <= alter <= 2:
            spelt = Pitch(NoteName(pitch.step, int(alter)), pitch.implicitOctave)
            if spelt.key == key and 0 <= spelt.octave <= 8:
                return spelt
        return parse_pitch(key_text(key, flats=alter < 0))


def _slid_over(begins: int, ends: int) -> list[Pitch]:
    """The keys between those of a glissando: the white ones, or the black ones between two of
    them, in the order in which they are struck."""
    white = _is_white(begins) or _is_white(ends)
    between = range(min(begins, ends) + 1, max(begins, ends))
    keys = [key for key in between if _is_white(key) == white]
    found = [parse_pitch(key_text(key, flats=False)) for key in keys]
    return found if begins < ends else found[::-1]


def _is_white(key: int) -> bool:
    return len(key_text(key, flats=False)) == 2


def is_slash(note: Any) -> bool:
    """Whether it stands for any notes of the chord."""
    return getattr(note, "notehead", "") == "slash"


def _is_cue(note: Any) -> bool:
    return getattr(note.style, "noteSize", None) == "cue"


def _next_step(pitch: Pitch, note: Any, steps: int) -> Pitch:
    """The next step of the scale in the key of the score."""
    place = STEPS.index(pitch.name.letter) + steps
    letter = STEPS[place % len(STEPS)]
    key = note.getContextByClass("KeySignature")
    accidental = key.accidentalByStep(letter) if key is not None else None
    alter = int(accidental.alter) if accidental is not None else 0
    return Pitch(NoteName(letter, alter), pitch.octave + place // len(STEPS))


def signs_of(note: Any) -> list[NoteSign]:
    """What a note or a rest bears that a chart has a sign for."""
    found = [*note.expressions, *note.articulations]
    signs = [SIGN_OF[name] for one in found for name in one.classes if name in SIGN_OF]
    if note.getSpannerSites("ArpeggioMarkSpanner"):
        signs.append("roll")
    return list(dict.fromkeys(signs))
