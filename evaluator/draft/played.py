"""What chart do a sheet and a take make together?

The sheet says which chords come in which order, and the words; the take how long each lasts.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from evaluator.draft.align import NO_WAY, Alignment, align, align_again
from evaluator.draft.compose import compose
from evaluator.draft.doubts import share_inside
from evaluator.draft.heard import Habits, Heard, fits, habits_in, transposed
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
_SILENT = "the sheet has N.C. before; how long it lasts cannot be heard, so it is left out"
_UNSURE = "a third of the bars or more do not go well with the sheet: is it a take of this song?"
"""Said of such drafts; of the twenty songs all had seven tenths of their bars sure."""
_IN_ORDER = 0.15
"""By so much, a log likelihood for each beat, the sheet's chords must fit better than in the
opposite order where so many bars are not sure. Of the right sheets of the twenty songs all had
more, of four in five sheets of other songs in the same key less."""


def draft_played(sheet: Sheet, take: Take, asked: Asked) -> Draft:
    """A draft of a sheet and a take of it.

    Raises:
        SheetError: for a take that is too short, or that does not go with the sheet.
    """
    struck = struck_enough(take)
    sheet = _from_first_chord(sheet)
    route = sheet_route(sheet)
    asked = Asked(asked.tempo or sheet.tempo, asked.meter or sheet.meter)
    counted = follow_sheet(route, struck, asked)
    draft = compose(sheet, route, counted, (take, struck))
    sure, bars = draft.sure
    if 3 * sure >= 2 * bars:
        return draft
    if _order_gains(route, counted) < _IN_ORDER:
        raise SheetError(
            f"The take does not seem to be this sheet's song: only {sure} of {bars} bars go well "
            "with it. Is it the right file?"
        )
    return replace(draft, remarks=(_UNSURE, *draft.remarks))


def _from_first_chord(sheet: Sheet) -> Sheet:
    """The sheet without the N.C. with which it begins: a take begins with what is struck."""
    first, *others = sheet.sections
    line, *lines = first.lines
    if line.count > 1 or len(line.bars) < 2 or set(line.bars[0]) != {None}:
        return sheet
    without = replace(line, bars=line.bars[1:], beats=line.beats[1:])
    without = replace(without, remarks=(*line.remarks, _SILENT))
    return replace(sheet, sections=(replace(first, lines=(without, *lines)), *others))


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
    for look in range(_LOOKS):
        heard, places = counted.heard, counted.way.places.tolist()
        habits = habits_in(heard, [route.chord_at(place) for place in places])
        likely = fits(heard, route.chords, habits)
        usual = usual_roles(route, counted, habits)
        way = align_again(likely, route.route, counted.way, usual, as_elsewhere=look > 0)
        before, counted = counted.way, replace(counted, way=way)
        if look > 0 and np.array_equal([way.places, way.in_bar], [before.places, before.in_bar]):
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
    inside = _inside(heard, way, route)
    if inside < _BELONGS or _in_order(route, counted, route.route.chords[::-1]) > way.score:
        raise SheetError(
            f"The take does not seem to be this sheet's song: {inside:.0%} of what was struck "
            f"lies in its chords, in their order. {_in_another_key(route, counted)}"
        )


def _order_gains(route: SheetRoute, counted: Counted) -> float:
    """By how much the sheet's order fits better than the opposite one, a log likelihood a beat."""
    onward, backwards = (
        _in_order(route, counted, chords)
        for chords in (route.route.chords, route.route.chords[::-1])
    )
    return (onward - backwards) / counted.heard.count


def _in_order(route: SheetRoute, counted: Counted, chords: tuple[int, ...]) -> float:
    """How well the sheet's chords fit in that order, a log likelihood."""
    heard, row = counted.heard, replace(route.route, chords=chords)
    return align(heard, fits(heard, route.chords), row, counted.meter.beats).score


def _in_another_key(route: SheetRoute, counted: Counted) -> str:
    """What is asked about a take that does not go with the sheet: whether it is in another key, if
    it goes with the sheet in that."""
    ways = {}
    for moved in (-5, -4, -3, -2, -1, 1, 2, 3, 4, 5, 6):
        heard = transposed(counted.heard, moved)
        ways[moved] = (
            heard,
            align(heard, fits(heard, route.chords), route.route, counted.meter.beats),
        )
    moved, (heard, way) = max(ways.items(), key=lambda one: one[1][1].score)
    inside = _inside(heard, way, route)
    if inside < _BELONGS or way.score < counted.way.score:
        return "Is it the right file?"
    semitones = "a semitone" if abs(moved) == 1 else f"{abs(moved)} semitones"
    return (
        f"{semitones.capitalize()} {'lower' if moved < 0 else 'higher'} it would be {inside:.0%}: "
        "is it in another key than the sheet?"
    )


def _inside(heard: Heard, way: Alignment, route: SheetRoute) -> float:
    return share_inside(heard, [route.chord_at(place) for place in way.places.tolist()])
