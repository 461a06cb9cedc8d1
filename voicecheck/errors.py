"""The errors of voicecheck, in one tree.

    VoicecheckError
    ├── UsageError             asked for something that cannot be
    ├── QuantityError          a figure is missing, impossible or without a unit
    ├── ChecklistError         a checklist file is wrong
    │   └── AnswersFileError   an answers file is wrong
    ├── GrammarError           a grammar or one of its words is wrong
    ├── ModelError             a speech model is missing or broken
    ├── ProfileError           a voice profile cannot be kept or read
    ├── WalkError              an event does not fit the state of the walk
    ├── SoundError             a sound file or block cannot be used
    ├── DeviceError            a microphone or loudspeaker cannot be used
    │   └── DeviceLost         it was there and went away
    ├── SynthesisError         text could not be spoken
    ├── JournalError           the journal cannot be written or read
    │   └── JournalDamaged     its hash chain is broken
    ├── DefectError            a defect cannot take this step
    │   └── DefectChanged      it went on since somebody looked at it
    ├── UnitHeld               the machine is out of service and not released
    ├── PeopleError            personal results cannot be kept or shown
    │   ├── NotAllowed         this person may not do or see that
    │   └── TooManyTries       wrong access codes came too fast
    ├── SyncError              something could not be brought to another store
    ├── LinkError              the far end of a push takes nothing from here
    │   └── LinkLost           it cannot be reached now; a later try goes on
    ├── KeepingError           something may not be thrown away yet
    ├── LearnError             practice cannot go on like this
    ├── ObserveError           an observation cannot take this step
    └── RecordNotFound         no such record

Silence, chatter and unknown words are no errors: they are values
(see `voicecheck.speech.ports`).
"""


class VoicecheckError(Exception):
    """Root of every error that voicecheck raises; its text says what to do next."""


class UsageError(VoicecheckError):
    """What was asked for does not exist or cannot be combined."""


class QuantityError(VoicecheckError):
    """A figure cannot be used; the text says what to give.

    Attributes:
        quantity: what was given, as the operator would call it.
        found: what stood there.
        expected: what would be accepted.
    """

    def __init__(self, quantity: str, found: object, expected: str) -> None:
        """Store the parts and build the sentence."""
        super().__init__(f"{quantity}: got {found}; give {expected}.")
        self.quantity = quantity
        self.found = found
        self.expected = expected


class ChecklistError(VoicecheckError):
    """A checklist file is wrong; the text names the file and the place."""


class AnswersFileError(ChecklistError):
    """An answers file is wrong; the text names the checkpoint."""


class GrammarError(VoicecheckError):
    """A grammar cannot be used; the text names the file and the word."""


class ModelError(VoicecheckError):
    """A speech model is missing, incomplete or not what it should be."""


class ProfileError(VoicecheckError):
    """A voice profile is missing, damaged or cannot be written."""


class WalkError(VoicecheckError):
    """An event came that does not fit the state of the walk."""


class SoundError(VoicecheckError):
    """A sound file or block of sound cannot be used."""


class DeviceError(VoicecheckError):
    """A sound device cannot be used."""


class DeviceLost(DeviceError):
    """A sound device was in use and went away."""


class SynthesisError(VoicecheckError):
    """A text could not be turned into speech."""


class JournalError(VoicecheckError):
    """The journal cannot be opened, read or written."""


class JournalDamaged(JournalError):
    """The journal was altered: an event no longer matches its hash."""


class RecordNotFound(VoicecheckError):
    """There is no record, or no unfinished walk, of that name."""


class DefectError(VoicecheckError):
    """What was to be written does not fit the state of the defect."""


class DefectChanged(DefectError):
    """Somebody else wrote about the defect since it was shown."""


class UnitHeld(VoicecheckError):
    """The machine is out of service: nobody competent has released it.

    Attributes:
        unit: the machine.
    """

    def __init__(self, text: str, *, unit: str) -> None:
        """Store the machine beside the sentence."""
        super().__init__(text)
        self.unit = unit


class KeepingError(VoicecheckError):
    """A record that the rules of keeping ask for cannot be thrown away."""


class LearnError(VoicecheckError):
    """An answer does not fit what is asked, or practice data cannot be used."""


class SyncError(VoicecheckError):
    """A walk or defect could not be brought to another store; nothing is lost."""


class PeopleError(VoicecheckError):
    """Personal results cannot be opened, written or found."""


class NotAllowed(PeopleError):
    """The person has no right to do or see this; the text says who has."""


class TooManyTries(PeopleError):
    """Access codes were tried too often.

    Attributes:
        wait_s: how long until the next try counts.
    """

    def __init__(self, wait_s: float) -> None:
        """Store the time and build the sentence."""
        super().__init__(
            f"too many wrong codes: wait {max(1, round(wait_s))} s, then try again"
        )
        self.wait_s = wait_s


class LinkError(VoicecheckError):
    """The far end of a push takes nothing from here; nothing is lost."""


class LinkLost(LinkError):
    """The far end cannot be reached now; another push goes on where it was."""


class ObserveError(VoicecheckError):
    """A scenario, mark or observation does not fit; the text says what to do."""
