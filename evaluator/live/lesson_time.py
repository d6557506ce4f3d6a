"""How long does a lesson last by now, and is it time to rest? Host seconds."""

from evaluator.practise.resting import Rest, Stint


class LessonTime:
    """The time of one lesson, from its first key on."""

    def __init__(self) -> None:
        self.spent = 0.0
        """Seconds since the first key."""
        self._stint = Stint()
        self._then: float | None = None

    @property
    def rest_due(self) -> Rest | None:
        """Which rest is due, if any."""
        return self._stint.due

    def goes_by(self, now: float, *, lasts: bool, playing: bool) -> None:
        """It is later now. `lasts`: the lesson has begun and is not over; only `playing` makes
        hands tired."""
        gone = 0.0 if self._then is None else max(now - self._then, 0.0)
        self._then = now
        if not lasts:
            return
        self.spent += gone
        if playing:
            self._stint = self._stint.after(gone)

    def other_passage(self) -> None:
        """Another passage is begun."""
        self._stint = self._stint.other_passage()

    def rested(self) -> None:
        """The rest that was due is taken."""
        self._stint = self._stint.rested()
