"""Muted, or silent by nature?"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.floor import FAULT_S, GATE_S, LEARN_S, FloorWatch

BLOCK_S = 0.032


def give(watch: FloorWatch, seconds: float, *, zeros: bool) -> None:
    """Let a microphone give so much sound, or so many zeros."""
    for _ in range(round(seconds / BLOCK_S)):
        watch.saw(BLOCK_S, zeros=zeros)


def test_a_microphone_that_turns_to_zeros_is_a_fault() -> None:
    """After half a minute of ordinary sound, two seconds of zeros are a fault."""
    watch = FloorWatch()
    give(watch, LEARN_S + 1, zeros=False)
    assert watch.has_floor

    give(watch, FAULT_S - 0.1, zeros=True)
    assert not watch.fault
    give(watch, 0.2, zeros=True)
    assert watch.fault


def test_zeros_from_the_beginning_are_told_but_no_fault() -> None:
    """A virtual device at rest is silent; how long can be asked."""
    watch = FloorWatch()
    give(watch, 600, zeros=True)
    assert not watch.fault
    assert watch.silent_s > 599


def test_a_noise_gate_is_no_fault() -> None:
    """A headset that gives zeros between words is never taken for broken."""
    watch = FloorWatch()
    for _ in range(20):
        give(watch, 5, zeros=False)
        give(watch, 1, zeros=True)
    give(watch, LEARN_S + 1, zeros=False)
    give(watch, 60, zeros=True)
    assert not watch.fault


def test_zeros_while_a_stream_starts_are_usual() -> None:
    """Zeros before the first sound do not make a microphone a gated one."""
    watch = FloorWatch()
    give(watch, 1, zeros=True)
    give(watch, LEARN_S + 1, zeros=False)
    give(watch, FAULT_S + 0.1, zeros=True)
    assert watch.fault


def test_what_was_learnt_outlives_reopening() -> None:
    """After reopening, the floor is still known and the zeros start anew."""
    watch = FloorWatch()
    give(watch, LEARN_S + 1, zeros=False)
    give(watch, FAULT_S + 1, zeros=True)

    watch.opened()

    assert watch.has_floor
    assert not watch.fault
    assert watch.silent_s == 0


@given(st.lists(st.tuples(st.booleans(), st.floats(GATE_S + BLOCK_S, 25)), max_size=30))
def test_short_stretches_of_sound_never_lead_to_a_fault(
    stretches: list[tuple[bool, float]],
) -> None:
    """Sound and zeros in turn, in any order: no fault, unless sound was steady."""
    watch = FloorWatch()
    longest_s, run_s = 0.0, 0.0
    for zeros, seconds in stretches:
        give(watch, seconds, zeros=zeros)
        run_s = 0.0 if zeros else run_s + seconds
        longest_s = max(longest_s, run_s)
        if longest_s < LEARN_S - 1:
            assert not watch.fault
