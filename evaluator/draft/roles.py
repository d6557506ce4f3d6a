"""What do the hands usually strike at each place of the bar?

Not which tones, but what they are in their chord: its root, third, fifth, another of its
tones, a colour that is often laid beside it, or none of these; and what the left hand's note
is under it. A first way through the song shows how often each of them is struck in each half
beat of the bar; a second one is found by that (expectation and maximisation in the hard form
of Juang and Rabiner, IEEE Trans. ASSP 38(9), 1990). So a pattern helps to place the chords
before anybody has written it down, and a player without one has habits all the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evaluator.draft.heard import DEPENDENT, NONE, Habits, Heard
from evaluator.theory.symbol import ChordSymbol

_ROLES, _BASSES = 6, 6
_ROOT, _THIRD, _FIFTH, _OTHER, _COLOUR, _ALIEN = range(_ROLES)
_OWN_BASS, _ROOT_BASS, _FIFTH_BASS, _TONE_BASS, _NO_TONE_BASS, _NO_BASS = range(_BASSES)
_USUAL = np.array([0.25, 0.22, 0.25, 0.15, 0.03, 0.008])
_USUAL_BASS = np.array([0.25, 0.03, 0.06, 0.04, 0.02, 0.6])
"""How often each is struck in half a beat, before anything is known; without a chord nothing
is. The order matters and the numbers little: each counts as `_EVER` half beats beside those
of the song, which are some thousand."""
_EVER, _SONG, _SECTION = 20.0, 4.0, 6.0
"""Half beats that what is usual everywhere counts for beside the song's; bars that the song's
places count for beside a place's, and the place's beside a section's."""
_FOLLOWS, _FOLLOWS_WEIGHT = 0.7, 4.0
"""How often the bass is struck with a chord that begins within a bar, whatever the hand does
there in other bars, and the changes that this counts for. Common practice, no source."""
_COLOURS = (2, 5)
"""Semitones above the root of the ninth and the fourth."""
_PLAYED_AS = 4.0
"""Strikes of a tone that those which its role wants count for beside those of its chord."""
_IN_TURN = -4.0
"""Where one of them is struck in the place of the third: a colour that nobody wrote."""


@dataclass(frozen=True, slots=True, eq=False)
class RoleHabits:
    """Logarithms of how likely each role is struck, by section and place."""

    heard: Heard
    bar: int
    """Beats of a bar."""
    weight: float
    """Of one strike beside another: the more, the more closely the hands keep to a pattern."""
    regular: float
    """How closely they do, 0 to 1."""
    tones: np.ndarray
    """(sections, bar, 2, variants, chords, 12) what a struck tone adds, to the chord as it is
    and with the ninth or the fourth for its third."""
    silence: np.ndarray
    """(sections, bar, 2, variants, chords) what there is where nothing is struck."""
    bass: np.ndarray
    """(sections, bar, 2, chords, 13) by pitch class of the bass note, 12 for none."""
    own: np.ndarray
    """(chords,) pitch class of each chord's own bass, 12 for none."""
    follows: float
    """How often the bass is struck where a chord begins within a bar."""

    def of(self, sections: np.ndarray, chords: np.ndarray) -> "RoleHabits":
        """The same for some chords alone, each in its section: (1, chords, bar) of each beat."""

        def chosen(table: np.ndarray) -> np.ndarray:
            """A table whose last axis but one is of chords, and the first of sections."""
            rows = np.moveaxis(table, -2, 1)[sections, chords]
            return np.ascontiguousarray(np.moveaxis(rows, 0, -2)[None])

        return replace(
            self,
            tones=chosen(self.tones),
            silence=chosen(self.silence[..., None])[..., 0],
            bass=chosen(self.bass),
            own=self.own[chords],
        )

    def likely(self, beat: int) -> np.ndarray:
        """(sections, chords, bar): log likelihood of what was struck in a beat."""
        found = np.zeros(self.silence.shape[:2] + self.silence.shape[4:])
        for half in (0, 1):
            at = 2 * beat + half
            struck = self.tones[:, :, half] @ self.heard.tones[at] + self.silence[:, :, half]
            struck[:, :, 1:] += _IN_TURN
            low = int(self.heard.low[at])
            bass = self.bass[:, :, half, :, 12 if low == NONE else low % 12]
            found += struck.max(axis=2) + bass
        return np.asarray(self.weight * found.transpose(0, 2, 1))

    def begun(self, beat: int) -> np.ndarray:
        """(sections, chords, bar): what is to be added where a chord begins with this beat.

        Within a bar the bass follows the chord, whether the hand strikes there otherwise or
        not; what else is struck there is as in other bars.
        """
        at, chords = 2 * beat, np.arange(len(self.own))
        low = int(self.heard.low[at])
        own = self.own == (NONE if low == NONE else low % 12)
        rarely = self.bass[:, :, 0, chords, self.own]
        usual = np.exp(rarely)
        struck = np.log((1 - self.follows) * usual + self.follows) - rarely
        odds = self.tones[:, :, 0, 0, chords, self.own % 12]
        seldom = 1 / (1 + np.exp(-odds))
        sounds = (self.own < 12) & (self.heard.tones[at, self.own % 12] > 0)
        gains = np.where(own, struck, np.where(sounds, 0.0, np.log(1 - self.follows)))
        gains += np.where(sounds, np.log(1 + self.follows * (1 - seldom) / seldom), 0.0)
        gains[:, 0] = 0.0
        return np.asarray(self.weight * gains.transpose(0, 2, 1))


@dataclass(frozen=True, slots=True, eq=False)
class FirstWay:
    """Where a first way through the song was at every beat."""

    chords: np.ndarray
    """(n,) number of the chord."""
    sections: np.ndarray
    """(n,) number of the section."""
    in_bar: np.ndarray
    """(n,) beat of the bar."""


def role_habits(
    heard: Heard,
    names: Sequence[ChordSymbol | None],
    way: FirstWay,
    habits: Habits,
    shape: tuple[int, int],
    *,
    by_chord: bool = False,
) -> RoleHabits:
    """The habits that a way shows; `shape` is the number of sections and of beats in a bar.

    With `by_chord` each chord is known by what is struck under it besides, as where a sheet
    names it otherwise than it is played: a seventh that only the singer has.
    """
    roles = np.array([_roles_of(chord) for chord in names])
    basses = np.array([_basses_of(chord, habits) for chord in names])
    struck, low = _counted(heard, roles[way.chords], basses[way.chords])
    sections, bar = shape
    tone = np.zeros((sections, bar, 2, _ROLES))
    bass = np.zeros((sections, bar, 2, _BASSES))
    has = np.stack([(roles == role).sum(axis=1) for role in range(_ROLES)], axis=1)[way.chords]
    for half in (0, 1):
        parts = ((tone, struck[half::2], has, _USUAL), (bass, low[half::2], None, _USUAL_BASS))
        for table, counts, chances, usual in parts:
            table[:, :, half] = _shares(counts, chances, usual, way, shape)
    variants = np.stack([roles, *(_in_turn(roles, names, step) for step in _COLOURS)])
    tones = np.log(tone / (1 - tone))[..., variants]
    regular = _regular(tone, struck, has, way)
    if by_chord:
        tones += (1 - regular) * _played_as(heard, tone[..., roles], way)
    silence = -np.log1p(np.exp(tones)).sum(axis=-1)
    weight = DEPENDENT + (1 - DEPENDENT) * regular
    own = np.array([row.index(_OWN_BASS) if _OWN_BASS in row else 12 for row in basses.tolist()])
    follows = _follows(low[0::2, _OWN_BASS], way)
    bass = np.log(bass)[..., basses]
    return RoleHabits(heard, bar, weight, regular, tones, silence, bass, own, follows)


def _played_as(heard: Heard, wanted: np.ndarray, way: FirstWay) -> np.ndarray:
    """(chords, 12): by how much likelier each tone is struck under each chord than its role is,
    as logarithms; `wanted` is (sections, bar, 2, chords, 12)."""
    struck, due = np.zeros(wanted.shape[-2:]), np.zeros(wanted.shape[-2:])
    for half in (0, 1):
        np.add.at(struck, way.chords, heard.tones[half::2])
        np.add.at(due, way.chords, wanted[way.sections, way.in_bar, half, way.chords])
    return np.asarray(np.log((struck + _PLAYED_AS) / (due + _PLAYED_AS)))


def _follows(own: np.ndarray, way: FirstWay) -> float:
    """How often a chord that begins within a bar has its own bass there; `own` by beat."""
    within = np.append(False, np.diff(way.chords) != 0) & (way.in_bar > 0)
    return float(
        (own[within].sum() + _FOLLOWS_WEIGHT * _FOLLOWS) / (within.sum() + _FOLLOWS_WEIGHT)
    )


def _roles_of(chord: ChordSymbol | None) -> list[int]:
    """The role of each pitch class under a chord."""
    roles = [_ALIEN] * 12
    if chord is None:
        return roles
    for step in _COLOURS:
        roles[(chord.root.pc + step) % 12] = _COLOUR
    for pc in chord.tones:
        roles[pc] = _OTHER
    for role, degree in ((_THIRD, 3), (_FIFTH, 5)):
        found = chord.degree(degree)
        if found is not None:
            roles[found] = role
    roles[chord.root.pc] = _ROOT
    return roles


def _in_turn(roles: np.ndarray, names: Sequence[ChordSymbol | None], step: int) -> np.ndarray:
    """The roles where another tone stands for the third; (chords, 12)."""
    found = roles.copy()
    for row, chord in zip(found, names, strict=True):
        third = chord.degree(3) if chord else None
        if chord is not None and third is not None:
            colour = (chord.root.pc + step) % 12
            row[third], row[colour] = row[colour], row[third]
    return found


def _basses_of(chord: ChordSymbol | None, habits: Habits) -> list[int]:
    """What each pitch class, and none, is as a bass under a chord."""
    found = [_NO_TONE_BASS] * 12 + [_NO_BASS]
    if chord is None:
        return found
    for pc in chord.tones:
        found[pc] = _TONE_BASS
    fifth = chord.degree(5)
    if fifth is not None:
        found[fifth] = _FIFTH_BASS
    found[chord.root.pc] = _ROOT_BASS
    found[habits.basses.get(chord, chord.bass_pc)] = _OWN_BASS
    return found


def _counted(heard: Heard, roles: np.ndarray, basses: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(2n, roles) and (2n, basses): how many of each are struck in each half beat."""
    roles, basses = np.repeat(roles, 2, axis=0), np.repeat(basses, 2, axis=0)
    struck = np.stack(
        [(heard.tones * (roles == role)).sum(axis=1) for role in range(_ROLES)], axis=1
    )
    column = np.where(heard.low == NONE, 12, heard.low % 12)
    low = basses[np.arange(len(basses)), column]
    return struck, np.eye(_BASSES)[low]


def _shares(
    counts: np.ndarray,
    chances: np.ndarray | None,
    usual: np.ndarray,
    way: FirstWay,
    shape: tuple[int, int],
) -> np.ndarray:
    """(sections, bar, kinds): how often each kind is struck of the times that it might be."""
    sections, bar = shape
    of = np.ones_like(counts) if chances is None else chances.astype(np.float64)
    song = (counts.sum(axis=0) + _EVER * usual) / (of.sum(axis=0) + _EVER)
    sums, times = (
        np.zeros((sections, bar, counts.shape[1])),
        np.zeros((sections, bar, counts.shape[1])),
    )
    np.add.at(sums, (way.sections, way.in_bar), counts)
    np.add.at(times, (way.sections, way.in_bar), of)
    place = (sums.sum(axis=0) + _SONG * song) / (times.sum(axis=0) + _SONG)
    return np.asarray((sums + _SECTION * place) / (times + _SECTION))


def _regular(tone: np.ndarray, struck: np.ndarray, has: np.ndarray, way: FirstWay) -> float:
    """How much of what is struck the place in the bar tells: 0 nothing, 1 all of it.

    The share by which knowing the place lessens the entropy of the strikes. Of twenty
    accompaniments .06 to .37, of players who keep to a pattern .4 and more.
    """
    likely = tone[way.sections, way.in_bar].transpose(1, 0, 2).reshape(-1, _ROLES)
    counts = np.stack([struck[0::2], struck[1::2]]).reshape(-1, _ROLES)
    of = np.stack([has, has]).reshape(-1, _ROLES)
    song = (counts.sum(axis=0) + _EVER * _USUAL) / (of.sum(axis=0) + _EVER)

    def entropy(share: np.ndarray) -> float:
        return -float((counts * np.log(share) + (of - counts) * np.log(1 - share)).sum())

    return max(0.0, 1 - entropy(likely) / entropy(song))
