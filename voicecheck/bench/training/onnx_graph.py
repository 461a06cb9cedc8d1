"""The body of the network as an ONNX graph, from its exported arrays.

Written node by node, so that the file needs nothing of the training library
and comes out the same, byte for byte, from the same arrays. The last layer
stays outside: an enrolled operator has one of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper

from voicecheck.speech.network.features import BANDS

__all__ = ["GraphWriter", "finished", "graph_of"]

OPSET = 17


class GraphWriter:
    """Collects nodes and weights."""

    def __init__(self, arrays: Mapping[str, NDArray[np.float32]]) -> None:
        self.arrays = arrays
        self.nodes: list[onnx.NodeProto] = []
        self.weights: dict[str, onnx.TensorProto] = {}
        self._count = 0

    def constant(self, name: str, array: NDArray[np.int64]) -> str:
        """Keep an array of numbers that is no weight."""
        if name not in self.weights:
            self.weights[name] = numpy_helper.from_array(array, name)
        return name

    def weight(self, name: str) -> str:
        """Keep a weight at half precision: 11 bits of it, half the file."""
        kept = f"{name}.half"
        self.weights[kept] = numpy_helper.from_array(
            self.arrays[name].astype(np.float16), kept
        )
        return self.node("Cast", kept, out=name, to=TensorProto.FLOAT)

    def node(self, kind: str, *inputs: str, out: str = "", **settings: Any) -> str:
        """Add a node; return the name of its output."""
        self._count += 1
        out = out or f"x{self._count}"
        self.nodes.append(helper.make_node(kind, list(inputs), [out], **settings))
        return out

    def conv(self, x: str, name: str, **settings: Any) -> str:
        """Add a convolution with the weights of a layer."""
        weight, bias = self.weight(f"{name}.weight"), self.weight(f"{name}.bias")
        return self.node("Conv", x, weight, bias, **settings)

    def over_time(self, x: str, name: str, dilation: int) -> str:
        """Add a convolution of each channel over time that keeps the length."""
        channels, _, taps = self.arrays[f"{name}.weight"].shape
        reach = dilation * (taps // 2)
        settings = {"dilations": [dilation], "pads": [reach, reach]}
        return self.conv(x, name, group=channels, **settings)


def _block(at: GraphWriter, x: str, index: int, dilation: int, twins: int) -> str:
    name = f"block{index}"
    y = at.over_time(x, f"{name}.depthwise", dilation)
    y = at.conv(at.node("Relu", y), f"{name}.pointwise", group=twins)
    gate = at.node("ReduceMean", y, axes=[2], keepdims=1)
    gate = at.conv(gate, f"{name}.squeeze", group=twins)
    gate = at.conv(at.node("Relu", gate), f"{name}.excite", group=twins)
    gate = at.node("Sigmoid", gate)
    total = at.node("Add", x, at.node("Mul", y, gate))
    return at.node("Relu", total)


def graph_of(arrays: Mapping[str, NDArray[np.float32]]) -> onnx.ModelProto:
    """Build the graph: "mel" (1, BANDS, time) to "pooled" and "phones".

    Args:
        arrays: of `net.export_arrays`.

    Returns:
        Outputs "pooled", shape (1, 2 * width), and "phones", log
        probabilities, shape (1, time // 2, symbols).
    """
    at = GraphWriter(arrays)
    twins = int(arrays["twins"].item())
    one = at.constant("one", np.array([1], dtype=np.int64))
    mel = at.node("Unsqueeze", "mel", one)
    heard = at.node("Concat", *[mel] * twins, axis=1)
    x = at.conv(heard, "first", strides=[2, 1], pads=[1, 1, 1, 1], group=twins)
    channels = arrays["first.weight"].shape[0]
    shape = np.array([1, channels * BANDS // 2, -1], dtype=np.int64)
    x = at.node("Reshape", at.node("Relu", x), at.constant("flat", shape))
    x = at.node("Relu", at.conv(x, "mix", group=twins))
    halved, phones_after = (
        int(arrays[name].item()) for name in ("halved_after", "phones_after")
    )
    for index, dilation in enumerate(arrays["dilations"]):
        if index == halved:
            x = at.node("AveragePool", x, kernel_shape=[2], strides=[2])
        x = _block(at, x, index, int(dilation), twins)
        if index + 1 == phones_after:
            spoken = at.node("Transpose", at.conv(x, "phones"), perm=[0, 2, 1])
            at.node("LogSoftmax", spoken, out="phones", axis=2)
    # each twin's mean and maximum stand together, as its last layer takes them
    of_each = np.array([1, twins, arrays["mix.bias"].size // twins, -1])
    x = at.node("Reshape", x, at.constant("of_each", of_each.astype(np.int64)))
    mean = at.node("ReduceMean", x, axes=[3], keepdims=0)
    most = at.node("ReduceMax", x, axes=[3], keepdims=0)
    pooled = at.node("Concat", mean, most, axis=2)
    at.node("Flatten", pooled, out="pooled", axis=1)
    width = 2 * arrays["mix.bias"].size
    symbols = arrays["phones.bias"].size
    value = helper.make_tensor_value_info
    return finished(
        at,
        "voicecheck command words",
        [value("mel", TensorProto.FLOAT, [1, BANDS, "time"])],
        [
            value("pooled", TensorProto.FLOAT, [1, width]),
            value("phones", TensorProto.FLOAT, [1, "steps", symbols]),
        ],
    )


def finished(
    at: GraphWriter,
    title: str,
    inputs: list[onnx.ValueInfoProto],
    outputs: list[onnx.ValueInfoProto],
) -> onnx.ModelProto:
    """Make a checked model of what was written."""
    graph = helper.make_graph(
        at.nodes, title, inputs, outputs, list(at.weights.values())
    )
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", OPSET)])
    model.ir_version = 8
    onnx.checker.check_model(model)
    return model
