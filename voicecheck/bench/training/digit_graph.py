"""Finish a trained digit network: weights to an ONNX graph.

python -m voicecheck.bench.training.digit_graph WEIGHTS.npz OUT.onnx
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import TensorProto, helper

from voicecheck.bench.training.onnx_graph import GraphWriter, finished
from voicecheck.speech.network.digit_words import WORDS
from voicecheck.speech.network.features import BANDS

__all__ = ["digit_graph_of", "folded_arrays", "main"]

_EPS = 1e-5
"""Of PyTorch's batch norms."""

Arrays = Mapping[str, NDArray[np.float32]]


def folded_arrays(state: Arrays) -> dict[str, NDArray[np.float32]]:
    """Fold the batch norms of a `DigitNet` into the weights before them.

    Args:
        state: its weights as `train_digits` wrote them.
    """
    pairs = {"first": ("first", "norm0"), "mix": ("mix", "norm_mix")}
    blocks = sum(name.endswith("pointwise.weight") for name in state)
    for index in range(blocks):
        pairs[f"block{index}.depthwise"] = (
            f"blocks.{index}.depthwise",
            f"blocks.{index}.norm1",
        )
        pairs[f"block{index}.pointwise"] = (
            f"blocks.{index}.pointwise",
            f"blocks.{index}.norm2",
        )
    found: dict[str, NDArray[np.float32]] = {}
    for name, (layer, norm) in pairs.items():
        weight = state[f"{layer}.weight"]
        gain = state[f"{norm}.weight"] / np.sqrt(state[f"{norm}.running_var"] + _EPS)
        found[f"{name}.weight"] = weight * gain.reshape(-1, *[1] * (weight.ndim - 1))
        found[f"{name}.bias"] = (
            state[f"{norm}.bias"] - state[f"{norm}.running_mean"] * gain
        )
    found["last.weight"], found["last.bias"] = state["last.weight"], state["last.bias"]
    return found


def digit_graph_of(
    arrays: Arrays, dilations: tuple[int, ...], halved_after: int
) -> onnx.ModelProto:
    """Build the graph: "mel" (1, BANDS, time) to "words" (1, time // 2, 1 + words).

    Args:
        arrays: of `folded_arrays`.
        dilations: of each block.
        halved_after: blocks before the time step doubles.
    """
    at = GraphWriter(arrays)
    one = at.constant("one", np.array([1], dtype=np.int64))
    x = at.node("Unsqueeze", "mel", one)
    x = at.conv(x, "first", strides=[2, 1], pads=[1, 1, 1, 1])
    channels = arrays["first.weight"].shape[0]
    shape = np.array([1, channels * BANDS // 2, -1], dtype=np.int64)
    x = at.node("Reshape", at.node("Relu", x), at.constant("flat", shape))
    x = at.node("Relu", at.conv(x, "mix"))
    for index, dilation in enumerate(dilations):
        if index == halved_after:
            x = at.node("AveragePool", x, kernel_shape=[2], strides=[2])
        y = at.over_time(x, f"block{index}.depthwise", dilation)
        y = at.conv(at.node("Relu", y), f"block{index}.pointwise")
        x = at.node("Relu", at.node("Add", x, y))
    spoken = at.node("Transpose", at.conv(x, "last"), perm=[0, 2, 1])
    at.node("LogSoftmax", spoken, out="words", axis=2)
    value = helper.make_tensor_value_info
    return finished(
        at,
        "voicecheck spoken numbers",
        [value("mel", TensorProto.FLOAT, [1, BANDS, "time"])],
        [value("words", TensorProto.FLOAT, [1, "steps", 1 + len(WORDS)])],
    )


def main(arguments: list[str] | None = None) -> int:
    """Write the graph, and its provenance beside it."""
    from voicecheck.bench.training.digit_net import (  # noqa: PLC0415
        DIGIT_DILATIONS,
        HALVED_AFTER,
    )

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("weights", type=Path)
    parser.add_argument("out", type=Path)
    asked = parser.parse_args(arguments)
    with np.load(asked.weights, allow_pickle=False) as archive:
        arrays = folded_arrays(dict(archive))
    model = digit_graph_of(arrays, DIGIT_DILATIONS, HALVED_AFTER)
    asked.out.write_bytes(model.SerializeToString(deterministic=True))
    known = json.loads(asked.weights.with_suffix(".json").read_text(encoding="utf-8"))
    known["weights"] = int(sum(a.size for a in arrays.values()))
    text = json.dumps(known, indent=1, ensure_ascii=False)
    asked.out.with_suffix(".json").write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
