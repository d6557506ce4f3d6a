"""What chart do a sheet and a take make together?

The sheet says which chords come in which order, and the words; the take how long each lasts.
Then, on the beats that were found: bars, basses, colours, patterns, feel, and what of it is
not sure. Nothing of the sheet is changed but what was plainly played otherwise.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from evaluator.chart.graph import Meter
from evaluator.draft.align import NO_WAY, align, align_again
from evaluator.draft.bars import PlayedBar, played_bars
from evaluator.draft.basses import with_basses
from evaluator.draft.colours import colour_of
from evaluator.draft.doubts import Doubter, share_inside
from evaluator.draft.hands import Played, in_beats
from evaluator.draft.heard import Habits, fits, habits_in
from evaluator.draft.key import key_of
from evaluator.draft.metre import Counted, count_through
from evaluator.draft.model import Draft, DraftBar, DraftLine, DraftSection, DraftSpan
from evaluator.draft.plain import Asked
from evaluator.draft.rhythm import find_rhythm
from evaluator.draft.roles import FirstWay, RoleHabits, role_habits
from evaluator.draft.route import SheetRoute, sheet_route
from evaluator.draft.sheet import Sheet, SheetError
from evaluator.take.model import Take
from evaluator.take.strike import Strike, strikes
from evaluator.theory.symbol import ChordSymbol

FEWEST_STRIKES = 8
LONGEST_TAKE = 900
"""Seconds; every hundredth of one may be a beat, and all of them are kept in mind."""
_LOOKS = 3
_BELONGS = 0.65
"""Share of the struck tones that must lie in the sheet's chords. Of the right sheets of twenty
annotated songs all had more than 0.75, sheets of other songs half."""


def draft_played(sheet: Sheet, take: Take, asked: Asked) -> Draft:
    """A draft of a sheet and a take of it.

    Raises:
        SheetError: for a take that is too short, or that does not go with the sheet.
    """
    struck = struck_enough(take)
    route = sheet_route(sheet)
    asked = Asked(asked.tempo or sheet.tempo, asked.meter or sheet.meter)
    return compose(sheet, route, follow_sheet(route, struck, asked), (take, struck))


def struck_enough(take: Take) -> tuple[Strike, ...]:
    """The strikes of a take. Raises `SheetError` for too few."""
    struck = strikes(take)
    if len(struck) < FEWEST_STRIKES:
        raise SheetError("The take is too short to draft a chart from: play the song through once.")
    if struck[-1].time > LONGEST_TAKE:
        raise SheetError(
            f"The take goes on for more than {LONGEST_TAKE // 60} minutes: give one that has the "
            "song alone, from its beginning."
        )
    return struck


def compose(
    sheet: Sheet, route: SheetRoute, counted: Counted, played: tuple[Take, Sequence[Strike]]
) -> Draft:
    """The draft of a take that is counted through."""
    return _Composer(sheet, route, counted).draft(*played)


def follow_sheet(route: SheetRoute, struck: Sequence[Strike], asked: Asked) -> Counted:
    """A take counted through, with the way that it goes through the sheet.

    Looked for again: the first way shows how closely the player keeps to the sheet, and the
    habits of the hands, by which the next is found. Raises `SheetError` as above.
    """
    counted = count_through(
        struck, asked, lambda heard, bar: align(heard, fits(heard, route.chords), route.route, bar)
    )
    _check_belongs(route, counted)
    for _ in range(_LOOKS):
        heard, places = counted.heard, counted.way.places.tolist()
        habits = habits_in(heard, [route.chord_at(place) for place in places])
        likely = fits(heard, route.chords, habits)
        usual = usual_roles(route, counted, habits)
        way = align_again(heard, likely, route.route, counted.way, usual)
        before, counted = counted.way, replace(counted, way=way)
        if np.array_equal([way.places, way.in_bar], [before.places, before.in_bar]):
            break
    return counted


def usual_roles(route: SheetRoute, counted: Counted, habits: Habits) -> RoleHabits:
    """What the hands do at each place of the bar on the way that was found."""
    way, row = counted.way, route.route
    sections = np.array(row.alike)[row.owners()][way.places]
    first = FirstWay(np.array(row.chords)[way.places], sections, way.in_bar)
    shape = (len(row.alike), counted.meter.beats)
    return role_habits(counted.heard, route.chords, first, habits, shape)


def _check_belongs(route: SheetRoute, counted: Counted) -> None:
    heard, way = counted.heard, counted.way
    if way.score < NO_WAY:
        raise SheetError(
            "The sheet has more chords than the take has beats. Is it the right take, and is it "
            "complete?"
        )
    inside = share_inside(heard, [route.chord_at(place) for place in way.places.tolist()])
    backwards = replace(route.route, chords=route.route.chords[::-1])
    other = align(heard, fits(heard, route.chords), backwards, counted.meter.beats)
    if inside < _BELONGS or other.score > way.score:
        raise SheetError(
            f"The take does not seem to be this sheet's song: {inside:.0%} of what was struck "
            "lies in its chords, in their order. Is it the right file, and in the same key?"
        )


@dataclass(frozen=True, slots=True)
class _Visit:
    """One playing of a section."""

    section: int
    bars: tuple[int, ...]
    """Numbers of bars of the take."""


class _Composer:
    """Makes the draft of a take that is counted through."""

    def __init__(self, sheet: Sheet, route: SheetRoute, counted: Counted) -> None:
        self._sheet, self._route, self._counted = sheet, route, counted
        self._meter = counted.meter
        chords = [chord for chord in map(route.chord_at, counted.way.places.tolist()) if chord]
        self._key = sheet.key or key_of(chords, [1.0] * len(chords))
        self._flats = self._key is not None and self._key.flats

    def draft(self, take: Take, struck: Sequence[Strike]) -> Draft:
        """The whole."""
        counted, beats = self._counted, self._meter.beats
        played = in_beats(take, struck, counted.beats)
        plain = played_bars(counted.way, self._route, beats)
        basses = with_basses(plain, played, flats=self._flats)
        visits = self._section_visits(basses.bars)
        of_bar = [number for number, visit in enumerate(visits) for _ in visit.bars]
        rhythm = find_rhythm(basses.bars, of_bar, played, beats, basses.rules)
        bars = self._bars(basses.bars, played, visits)
        sections = tuple(
            replace(section, pattern=rhythm.of_section.get(number))
            for number, section in enumerate(self._sections(visits, basses.bars, bars))
        )
        swing = rhythm.swing
        return Draft(
            self._sheet.title,
            self._meter,
            float(round(counted.bpm)),
            sections,
            by=self._sheet.by,
            key=self._key,
            swing=f"{swing.numerator}:{swing.denominator}" if swing != 1 else "",
            rules=basses.rules,
            patterns=rhythm.patterns,
            remarks=(*self._sheet.remarks, *self._remarks(visits), *rhythm.remarks),
        )

    def _section_visits(self, bars: Sequence[PlayedBar]) -> list[_Visit]:
        """Bars of one section after another; a section is left when an earlier line comes."""
        owners = self._route.route.sections
        visits: list[_Visit] = []
        before: PlayedBar | None = None
        for number, bar in enumerate(bars):
            section = owners[bar.line]
            goes_on = (
                before is not None
                and owners[before.line] == section
                and (bar.line > before.line or bar.visit == before.visit or self._alone(bar.line))
            )
            again = before is not None and before.line == bar.line
            if visits and (goes_on or again):
                visits[-1] = replace(visits[-1], bars=(*visits[-1].bars, number))
            else:
                visits.append(_Visit(section, (number,)))
            before = bar
        return visits

    def _alone(self, line: int) -> bool:
        """Whether a line is all of its section."""
        return self._route.route.sections.count(self._route.route.sections[line]) == 1

    def _bars(
        self, bars: Sequence[PlayedBar], played: Played, visits: Sequence[_Visit]
    ) -> list[DraftBar]:
        doubter = Doubter(self._counted.heard, self._flats)
        colours = self._colours(bars, played, visits)
        found = []
        for number, bar in enumerate(bars):
            last = number == len(bars) - 1
            held = last and self._is_held(bar, played)
            spans = tuple(
                DraftSpan(
                    span.chord,
                    span.beats,
                    () if held else colours.get((number, place), ()),
                    held and span.chord is not None,
                )
                for place, span in enumerate(bar.spans)
            )
            meter = self._meter
            if bar.beats != meter.beats:
                meter = Meter(bar.beats, meter.unit)
            start = float(self._counted.beats[bar.first])
            coloured = [colour.text for span in spans for colour in span.colours]
            doubts = doubter.doubts(bar, self._meter, coloured, last=last)
            found.append(DraftBar(meter, spans, start, doubts))
        return found

    def _is_held(self, bar: PlayedBar, played: Played) -> bool:
        """Whether nothing is struck after the bar's first beat."""
        return len(bar.spans) == 1 and not played.between(bar.first + 0.3, np.inf)

    def _colours(
        self, bars: Sequence[PlayedBar], played: Played, visits: Sequence[_Visit]
    ) -> dict[tuple[int, int], tuple[ChordSymbol, ...]]:
        """Colours of each span: all that were heard at its place in any playing.

        The bars of a tail are all one place: its playings differ in their number.
        """
        heard: dict[object, dict[ChordSymbol, None]] = defaultdict(dict)
        places: dict[tuple[int, int], object] = {}
        for visit in visits:
            name = self._sheet.sections[visit.section].name.casefold()
            for at, number in enumerate(visit.bars):
                for place, span in enumerate(bars[number].spans):
                    tail = len(self._route.lines[bars[number].line].chords) == 1
                    key = (name, "tail" if tail else at, place, span.chord)
                    places[number, place] = key
                    colour = colour_of(span, played)
                    if colour is not None:
                        heard[key][colour] = None
        return {at: tuple(heard[key]) for at, key in places.items() if key in heard}

    def _sections(
        self, visits: Sequence[_Visit], bars: Sequence[PlayedBar], drafted: Sequence[DraftBar]
    ) -> list[DraftSection]:
        found = []
        for visit in visits:
            section = self._sheet.sections[visit.section]
            lines: list[DraftLine] = []
            before = None
            for _, group in groupby(visit.bars, key=lambda number: bars[number].place):
                numbers = list(group)
                line = self._route.lines[bars[numbers[0]].line]
                line_bars = tuple(drafted[number] for number in numbers)
                if before is line and _alike(lines[-1].bars, line_bars):
                    lines[-1] = replace(lines[-1], count=lines[-1].count + 1)
                else:
                    words = "" if before is line else line.words
                    lines.append(DraftLine(line_bars, words, 1, line.remarks))
                before = line
            found.append(DraftSection(section.name, tuple(lines), remarks=section.remarks))
        return found

    def _remarks(self, visits: Sequence[_Visit]) -> list[str]:
        """What the take did otherwise than the sheet's order, and what was guessed."""
        remarks = []
        names = [section.name for section in self._sheet.sections]
        order = [visit.section for visit in visits]
        for place, section in enumerate(order):
            if place and section <= order[place - 1]:
                remarks.append(
                    f"[{names[section]}] came again after [{names[order[place - 1]]}], "
                    f"which the sheet does not show"
                )
        left_out = [name for number, name in enumerate(names) if number not in order]
        remarks += [f"[{name}] of the sheet was not played" for name in left_out]
        if not self._counted.tempo_said:
            remarks.append(
                "the tempo is as it was played; if you count it half or twice as fast, draft "
                "it again with --tempo"
            )
        return remarks


def _alike(one: Sequence[DraftBar], other: Sequence[DraftBar]) -> bool:
    return [(bar.meter, bar.spans) for bar in one] == [(bar.meter, bar.spans) for bar in other]
