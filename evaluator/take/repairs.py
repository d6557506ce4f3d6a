"""What was wrong with a recording, in sentences?

A damaged file is read as far as it makes sense, and each kind of damage is said once,
with how often and where (bytes counted from 0). The kinds are those of the Standard MIDI
Files specification broken in the ways that files from pianos, phones and mail are.
"""

from evaluator.take.model import Repair

# Each kind with its sentence for one case and for several; {n} how often, {at} first byte.
SENTENCES: dict[str, tuple[str, str]] = {
    "text-mode": (
        "The file had been sent as text and one byte had been added; it was taken out.",
        "The file had been sent as text and {n} bytes had been added; they were taken out.",
    ),
    "junk-before": (
        "One byte before the MIDI header was skipped.",
        "{n} bytes before the MIDI header were skipped.",
    ),
    "header": ("The MIDI header is damaged at byte {at}; it could still be read.",) * 2,
    "format": ("The header names a format that does not exist; the tracks were read as one take.",)
    * 2,
    "tracks-missing": (
        "One track that the header announces is not in the file.",
        "{n} tracks that the header announces are not in the file.",
    ),
    "tracks-more": (
        "The file has one track more than its header says; it was read too.",
        "The file has {n} tracks more than its header says; they were read too.",
    ),
    "track-name": (
        "The mark of a track is damaged at byte {at}; it was read as a track.",
        "The marks of {n} tracks are damaged, first at byte {at}; they were read as tracks.",
    ),
    "length": (
        "The length written at byte {at} is wrong; the track was read by its content.",
        "{n} tracks have a wrong length, first at byte {at}; they were read by their content.",
    ),
    "junk-between": (
        "One byte that belongs to no track was skipped at byte {at}.",
        "{n} bytes that belong to no track were skipped, first at byte {at}.",
    ),
    "cut": ("The file breaks off at byte {at}; everything before that was kept.",) * 2,
    "torn": (
        "A track breaks off inside an event at byte {at}; what comes before was kept.",
        "{n} tracks break off inside an event, first at byte {at}; what comes before was kept.",
    ),
    "unreadable": (
        "A track is unreadable from byte {at} on; what comes before was kept.",
        "{n} tracks are unreadable further on, first from byte {at}; what comes before was kept.",
    ),
    "no-end-mark": (
        "A track has no end mark at byte {at}; nothing else is missing from it.",
        "{n} tracks have no end mark, first at byte {at}; nothing else is missing from them.",
    ),
    "after-end": (
        "One byte after the end mark of a track was left out at byte {at}.",
        "{n} bytes after the end mark of a track were left out, first at byte {at}.",
    ),
    "no-status": (
        "An event without a kind was left out at byte {at}.",
        "{n} events without a kind were left out, first at byte {at}.",
    ),
    "running-status": (
        "An event leaves out its kind where it may not, at byte {at}; the last kind was taken.",
        "{n} events leave out their kind where they may not, first at byte {at};"
        " the last kind was taken.",
    ),
    "stray": (
        "A message that has no place in a file was skipped at byte {at}.",
        "{n} messages that have no place in a file were skipped, first at byte {at}.",
    ),
    "bad-value": (
        "An event with an impossible value was left out at byte {at}.",
        "{n} events with impossible values were left out, first at byte {at}.",
    ),
    "loudness": (
        "A note has an impossible loudness at byte {at}; it was kept as very loud.",
        "{n} notes have an impossible loudness, first at byte {at}; they were kept as very loud.",
    ),
    "tempo": (
        "A tempo mark that cannot be right was left out at byte {at}.",
        "{n} tempo marks that cannot be right were left out, first at byte {at}.",
    ),
    "no-note-end": (
        "One note had no end; it was ended at the next stroke of its key or the end of the file.",
        "{n} notes had no end; they were ended at the next stroke of their key"
        " or the end of the file.",
    ),
}


class RepairLog:
    """Counts damage while a file is being read; one sentence a kind at the end."""

    __slots__ = ("_seen",)

    def __init__(self) -> None:
        self._seen: dict[str, tuple[int, int]] = {}

    def add(self, kind: str, at: int, count: int = 1) -> None:
        """Note damage of a kind (a key of `SENTENCES`) at a byte of the file."""
        before, first = self._seen.get(kind, (0, at))
        self._seen[kind] = (before + count, first)

    def repairs(self) -> tuple[Repair, ...]:
        """What was noted, in the order in which it was first met."""
        return tuple(
            Repair(kind, SENTENCES[kind][count > 1].format(n=count, at=at))
            for kind, (count, at) in self._seen.items()
        )
