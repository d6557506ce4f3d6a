"""Which MIDI message is what?

The first half of a channel message's status byte says its kind, the second its channel (MIDI 1.0
Detailed Specification). Without imports, for the recorder's process.
"""

NOTE_OFF, NOTE_ON, CONTROLLER, PROGRAM = 0x8, 0x9, 0xB, 0xC


def strikes(raw: bytes) -> bool:
    """Whether a channel message strikes a key; one without loudness lets it go."""
    return raw[0] >> 4 == NOTE_ON and raw[2] > 0
