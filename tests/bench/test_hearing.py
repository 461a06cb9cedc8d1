"""A whole run with scripted engines."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from voicecheck.bench import hearing_result
from voicecheck.bench.contestants import EngineName
from voicecheck.bench.corpus import save_family
from voicecheck.bench.hearing import (
    Asked,
    conditions_named,
    engines_named,
    measure,
    write_result,
)
from voicecheck.bench.hearing_corpus import Split, gather
from voicecheck.bench.hearing_result import HearingResult
from voicecheck.bench.hearing_run import first_outcome
from voicecheck.bench.hearing_table import as_markdown, as_text
from voicecheck.bench.trials import CONDITIONS
from voicecheck.bench.verdicts import read_rows
from voicecheck.dialogue.confirmation import Outcome, decide
from voicecheck.errors import UsageError
from voicecheck.speech.ports import Hypothesis
from voicecheck.testing.scripted_hearing import scripted, tiny_corpus, whistle

SCHEMA = Path(hearing_result.__file__).with_name("hearing.schema.json")


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> tuple[HearingResult, Path]:
    """Two engines: one sure and right, one sure of nothing."""
    folder = tmp_path_factory.mktemp("hearing")
    save_family(folder / "w.npz", tiny_corpus())
    material = gather(folder, None, None, seed=1)
    asked = Asked(
        engines=(EngineName.SHIPPED, EngineName.SHIPPED_ENROLLED),
        conditions=conditions_named("quiet,pink 10"),
        trials=11,
        foreign=4,
    )
    result = measure(material, asked, folder / "out", lambda _: None, scripted)
    write_result(result, folder / "out")
    return result, folder / "out"


def test_the_sure_engine_is_right_and_takes_everything(
    ran: tuple[HearingResult, Path],
) -> None:
    """It knows the phrases, and takes every other sound for good."""
    sure, unsure = ran[0].engines

    assert [c.right.count for c in sure.cells] == [11, 11]
    assert sure.mistakes.foreign_accepted.count == 8
    assert sure.mistakes.wrong_accepted.count == 0
    assert [c.accepted_right for c in unsure.cells] == [0, 0]
    assert unsure.mistakes.foreign_accepted.count == 0


def test_the_file_fits_its_schema(ran: tuple[HearingResult, Path]) -> None:
    """And the schema is that of the model."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    written = json.loads((ran[1] / "hearing.json").read_text(encoding="utf-8"))

    jsonschema.validate(written, schema)
    assert HearingResult.model_validate(written) == ran[0]
    assert schema == HearingResult.model_json_schema(
        by_alias=True, mode="serialization"
    )


def test_a_word_is_judged_as_the_first_try_of_a_walk() -> None:
    """A walk rather reads a likely word back than asks again; so does the benchmark."""
    said = (Hypothesis(phrase="good", meaning="good", confidence=0.65),)
    unsure = (Hypothesis(phrase="good", meaning="good", confidence=0.4),)

    assert decide(said) is Outcome.REJECT
    assert first_outcome(said) is Outcome.CONFIRM
    assert first_outcome(unsure) is Outcome.REJECT
    no = (Hypothesis(phrase="no", meaning="no", confidence=0.54),)
    assert first_outcome(no) is decide(no)
    assert first_outcome(()) is Outcome.REJECT


def test_every_trial_is_kept(ran: tuple[HearingResult, Path]) -> None:
    """Two engines, two noises, eleven phrases and four other sounds."""
    rows = list(read_rows(ran[1] / "rows.jsonl"))

    assert len(rows) == 2 * 2 * (11 + 4)
    assert all(row.features == {"margin": 1.0} for row in rows)
    assert {row.outcome for row in rows if row.engine == "shipped"} == {"accept"}


def test_the_table_shows_goals_and_earlier_figures(
    ran: tuple[HearingResult, Path],
) -> None:
    """Quiet: 97 and 89 earlier, 99.5 and 99.9 to reach."""
    text, page = as_text(ran[0]), as_markdown(ran[0])

    row = next(line for line in text.splitlines() if line.startswith("quiet"))
    assert row.split()[1:5] == ["97", "89", "99.5", "99.9"]
    assert "| quiet | 97 | 89 | 99.5 | 99.9 |" in page
    assert text.index("5 dB less:") < text.index("pink 10")
    assert "the machine's own prompts" in text


def test_a_corpus_of_other_voices_is_refused(tmp_path: Path) -> None:
    """The error says what to do; without a side the other one is taken."""
    save_family(tmp_path / "t.npz", [whistle("good", "tube/w/a")])

    with pytest.raises(UsageError, match="judging voice"):
        gather(tmp_path, Split.JUDGING, None, seed=1)
    assert gather(tmp_path, None, None, seed=1).split is Split.TUNING


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    """Not as a traceback."""
    with pytest.raises(UsageError, match="no corpus"):
        gather(tmp_path, None, None, seed=1)


def test_names() -> None:
    """Kinds of noise stand for all their levels; unknown names are told."""
    assert [c.name for c in conditions_named("quiet, babble")] == [
        c.name for c in CONDITIONS if c.name.startswith(("quiet", "babble"))
    ]
    assert engines_named("shipped,rnnoise") == (EngineName.RNNOISE, EngineName.SHIPPED)
    with pytest.raises(UsageError, match="no noise 'rain'"):
        conditions_named("rain")
    with pytest.raises(UsageError, match="no engine 'ear'"):
        engines_named("ear")


def test_broken_rows_are_told(tmp_path: Path) -> None:
    """With the line."""
    path = tmp_path / "rows.jsonl"
    path.write_text('{"engine": 1}\n', encoding="utf-8")

    with pytest.raises(UsageError, match="line 1"):
        list(read_rows(path))
