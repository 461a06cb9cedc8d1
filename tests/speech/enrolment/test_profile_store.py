"""Voices on the disk: private, versioned, deletable, damage noticed."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from voicecheck.clock import ManualClock
from voicecheck.errors import ProfileError
from voicecheck.speech.enrolment.fitting import FittedVoice
from voicecheck.speech.enrolment.profile import Example, VersionKind
from voicecheck.speech.enrolment.profile_store import ProfileStore, folder_name
from voicecheck.speech.network.enrolled import EnrolledHead


@pytest.fixture
def store(tmp_path: Path) -> ProfileStore:
    """An empty store."""
    return ProfileStore(tmp_path, ManualClock())


def voice() -> FittedVoice:
    """A tiny fitted voice."""
    return FittedVoice(
        head=EnrolledHead(labels=("good", "<other>"), weight=np.ones((2, 3))),
        phrases=frozenset({"good"}),
        words={"good": np.ones((1, 2), np.float32)},
        spectra={"good": np.ones((1, 4))},
        pitch_hz=120.0,
    )


def save(store: ProfileStore, operator: str, *levels: float) -> int:
    """Keep a version with one example for each level; return its number."""
    examples = [
        Example(phrase="good", frames=np.full(800, level, np.float32))
        for level in levels
    ]
    kept = store.save(
        operator,
        examples,
        voice(),
        kind=VersionKind.ENROLMENT,
        language="en",
        network="n",
    )
    return kept.version


def test_what_is_kept_comes_back(store: ProfileStore) -> None:
    """Sounds to 16 bits, the fitted layer, and what is known about it."""
    save(store, "kim", 0.25)
    found = store.load("kim")

    np.testing.assert_allclose(found.examples[0].frames, 0.25, atol=2**-15)
    np.testing.assert_allclose(found.voice.head.weight, voice().head.weight)
    assert (found.about.network, found.voice.pitch_hz, found.damaged) == ("n", 120.0, 0)


def test_back_and_forth_between_versions(store: ProfileStore) -> None:
    """An older version counts again, and a new one gets a new number."""
    save(store, "kim", 0.1)
    save(store, "kim", 0.1, 0.2)
    store.go_back("kim", 1)
    assert len(store.load("kim").examples) == 1

    assert save(store, "kim", 0.3) == 3
    assert [v.version for v in store.versions("kim")] == [1, 2, 3]
    with pytest.raises(ProfileError, match="there are: 1, 2, 3"):
        store.go_back("kim", 9)


@pytest.mark.skipif(os.name == "nt", reason="Windows has other rights")
def test_only_the_owner_can_read(store: ProfileStore) -> None:
    """Files 0600, folders 0700."""
    save(store, "kim", 0.1)
    store.save_draft("kim", "en", [Example(phrase="good", frames=np.ones(800))])
    for path in store.root.rglob("*"):
        assert path.stat().st_mode & 0o777 == (0o700 if path.is_dir() else 0o600)


def test_delete_leaves_nothing(store: ProfileStore) -> None:
    """Recordings, versions and drafts are all gone; others stay."""
    save(store, "kim", 0.1)
    save(store, "lee", 0.1)

    assert store.delete("kim")
    assert not store.folder("kim").exists()
    assert [o.operator for o in store.operators()] == ["lee"]
    with pytest.raises(ProfileError, match="enrol"):
        store.load("kim")


@pytest.mark.parametrize("name", ["../../etc", "a/b", "..", "C:\\x", "Kim.", "김"])
def test_an_id_is_never_a_path(store: ProfileStore, name: str) -> None:
    """The folder lies directly in the store, whatever the id."""
    assert store.folder(name).resolve().parent == store.root.resolve()
    assert "." not in folder_name(name)


def test_ids_that_differ_in_case_differ(store: ProfileStore) -> None:
    """Also on a file system that does not tell them apart."""
    assert folder_name("Kim").casefold() != folder_name("kim").casefold()


def test_damage_is_noticed(store: ProfileStore) -> None:
    """A changed recording is left out and counted; a broken version is an error."""
    save(store, "kim", 0.1, 0.2)
    sound = next(store.root.rglob("*.flac"))
    sound.write_bytes(sound.read_bytes()[:-1])
    assert store.load("kim").damaged == 1

    next(store.root.rglob("0001.npz")).write_bytes(b"x")
    with pytest.raises(ProfileError, match="older version"):
        store.load("kim")


def test_an_unfinished_session_is_kept(store: ProfileStore) -> None:
    """The draft survives, and is no profile."""
    store.save_draft("kim", "en", [Example(phrase="good", frames=np.ones(800))])

    assert not store.has("kim")
    assert len(store.draft("kim")) == 1
    store.drop_draft("kim")
    assert store.draft("kim") == ()
    assert not list(store.root.rglob("*.flac"))
