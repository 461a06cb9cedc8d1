"""Open a stored voice for a network; fit it again when the network has changed."""

from __future__ import annotations

from collections.abc import Callable

from voicecheck.errors import ProfileError
from voicecheck.speech.enrolment.fitting import fit_voice
from voicecheck.speech.enrolment.network_view import fingerprint
from voicecheck.speech.enrolment.profile import VersionKind
from voicecheck.speech.enrolment.profile_store import ProfileStore, StoredProfile
from voicecheck.speech.network.model import WordNetwork

__all__ = ["open_voice"]


def open_voice(
    store: ProfileStore,
    operator: str,
    network: WordNetwork,
    tell: Callable[[str], None] = lambda _: None,
) -> StoredProfile:
    """Return the version that counts, fitted to this network.

    Args:
        store: where voices are kept.
        operator: whose voice.
        network: that will be used with it.
        tell: told when the voice is fitted again.

    Raises:
        ProfileError: there is none, or its recordings are gone.
    """
    stored = store.load(operator)
    if stored.damaged:
        tell(
            f"{stored.damaged} recordings of {operator} are damaged and left out; "
            "voicecheck enrol --check says which words to say again"
        )
    if stored.about.network == fingerprint(network):
        return stored
    if not stored.examples:
        raise ProfileError(
            f"the network has changed and no recording of {operator} is left: "
            f"say the words again with voicecheck enrol --operator {operator!r}"
        )
    tell(f"The network has changed: fitting the voice of {operator} again.")
    store.save(
        operator,
        stored.examples,
        fit_voice(network, stored.examples),
        kind=VersionKind.REFITTED,
        language=stored.about.language,
        network=fingerprint(network),
    )
    return store.load(operator)
