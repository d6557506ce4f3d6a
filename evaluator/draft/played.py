"""What chart do a sheet and a take make together?

The sheet says which chords come in which order, and the words; the take how long each lasts.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from evaluator.draft.align import NO_WAY, align, align_again
from evaluator.draft.compose import compose
from evaluator.draft.doubts import share_inside
from evaluator.draft.heard import Habits, fits, habits_in
from evaluator.draft.metre import Counted, count_through
from evaluator.draft.model import Draft
from evaluator.draft.plain import Asked
from evaluator.draft.roles import FirstWay, RoleHabits, role_habits
from evaluator.draft.route import SheetRoute, sheet_route
from evaluator.draft.sheet import Sheet, SheetError
from evaluator.take.model import Take
from evaluator.take.strike import Strike, strikes

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
    return role_habits(counted.heard, route.chords, first, habits, shape, by_chord=True)


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
